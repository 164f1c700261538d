"""Green weight: what a piece weighs before anything goes on it, and its dose scaled to that weight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from ingle.crafts.cure.formula import round_down, round_up
from ingle.crafts.cure.mix import CuringSalt
from ingle.crafts.cure.premix import too_coarse
from ingle.ground.things import Band
from ingle.notebook.models import Batch, Dose, Piece, Reading

# A piece is bought and trimmed near the weight that was planned; beyond this share it is asked once (common practice, no source).
FAR = 0.20
# Of a cure begun without a dose in the book, a weight of its first day still counts as green (common practice, no source).
FIRST_DAY = timedelta(days=1)


def green_of(piece: Piece, batch: Batch, readings: Sequence[Reading], doses: Sequence[Dose], began: datetime) -> float:
    """The green weight that doses are counted on [g]: the last weight read before the first dose, else as cut or planned.

    ``readings`` and ``doses`` are those that stand. Only a cure has a green weight that a later reading can replace.
    """
    last = _read_before(piece, batch, readings, doses, began)
    return piece.green_weight_g if last is None or last.weight_g is None else last.weight_g


def green_read(piece: Piece, batch: Batch, readings: Sequence[Reading], doses: Sequence[Dose], began: datetime) -> bool:
    """Whether its green weight was read, as planned or not."""
    return _read_before(piece, batch, readings, doses, began) is not None


def _read_before(piece: Piece, batch: Batch, readings: Sequence[Reading], doses: Sequence[Dose], began: datetime) -> Reading | None:
    """The last weight of a piece read before its cure."""
    if batch.craft != "cure":
        return None
    first = min((d.at_utc for d in doses if d.piece_id in (piece.id, None) and d.weighed_g > 0), default=None)
    end = first if first is not None else began + FIRST_DAY if batch.state == "going" else None
    before = [r for r in readings if r.piece_id == piece.id and r.weight_g is not None and (end is None or r.at_utc < end)]
    return max(before, key=lambda r: (r.at_utc, r.id), default=None)


def scaled(grams: Mapping[str, float], ratio: float, formula: Mapping[str, Any]) -> dict[str, float]:
    """A piece's dose for another green weight [g]: the same shares, rounded to the scale's step again.

    Curing salt and premix are rounded down, all else up; the salt that rounding takes with the curing salt is given back as plain salt.
    """
    step = float(formula.get("step_g") or 0.1)
    strength = formula.get("curing_salt_nitrite")
    found = {k: (round_down if k in ("curing_salt", "premix") else round_up)(g * ratio, step) for k, g in grams.items()}
    if strength and grams.get("curing_salt") and "salt" in found:
        lost = (grams["curing_salt"] * ratio - found["curing_salt"]) * CuringSalt(strength).salt
        found["salt"] = round_up(grams["salt"] * ratio + lost, step)
    return found


def coarse(grams: Mapping[str, float], formula: Mapping[str, Any]) -> bool:
    """Whether one step of the scale is more than 5 % of the curing salt to weigh, or rounds it away."""
    step = formula.get("step_g")
    curing = grams.get("curing_salt")
    return bool(step and formula.get("curing_salt_nitrite") and curing is not None and (curing == 0 or too_coarse(curing, step)))


def is_far(weighed_g: float, told_g: float) -> bool:
    """Whether a green weight is so far from the one that was told that it is asked once."""
    return abs(weighed_g - told_g) > FAR * told_g + 1e-9


def near_green(told_g: float, step_g: float) -> Band:
    """What a piece may weigh before its cure [g]: about the weight that was told, and at least a step of the scale each way."""
    play = max(FAR * told_g, step_g)
    return Band(max(told_g - play, step_g), told_g, told_g + play)


def planned_of(formula: dict[str, Any], i: int, piece: Piece, pieces: Sequence[Piece], green_g: float) -> dict[str, float]:
    """What a batch's formula gives one piece of this green weight [g]: its own line, else its share of the whole; by the formula's keys."""
    own = formula.get("pieces") or []
    if i < len(own):
        grams, base = own[i].get("grams", {}), piece.green_weight_g
    else:
        grams, base = formula.get("grams", {}), sum(p.green_weight_g for p in pieces)
    ratio = green_g / base
    return dict(grams) if abs(ratio - 1) < 1e-9 else scaled(grams, ratio, formula)


def item_of(key: str, formula: Mapping[str, Any]) -> str:
    """The name a dose of it is written under: a curing salt, and a premix of one, by its strength, so that it can be counted."""
    strength = formula.get({"curing_salt": "curing_salt_nitrite", "premix": "premix_nitrite"}.get(key, ""))
    return f"curing-salt@{strength * 100:g}%" if strength else key
