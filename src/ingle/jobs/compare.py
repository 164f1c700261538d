"""Batches side by side, one row each: what went in, how long, what was read, what came out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.again import targets_of
from ingle.jobs.batch_facts import Facts, facts_of
from ingle.notebook import kitchens
from ingle.notebook.models import Reading
from ingle.notebook.store import Notebook


@dataclass(frozen=True)
class Compared:
    """One batch as a row. None = not noted."""

    code: str
    name: str
    laid_in: datetime
    state: str
    days: float | None  # until it ended
    green_weight_g: float | None
    salt_per_green_weight: float | None
    nitrite_mg_per_kg: float | None
    last_weight_g: float | None
    change_pct: float | None  # of green weight
    temperature_c: float | None  # last read
    ph: float | None
    water_activity: float | None
    taste: str
    deviations: int
    packed_g: float | None
    yield_pct: float | None  # packed, of green weight


def compare(notebook: Notebook, codes: Sequence[str]) -> tuple[Compared, ...]:
    """One row a batch, in the order they were named; two at least."""
    if len(set(codes)) < 2:
        raise BadBrief("Comparing takes two batches or more.", field="batch", value=", ".join(codes), remedy="Name another code.")
    with notebook.look() as session:
        found = [kitchens.traced(session, code, ("batch",)) for code in dict.fromkeys(codes)]
        return tuple(_row(f) for f in facts_of(session, found))


def as_dicts(rows: Sequence[Compared]) -> list[dict[str, Any]]:
    """Keys and values for ``--json``."""
    return [asdict(r) | {"laid_in": r.laid_in.isoformat()} for r in rows]


def _row(f: Facts) -> Compared:
    b = f.batch
    base = f.base
    green = base.whole_g if base else b.formula.get("green_weight_g")
    salt: float | None
    nitrite: float | None
    try:
        made = targets_of(f)
        salt, nitrite = made.salt, made.nitrite_mg_per_kg
    except BadBrief:
        salt = nitrite = None
    weight = last_weight_g(f)
    packed = sum(p.count * p.net_weight_g for p in f.packs) or None
    last = lambda of: _last(f.readings, of)  # noqa: E731
    share = lambda g: None if g is None or not green else units.per_hundred(g / green)  # noqa: E731
    change = share(None if weight is None or not green else weight - green)
    days = None if b.ended_utc is None else units.days(units.hours((b.ended_utc - b.at_utc).total_seconds()))
    return Compared(
        b.code, b.name, b.at_utc, b.state, days, green, salt, nitrite, weight, change, last(lambda r: r.temperature_c), last(lambda r: r.ph),
        last(lambda r: r.water_activity), next((r.text for r in reversed(f.readings) if r.kind == "taste"), ""), len(f.deviations), packed,
        share(packed),
    )  # fmt: skip


def _last(readings: Sequence[Reading], of: Callable[[Reading], float | None]) -> float | None:
    return next((of(r) for r in reversed(readings) if of(r) is not None), None)


def last_weight_g(f: Facts) -> float | None:
    """The batch's last weight: read for the whole, or for every piece."""
    by_piece: dict[int | None, Reading] = {r.piece_id: r for r in f.readings if r.weight_g is not None}
    whole = by_piece.get(None)
    pieces = [by_piece[p.id] for p in f.pieces if p.id in by_piece]
    if pieces and len(pieces) == len(f.pieces) and (whole is None or max(r.at_utc for r in pieces) > whole.at_utc):
        return sum(r.weight_g or 0.0 for r in pieces)
    return whole.weight_g if whole else None
