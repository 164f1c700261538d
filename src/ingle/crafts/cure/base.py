"""The weight a dose is counted on: the green weight without skin."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.ground.things import Piece

# FSIS Directive 7620.3 (1995), pp. 27-31, quoted in a copy: skin is about a tenth of a belly and takes practically no cure.
SKIN_SHARE = 0.10


@dataclass(frozen=True)
class Base:
    """Green weight with and without skin [g], and how the skin was found."""

    whole_g: float
    skin_free_g: float
    words: str
    skin_on: bool = False
    skin_weighed: bool = False


def base_of(piece: Piece) -> Base:
    """What a piece's dose is counted on."""
    if piece.skin == "none":
        return Base(piece.weight_g, piece.weight_g, "green weight")
    if piece.skin_weight_g is not None:
        return Base(
            piece.weight_g,
            piece.weight_g - piece.skin_weight_g,
            "green weight without the weighed skin",
            True,
            True,
        )
    return Base(
        piece.weight_g,
        piece.weight_g * (1 - SKIN_SHARE),
        "green weight without skin (a tenth taken for the skin, FSIS 7620.3)",
        True,
    )


def base_of_all(pieces: tuple[Piece, ...]) -> Base:
    """The base of several pieces that share one mix."""
    each = [base_of(p) for p in pieces]
    if len(each) == 1:
        return each[0]
    return Base(
        sum(b.whole_g for b in each),
        sum(b.skin_free_g for b in each),
        f"green weight of {len(each)} pieces" + (" without skin" if any(b.skin_on for b in each) else ""),
        any(b.skin_on for b in each),
        all(b.skin_weighed for b in each if b.skin_on) and any(b.skin_on for b in each),
    )
