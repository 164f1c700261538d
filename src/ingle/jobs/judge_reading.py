"""A temperature read by hand, beside the line in force where it was read; kept with the reading, as it was told then."""

from __future__ import annotations

import re

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground import tables
from ingle.jobs.lying import lying
from ingle.notebook import control, kitchens
from ingle.notebook import logs_limits as lines
from ingle.notebook.models import Batch, Judged, Kitchen, LimitInForce, Reading, Step
from ingle.notebook.rows import new_uid
from ingle.notebook.store import Notebook
from ingle.safety.verdict import level_of_max

_COLD_PLACE = re.compile(r"\b(fridge|refrigerator|chiller|cold room|cold store|larder fridge)\b", re.IGNORECASE)
_ACT = "Move the food to a colder place now, measure it, and write the deviation down."
_NOT_CHECKED = ("calibration of the thermometer", "whether it was read in the warmest place")


def judge_reading(session: Session, home: Kitchen, row: Reading) -> Judged | None:
    """Beside the line of cold holding that decides first, where the reading is of a cold place or of a piece that lies in its cure; else None.

    A reading of a step that heats or smokes, or of a batch that lies in nothing, has no line here: none is guessed.
    """
    if row.temperature_c is None or row.void or not _is_cold(session, row):
        return None
    line = lines.lines_of("fridge", tuple(home.rules))[0]
    source = tables.source(line.source)
    day = kitchens.local(home, row.at_utc)
    limit = control.keep_limit(
        session,
        control.Line(
            rule=line.rule, title=line.title, value=line.max_c, unit="C", clause=line.clause, source=line.source, source_title=source.title,
            sure=line.sure, side="max", kind=line.kind, country=line.country, basis=line.basis, doubt=line.doubt,
        ),
        day,
    )  # fmt: skip
    level = level_of_max(row.temperature_c, line.max_c)
    of_food = () if row.probe_depth_mm else ("the temperature of the food itself",)
    return control.judge(
        session, home, new_uid("judged", row.uid, line.rule), limit, level, value=row.temperature_c, act=_ACT if level == "over" else "",
        not_checked=(*_NOT_CHECKED, *of_food), batch=session.get(Batch, row.batch_id) if row.batch_id else None, reading=row, at=row.at_utc, who=row.who,
    )  # fmt: skip


def _is_cold(session: Session, row: Reading) -> bool:
    if row.place:
        return bool(_COLD_PLACE.search(row.place))
    batch = session.get(Batch, row.batch_id) if row.batch_id else None
    if batch is None or batch.state != "going":
        return False
    lies = lying(session, batch)
    if lies is None or row.at_utc < lies.since:
        return False
    step = session.get(Step, row.step_id) if row.step_id else None
    if lies.step:  # a plan's step: it lies there while that step is going
        own = session.scalar(select(Step).where(Step.batch_id == batch.id, Step.key == lies.step))
        return own is not None and own.state == "going" and (step is None or step.id == own.id)
    return step is None and lies.pull is not None and row.at_utc <= lies.pull


def reading_judged(notebook: Notebook, row: Reading) -> tuple[Judged, LimitInForce] | None:
    """What was told of a reading when it was written."""
    with notebook.look() as session:
        found = session.execute(select(Judged, LimitInForce).join(LimitInForce, LimitInForce.id == Judged.limit_id).where(Judged.reading_id == row.id)).first()
        return (found[0], found[1]) if found else None
