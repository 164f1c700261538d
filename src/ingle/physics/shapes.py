"""The bodies a piece of meat is taken for: slab, cylinder, sphere, box, and which of their faces are wet.

A face is *wet* when it touches brine, curing salt or the bath, and *sealed* when nothing passes: a rind, a
plastic film, a plane of symmetry. Every shape knows its ``factors``: the one-dimensional bodies whose
closed forms multiply to its own (Newman's product, see ``series_product``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from ingle.ground.errors import OutOfRange

Kind = Literal["slab", "cylinder", "sphere"]
KINDS: tuple[str, ...] = ("slab", "cylinder", "sphere")

Factor = tuple[Kind, Any]
"""A one-dimensional body and the distance from its slowest place to its wet face [m]; over members an array."""

BOX_FACES: dict[str, tuple[str, int]] = {
    "one-large-face": ("thickness", 1),
    "both-large-faces": ("thickness", 2),
    "one-side": ("width", 1),
    "both-sides": ("width", 2),
    "one-end": ("length", 1),
    "both-ends": ("length", 2),
}
"""Words for sealed faces of a box: the direction they close and how many of its two faces."""


def require_positive(name: str, value: float) -> None:
    """Refuse a length that is not a finite number above zero. [m]"""
    if not (math.isfinite(value) and value > 0.0):
        raise OutOfRange(
            f"{name} {value:g} m is not a length above zero.",
            field=name,
            value=value,
            limit="above 0 m",
            remedy=f"Measure the {name} and give it with its unit.",
        )


@dataclass(frozen=True)
class Slab:
    """A piece so wide that only its thickness counts.

    Volume and wet area are per square metre of face. Equal to a `Box` of the same thickness whose sides
    and ends are sealed.
    """

    thickness: float  # [m]
    faces: int = 2  # wet faces: 2, or 1 when the other is sealed by rind or film

    def __post_init__(self) -> None:
        require_positive("thickness", self.thickness)
        if self.faces not in (1, 2):
            raise OutOfRange(
                f"A slab with {self.faces} wet faces is not possible.",
                field="faces",
                value=self.faces,
                limit="1 or 2",
                remedy="Say 2 for an open piece, 1 when one face is under rind.",
            )

    @property
    def path(self) -> float:
        """Distance from the slowest place to the wet face. [m]"""
        return self.thickness / self.faces

    @property
    def volume(self) -> float:
        """Volume per square metre of one face. [m3/m2]"""
        return self.thickness

    @property
    def wet_area(self) -> float:
        """Wet area per square metre of one face. [m2/m2]"""
        return float(self.faces)

    @property
    def factors(self) -> tuple[Factor, ...]:
        """The slab itself."""
        return (("slab", self.path),)


@dataclass(frozen=True)
class Cylinder:
    """A round piece: a loin, a collar rolled and tied, a fillet.

    Without a length it is long (its ends do not count, volume and area are per metre of length). With a
    length its ends are wet unless ``ends_sealed``.
    """

    radius: float  # [m]
    length: float | None = None  # [m]
    ends_sealed: bool = False

    def __post_init__(self) -> None:
        require_positive("radius", self.radius)
        if self.length is not None:
            require_positive("length", self.length)

    @property
    def path(self) -> float:
        """Distance from the middle to the nearest wet face. [m]"""
        return min(path for _, path in self.factors)

    @property
    def volume(self) -> float:
        """Volume; without a length, per metre. [m3 or m3/m]"""
        return math.pi * self.radius**2 * (1.0 if self.length is None else self.length)

    @property
    def wet_area(self) -> float:
        """Wet area; without a length, per metre. [m2 or m2/m]"""
        round_part = 2.0 * math.pi * self.radius * (1.0 if self.length is None else self.length)
        return round_part + (2.0 * math.pi * self.radius**2 if len(self.factors) == 2 else 0.0)

    @property
    def factors(self) -> tuple[Factor, ...]:
        """A long cylinder, and a slab of half the length when the ends are wet."""
        if self.length is None or self.ends_sealed:
            return (("cylinder", self.radius),)
        return (("cylinder", self.radius), ("slab", self.length / 2.0))


@dataclass(frozen=True)
class Sphere:
    """A ball: the fastest body for its thickness."""

    radius: float  # [m]

    def __post_init__(self) -> None:
        require_positive("radius", self.radius)

    @property
    def path(self) -> float:
        """Distance from the middle to the wet face. [m]"""
        return self.radius

    @property
    def volume(self) -> float:
        """Volume. [m3]"""
        return 4.0 / 3.0 * math.pi * self.radius**3

    @property
    def wet_area(self) -> float:
        """Wet area. [m2]"""
        return 4.0 * math.pi * self.radius**2

    @property
    def factors(self) -> tuple[Factor, ...]:
        """The sphere itself."""
        return (("sphere", self.radius),)


@dataclass(frozen=True)
class Box:
    """A trimmed piece: length, width, thickness, with rind or film on any of its faces.

    ``sealed`` holds words of `BOX_FACES`: rind on one large face is ``("one-large-face",)``.
    """

    length: float  # [m]
    width: float  # [m]
    thickness: float  # [m]
    sealed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("length", "width", "thickness"):
            require_positive(name, getattr(self, name))
        self._require_order("thickness", "width", "A piece is thinnest along its thickness.")
        self._require_order("width", "length", "A piece is longest along its length.")
        unknown = [word for word in self.sealed if word not in BOX_FACES]
        if unknown:
            raise OutOfRange(
                f"sealed face {unknown[0]!r} is not known.",
                field="sealed",
                value=unknown[0],
                limit=tuple(BOX_FACES),
                remedy="Choose among " + ", ".join(BOX_FACES) + ".",
            )
        if not self.factors:
            raise OutOfRange(
                "All six faces are sealed, so nothing can enter.",
                field="sealed",
                value=self.sealed,
                limit="at least one wet face",
                remedy="Leave at least one face out of the sealed ones.",
            )

    def _require_order(self, small: str, large: str, why: str) -> None:
        a, b = getattr(self, small), getattr(self, large)
        if a > b:
            raise OutOfRange(
                f"{small} {a:g} m is more than the {large} {b:g} m. {why}",
                field=small,
                value=a,
                limit=b,
                remedy=f"Measure both again, or exchange {small} and {large}.",
            )

    def wet_faces(self, direction: str) -> int:
        """How many of the two faces across ``direction`` are wet: 0, 1 or 2."""
        closed = [count for word in set(self.sealed) for d, count in (BOX_FACES[word],) if d == direction]
        return 2 - max(closed, default=0)

    @property
    def path(self) -> float:
        """Longest distance to a wet face along the thin way. [m]"""
        return min(path for _, path in self.factors)

    @property
    def volume(self) -> float:
        """Volume. [m3]"""
        return self.length * self.width * self.thickness

    @property
    def wet_area(self) -> float:
        """Area of all wet faces. [m2]"""
        return sum(
            self.wet_faces(direction) * self.volume / getattr(self, direction)
            for direction in ("length", "width", "thickness")
        )

    @property
    def factors(self) -> tuple[Factor, ...]:
        """One slab for every direction that has a wet face."""
        found: list[Factor] = []
        for direction in ("thickness", "width", "length"):
            faces = self.wet_faces(direction)
            if faces:
                found.append(("slab", getattr(self, direction) / faces))
        return tuple(found)


Shape = Slab | Cylinder | Sphere | Box
