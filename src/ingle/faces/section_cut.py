"""A cut laid on a drawing: patterns of its tissues, its outline, and a field in steps of colour."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ingle.crafts.cure.section import FAT, LEAN, RIND, TISSUES
from ingle.crafts.cure.section_map import TissueMap, outline_pieces
from ingle.faces.drawing import Drawing, path_data
from ingle.ground.units import metres

Floats = NDArray[np.float64]
WORDS_PX = 16.0


class Cut:
    """A section at a scale: pixels from its own upper left corner. Its shapes are laid once in the definitions."""

    def __init__(self, draw: Drawing, found: TissueMap, scale: float):
        self.draw, self.map, self.scale = draw, found, scale
        self.section = found.section
        left, top, right, bottom = self.section.box
        self.corner = np.array([left, top])
        self.wide, self.high = (right - left) * scale, (bottom - top) * scale
        self.outline = self.path(self.section.outline)
        middles, _, self.sealed = outline_pieces(found.section, True)
        self.rim = (middles - self.corner) * scale  # the outline in short pieces, with which of them are sealed
        self._lay()

    def path(self, points: ArrayLike) -> str:
        """A closed line in pixels."""
        return path_data(((np.asarray(points) - self.corner) * self.scale).tolist(), close=True)

    def name(self, what: str) -> str:
        """An id of this drawing alone."""
        return f"{self.draw.key}-{what}"

    def _lay(self) -> None:
        """Patterns, the clip to the outline, and what of each tissue is to be seen."""
        ink = self.draw.ink
        self.draw.defs.append(f'<clipPath id="{self.name("clip")}"><path d="{self.outline}"/></clipPath>')
        self.grounds = {"lean": _mix(ink["beet"], ink["plate"], 0.24), "fat": ink["paper"], "rind": ink["smoke"]}
        dot = f'<circle cx="4" cy="4" r="1.5" fill="{ink["ash"]}"/><circle cx="9" cy="9" r="1.5" fill="{ink["ash"]}"/>'
        near = 12 if metres(1) * self.scale > 3.2 else 7  # closer dots on a small picture, where a seam is thin
        on_field = "".join(
            f'<circle cx="{x * near / 12:.2f}" cy="{x * near / 12:.2f}" r="{0.9 + near / 15:.2f}" fill="{ink["smoke"]}"'
            f' stroke="{ink["plate"]}" stroke-width="{near / 14:.2f}"/>'
            for x in (4, 10)
        )
        marks = {
            "lean": (8, "rotate(52)", f'<path d="M-1 4H9" stroke="{ink["beet"]}" stroke-width="1.2"/>'),
            "fat": (10, "", dot),
            "rind": (6, "", f'<path d="M3 -1V7" stroke="{ink["plate"]}" stroke-width="1.1"/>'),
            "dots": (near, "", on_field),
        }
        for key, (size, turn, shapes) in marks.items():
            self.draw.defs.append(
                f'<pattern id="{self.name(key)}" width="{size}" height="{size}" patternUnits="userSpaceOnUse"'
                f' patternTransform="{turn or "rotate(0)"}">{shapes}</pattern>'
            )
        for code in (FAT, RIND):
            shapes = "".join(
                f'<path d="{self.path(p.points)}" fill="{"#fff" if p.tissue == code else "#000"}"/>'
                for p in self.section.patches
            )
            self.draw.defs.append(
                f'<mask id="{self.name("only-" + TISSUES[code - 1])}" maskUnits="userSpaceOnUse" x="-9" y="-9"'
                f' width="{self.wide + 18:.1f}" height="{self.high + 18:.1f}">{shapes}</mask>'
            )

    def begin(self, x: float, y: float, what: str) -> None:
        """Whatever follows is placed from here."""
        self.draw.parts.append(f'<g class="{what}" transform="translate({x:.2f} {y:.2f})">')

    def end(self) -> None:
        """Close what `begin` opened."""
        self.draw.parts.append("</g>")

    def tissues(self) -> None:
        """The patches in the order in which they are painted."""
        layers = [(LEAN, self.outline)] + [(p.tissue, self.path(p.points)) for p in self.section.patches]
        self.draw.parts.append(f'<g clip-path="url(#{self.name("clip")})">')
        for code, line in layers:
            name = TISSUES[code - 1]
            self.draw.parts.append(
                f'<path class="{name}" d="{line}" fill="{self.grounds[name]}"/>'
                f'<path d="{line}" fill="url(#{self.name(name)})"/>'
            )
        self.draw.parts.append("</g>")

    def over(self, code: int, pattern: str) -> None:
        """A pattern over all that is seen of one tissue."""
        if any(p.tissue == code for p in self.section.patches):
            name = TISSUES[code - 1]
            ground = f'<path d="{self.outline}" fill="{self.grounds[name]}"/>' if pattern in self.grounds else ""
            self.draw.parts.append(
                f'<g class="{name}" clip-path="url(#{self.name("clip")})"><g mask="url(#{self.name("only-" + name)})">'
                f'{ground}<path d="{self.outline}" fill="url(#{self.name(pattern)})"/></g></g>'
            )

    def edge(self) -> None:
        """The outline: thick in brine where brine touches, thin where nothing passes."""
        self.draw.path(self.outline, "smoke", 1.4, what="outline")
        for line in _wet_runs(self.rim, self.sealed):
            self.draw.path(line, "brine", 4.5, what="wet")


def name_tissues(draw: Drawing, cut: Cut) -> None:
    """The name of each tissue in the widest place of it, where there is room."""
    step = min(cut.wide / cut.map.shape[1], cut.high / cut.map.shape[0])
    for code, name in enumerate(TISSUES, start=1):
        left, depth = np.pad(cut.map.tissue == code, 1), 0
        last = left
        while left.any():
            last, depth = left, depth + 1
            left = left & np.roll(left, 1, 0) & np.roll(left, -1, 0) & np.roll(left, 1, 1) & np.roll(left, -1, 1)
        rows, columns = np.nonzero(last)
        if not rows.size or depth * step < 13:
            continue
        mid = int(np.hypot(rows - rows.mean(), columns - columns.mean()).argmin())
        x, y = ((v[mid] - 0.5) * s / n for v, s, n in ((columns, cut.wide, cut.map.shape[1]), (rows, cut.high, cut.map.shape[0])))
        draw.text(float(x), float(y) + 6, name, WORDS_PX, anchor="middle", halo=6, bold=True)


def _wet_runs(points: Floats, sealed: NDArray[np.bool_]) -> list[str]:
    """Stretches of the outline that brine touches."""
    if not sealed.any():
        return [path_data(thinned(points).tolist(), close=True)]
    start = int(np.flatnonzero(sealed)[0])
    points, wet = np.roll(points, -start, axis=0), np.roll(~sealed, -start)
    turns = np.flatnonzero(np.diff(np.concatenate([[0], wet.astype(int), [0]])))
    return [path_data(thinned(points[a:b]).tolist()) for a, b in turns.reshape(-1, 2) if b - a > 1]


def thinned(ring: Floats) -> Floats:
    """The ring without corners closer than a pixel and a half to the one before."""
    kept = [0]
    for i in range(1, len(ring)):
        if np.hypot(*(ring[i] - ring[kept[-1]])) >= 1.5:
            kept.append(i)
    return ring[kept] if len(kept) > 2 else ring


def _mix(one: str, other: str, share: float) -> str:
    """``share`` of one colour in another."""
    parts = [share * int(one[i : i + 2], 16) + (1 - share) * int(other[i : i + 2], 16) for i in (1, 3, 5)]
    return "#" + "".join(f"{round(v):02X}" for v in parts)
