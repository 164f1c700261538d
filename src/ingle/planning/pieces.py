"""The cuts a brief names: what lies in which box, with and without its skin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from ingle.ground.things import Band, Piece
from ingle.planning.brief import Begun, Served
from ingle.planning.parts import Give, Part, Take

_SKIN_SHARE = 0.10  # things.Piece: a skin that was not weighed is a tenth of its piece


@dataclass(frozen=True)
class Box:
    """Pieces of one part that lie in one cure: begun together, or not begun."""

    suffix: str  # "" for the first box, "@2" for the second: the task is "part.step@2"
    pieces: tuple[Piece, ...]  # as they lie in the cure, without the skin that comes off before
    started: datetime | None = None
    begun: tuple[Begun, ...] = ()  # one for each piece; () when not begun

    @property
    def names(self) -> str:
        """``4 to 12``; empty where the pieces have no names."""
        return called([p.name for p in self.pieces])


def called(names: Sequence[str]) -> str:
    """Names of pieces as one says them: ``A and B``, ``A, B and C``, ``4 to 12`` where they count on."""
    held = [n for n in names if n]
    if len(held) > 2 and all(n.isdecimal() for n in held) and all(int(b) == int(a) + 1 for a, b in pairwise(held)):
        return f"{held[0]} to {held[-1]}"
    return " and ".join([*([", ".join(held[:-1])] if held[:-1] else []), *held[-1:]])


def meat_g(piece: Piece) -> float:
    """Weight without skin: as weighed, or by the usual share. [g]"""
    return piece.weight_g - _skin_g(piece)


def _skin_g(piece: Piece) -> float:
    if piece.skin == "none":
        return 0.0
    return piece.weight_g * _SKIN_SHARE if piece.skin_weight_g is None else piece.skin_weight_g


def skins(give: Give, pieces: list[Piece]) -> Band:
    """Skin of the pieces that have one; what was weighed has no spread."""
    known = sum(p.skin_weight_g for p in pieces if p.skin != "none" and p.skin_weight_g is not None)
    base = sum(p.weight_g for p in pieces if p.skin != "none" and p.skin_weight_g is None)
    return Band(
        known + give.share.low * base, known + give.share.likely * base, known + give.share.high * base
    )


def as_cured(piece: Piece, skinned: bool) -> Piece:
    """The piece as it lies in its cure: without its skin where the part takes it off first.

    The thickness is kept as measured with the skin on, so the forecast is a little late rather than early.
    """
    if not skinned or piece.skin == "none":
        return piece
    return replace(piece, weight_g=meat_g(piece), skin="none", skin_weight_g=None)


def boxes(on_plate: Served, take: Take) -> tuple[Box, ...]:
    """Pieces that were begun together in one box, those not begun first."""
    groups: dict[datetime | None, list] = {}
    for p in on_plate.pieces:
        groups.setdefault(p.begun.started if p.begun else None, []).append(p)
    order = sorted(groups, key=lambda s: (s is not None, s.timestamp() if s else 0))
    return tuple(
        Box(
            "" if i == 0 else f"@{i + 1}",
            tuple(as_cured(p.piece, take.skinned and started is None) for p in groups[started]),
            started,
            tuple(p.begun for p in groups[started] if p.begun),
        )
        for i, started in enumerate(order)
    )


def cure_step(part: Part) -> str | None:
    """Key of the step a piece can lie in already when the plan begins."""
    return next((s.key for s in part.steps if s.forecast == "cure"), None)


def before_cure(part: Part) -> set[str]:
    """Steps that are over once a piece lies in its cure."""
    return steps_before(part, cure_step(part))


def steps_before(part: Part, key: str | None) -> set[str]:
    """Own steps that must be over before a step starts, at any distance."""
    if key is None:
        return set()
    by_key = {s.key: s for s in part.steps}
    found: set[str] = set()
    todo = [key]
    while todo:
        for after in by_key[todo.pop()].after:
            if after.step in by_key and after.step not in found:
                found.add(after.step)
                todo.append(after.step)
    return found
