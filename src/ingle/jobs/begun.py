"""A piece that lies in its cure already, taken into the book: piece, batch, what went on, and its forecast from that hour."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from ingle.crafts.cure import forecast, history
from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.history import Stage
from ingle.crafts.cure.late import wish_of
from ingle.crafts.cure.mix import Mix, mix
from ingle.crafts.cure.thick import as_measured, assumed_words
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.ground.things import Band, Piece
from ingle.jobs.batch_facts import item_name
from ingle.jobs.judge_dose import judge_dose
from ingle.notebook import kitchens, readings
from ingle.notebook.models import Batch
from ingle.notebook.rows import new_uid, only_kitchen, uid_of
from ingle.notebook.store import Notebook


def begun(
    notebook: Notebook, name: str, piece: Piece, added_g: Mapping[str, float], *, at: datetime | None = None, temperature_c: float = 4.0, ready_chance: float = 0.95,
    uid: str | None = None, who: str = "", note: str = "",
) -> Batch:  # fmt: skip
    """Write a piece down as a batch that is going.

    Parameters
    ----------
    added_g : mapping of str to float
        What went on [g]: "salt", "curing-salt@6.25%", "sugar".
    at : datetime, optional
        When it was laid in; now when left out.
    temperature_c : float
        Of the fridge, for the forecast. A piece without a thickness is timed as thick as a cube of its weight, and the forecast says so.
    """
    known = uid_of(uid)
    if not name.strip():
        raise BadBrief("The piece has no name.", field="name", value=name, remedy="A word or two, like Collar.")
    written = {item_name(k): g for k, g in added_g.items() if g > 0}
    if not written:
        raise BadBrief("Nothing went on it.", field="salt", value="nothing", remedy="Give the salt in g.")
    told = _forecast(piece, mix([(k, f"{g!r}g") for k, g in written.items()]), temperature_c, ready_chance)

    def work(session: Session) -> Batch:
        home = only_kitchen(session)
        named = Piece(**{**vars(piece), "name": piece.name or name})
        cut = kitchens.cut(session, home, new_uid("piece", known), named, at=at, who=who)
        batch = kitchens.lay_in(
            session, home, known, name, part=name.strip().lower()[:40], craft="cure", pieces=[cut], state="going", at=at, who=who, note=note, forecast=told,
            formula={"method": "dry", "green_weight_g": piece.weight_g},
        )  # fmt: skip
        rows = [readings.dose(session, home, new_uid("dose", known, item), batch, item, grams, piece=cut, at=at, who=who) for item, grams in written.items()]
        judge_dose(session, home, batch, cut, rows[-1])
        return batch

    return notebook.write(work)


def _forecast(piece: Piece, given: Mix, temperature_c: float, chance: float) -> dict[str, Any]:
    dose = given.salt / base_of(piece).skin_free_g
    wish, excess = wish_of(dose, None)
    ready = forecast.window(as_measured(piece), dose, temperature_c, wished=min(wish, dose), chances=(0.5, chance))
    pull = ready.likely_h if excess else ready.at_chance[f"{chance:g}"]
    if ready.likely_h > 1e9:
        return {}
    return {
        "what": ready.what, "basis": f"{ready.basis}, {temperature_c:g} C", "pull_h": pull if pull < 1e9 else None, "excess": excess,
        "quantiles_h": [h if h < 1e9 else None for h in ready.quantiles_h], "assumed": list(assumed_words(piece)),
    }  # fmt: skip


def expected_g(piece: Piece, added_g: Mapping[str, float], hours: float, temperature_c: float = 4.0) -> Band | None:
    """What a piece weighs now by the cure's own model [g], 5 to 95 %; None where its thickness or dose is not known."""
    known = [(item_name(k), f"{g!r}g") for k, g in added_g.items() if g > 0]
    if piece.thickness_mm is None or not known or hours <= 0:
        return None
    try:
        given = mix(known)
        wish, _ = wish_of(given.salt / base_of(piece).skin_free_g, None)
        told = history.run(piece, (Stage("rub", min(hours, 9600.0), temperature_c, add=given),), wished=wish, members=96, steps=24)
    except IngleError:  # outside what the model holds for: then nothing is expected
        return None
    low, likely, high = (piece.weight_g * (1 + band[-1] / units.PER_HUNDRED) for band in told.change_pct)
    return Band(float(low), float(likely), float(high))
