"""What lies in its cure already, taken into the book: pieces, batch, what went on, and the forecast from that hour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from string import ascii_uppercase

from sqlalchemy.orm import Session

from ingle.crafts.cure import history
from ingle.crafts.cure.base import base_of
from ingle.crafts.cure.history import Stage
from ingle.crafts.cure.late import wish_of
from ingle.crafts.cure.mix import mix
from ingle.ground import units
from ingle.ground.errors import BadBrief, IngleError
from ingle.ground.things import Band, Piece
from ingle.jobs.batch_facts import item_name
from ingle.jobs.box_pieces import CHANCE, FRIDGE_C
from ingle.jobs.judge_dose import judge_dose
from ingle.notebook import kitchens, readings
from ingle.notebook.models import Batch
from ingle.notebook.rows import new_uid, only_kitchen, uid_of
from ingle.notebook.store import Notebook


def begun(
    notebook: Notebook, name: str, piece: Piece | Sequence[Piece], added_g: Mapping[str, float], *, at: datetime | None = None, temperature_c: float = FRIDGE_C,
    ready_chance: float = CHANCE, uid: str | None = None, who: str = "", note: str = "",
) -> Batch:  # fmt: skip
    """Write a piece, or several that lie in one box, down as a batch that is going.

    Parameters
    ----------
    piece : Piece or sequence of Piece
        One without a thickness is timed as thick as a cube of its weight, and the forecast says so.
    added_g : mapping of str to float
        What went on, on all of them together [g]: "salt", "curing-salt@6.25%", "sugar".
    at : datetime, optional
        When it was laid in; now when left out.
    temperature_c : float
        Of the fridge, for the forecast.
    """
    known = uid_of(uid)
    if not name.strip():
        raise BadBrief("The piece has no name.", field="name", value=name, remedy="A word or two, like Collar.")
    written = {item_name(k): g for k, g in added_g.items() if g > 0}
    if not written:
        raise BadBrief("Nothing went on it.", field="salt", value="nothing", remedy="Give the salt in g.")
    cuts = [piece] if isinstance(piece, Piece) else list(piece)
    if not cuts:
        raise BadBrief("No piece lies in it.", field="weight", value="nothing", remedy="Give the green weight of each piece.")
    alone = len(cuts) == 1

    def work(session: Session) -> Batch:
        home = only_kitchen(session)
        rows = [
            kitchens.cut(session, home, new_uid("piece", known, *([i] if i else [])), replace(c, name=c.name or (name if alone else f"{name} {letter(i)}")), at=at, who=who)
            for i, c in enumerate(cuts)
        ]
        batch = kitchens.lay_in(
            session, home, known, name, part=name.strip().lower()[:40], craft="cure", pieces=rows, state="going", at=at, who=who, note=note,
            forecast={"temperature_c": temperature_c, "ready_chance": ready_chance}, formula={"method": "dry", "green_weight_g": sum(c.weight_g for c in cuts)},
        )  # fmt: skip
        on = rows[0] if alone else None
        doses = [readings.dose(session, home, new_uid("dose", known, item), batch, item, grams, piece=on, at=at, who=who) for item, grams in written.items()]
        judge_dose(session, home, batch, on, doses[-1])
        from ingle.jobs.box_forecast import tell  # planning's windows: loaded where a box is laid in

        tell(session, batch)
        return batch

    return notebook.write(work)


def letter(i: int) -> str:
    """``A`` of the first piece in a box, ``B`` of the second, ``AA`` after ``Z``.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    before, last = divmod(i, len(ascii_uppercase))
    return (letter(before - 1) if before else "") + ascii_uppercase[last]


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
