"""What a piece is expected to weigh, how a figure sits beside it, and what is asked once of a weight that was stored out of range."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ingle.ground import units
from ingle.ground.errors import IngleError
from ingle.ground.things import Band
from ingle.jobs.begun import expected_g
from ingle.jobs.book import Leaf, PieceRow
from ingle.jobs.green import near_green
from ingle.jobs.house import House

# Where nothing better is known: a piece gains little in a cure and dries to a third at most (common practice, no source).
WILD = (1 / 3, 1.3)


@dataclass(frozen=True)
class Asked:
    """A weight that was stored and is far from what was expected."""

    words: str
    way: str  # where it is put right


def step_g(grams: float, lived: House) -> float:
    """The finest step that shows in a piece's weight [g]: the scale's, or the last place of the figure."""
    shown = 0.01 * units.mass_g("1lb") if lived.mass == "lb" else 10.0 if grams >= 1000 else 1.0
    return max(units.mass_g(lived.scale, "scale"), shown)


def expected(told: Leaf, piece: PieceRow, now: datetime, lived: House) -> Band | None:
    """Before its cure: about green. In the cure: by its model, where thickness and dose are in the book; never narrower than the scale's step each way."""
    added = {d.item: d.weighed_g for d in piece.doses} or ({d.item: d.weighed_g for d in told.facts.doses if d.piece_id is None} if len(told.pieces) == 1 else {})
    if not added:
        return near_green(piece.told_g, step_g(piece.told_g, lived)) if told.facts.batch.craft == "cure" and not told.facts.doses else None
    cut = next((c for c, p in zip(told.facts.cuts, told.pieces, strict=True) if p.code == piece.code), None)
    if cut is None or told.state == "planned":
        return None
    band = expected_g(cut, added, units.hours((now - told.laid_in).total_seconds()))
    play = step_g(piece.green_g, lived)
    return None if band is None else Band(min(band.low, band.likely - play), band.likely, max(band.high, band.likely + play))


def beside(grams: float | None, band: Band | None, piece: PieceRow, lived: House) -> tuple[str, str]:
    """Level and words of a figure beside what is expected."""
    last = f"green {lived.weight(piece.green_g)}" + (f", last {lived.weight(piece.last_g)}" if piece.last_g is not None else "")
    if band is None:
        return "", last
    words = f"expected {lived.weight(band.low)} to {lived.weight(band.high)}"
    if grams is None:
        return "", f"{words}; {last}"
    inside = band.low <= grams <= band.high
    return ("within" if inside else "near"), words if inside else f"outside what is {words}; weigh again, or record it as it is"


def pressed(figure: str, unit: str, lived: House) -> str:
    """A figure as it was pressed, with its reading where the house writes that weight in another unit: ``0.90 kg (900 g)``."""
    read = lived.weight(units.mass_g(f"{figure}{unit}", "weight"))
    return f"{figure}\u00a0{unit}" + ("" if read.endswith(f"\u00a0{unit}") else f" ({read})")


def _as_pressed(words: str, grams: float) -> str:
    """The weight in a stamp's words ("Collar: 0.90 kg (900 g)"), where it is the one that was stored; else ""."""
    told = words.rpartition(": ")[2]
    try:
        return told if abs(units.mass_g(told.partition(" (")[0], "weight") - grams) < 1e-6 else ""
    except IngleError:  # the words came with an address: they may be anything
        return ""


def asked(told: Leaf, wrote: str, now: datetime, lived: House, said: str = "") -> Asked | None:
    """What is asked, once, of the weight that was just written: None where it lies within what is expected.

    ``said`` are the words it was written with: it is told as it was pressed.
    """
    entry = next((e for e in told.entries if e.kind == "reading" and e.now.uid == wrote and not e.now.void), None)
    grams = entry.now.row.weight_g if entry else None
    piece = next((p for p, held in zip(told.pieces, told.facts.pieces, strict=True) if entry and held.id == entry.now.row.piece_id), None)
    if entry is None or grams is None or piece is None:
        return None
    band = expected(told, piece, now, lived)
    low, high = (band.low, band.high) if band else (WILD[0] * piece.green_g, WILD[1] * piece.green_g)
    if low <= grams <= high:
        return None
    doses = " The dose is counted on it." if told.facts.batch.craft == "cure" and not piece.doses else ""
    words = f"{piece.name}: {_as_pressed(said, grams) or lived.weight(grams)} is stored; {lived.weight(low)} to {lived.weight(high)} was expected. Is it right?{doses}"
    return Asked(words, f"/book/{told.code}/correct/reading/{entry.now.uid}")
