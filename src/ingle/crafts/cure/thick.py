"""A piece that nobody pushed a skewer through: how thick it may be by its weight, and which of that it is timed by."""

from __future__ import annotations

import math
from dataclasses import replace

from ingle.crafts.cure.forecast_draw import law
from ingle.ground import units
from ingle.ground.things import Band, Piece


def thick_range(weight_g: float) -> Band:
    """How thick a piece of this weight may be [mm, whole]: from flat to a cube of lean, the cube also as the likely one. A forecast
    refuses what is too thick for it, with the thickness.
    """
    said = law()
    side = 10 * (weight_g / (said["density"]["value"] / 1000)) ** (1 / 3)
    flat, cube = (math.ceil(said["thickness"]["unmeasured"][end] * side) for end in ("low", "high"))
    return Band(float(flat), float(cube), float(cube))


def as_measured(piece: Piece) -> Piece:
    """A piece without a thickness is taken as thick as a cube of its weight, open on its two faces: nothing early is promised."""
    if piece.thickness_mm is not None:
        return piece
    return replace(piece, thickness_mm=thick_range(piece.weight_g).high, width_mm=None, length_mm=None, shape="slab")


def assumed_words(piece: Piece) -> tuple[str, ...]:
    """What is told of a piece that was not measured; nothing of one that was."""
    if piece.thickness_mm is not None:
        return ()
    told = thick_range(piece.weight_g)
    return (
        f"thickness not measured: {units.show_mass(piece.weight_g)} may be {told.low:.0f} mm thick (flat) to {told.high:.0f} mm (a cube); "
        f"timed as {told.high:.0f} mm, so that nothing early is promised. Push a skewer through the thickest place: a thinner piece is ready sooner",
    )
