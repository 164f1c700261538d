"""What was seen and done: readings, doses, steps, and their corrections. Written once, answered when it is on the disk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.jobs.batch_facts import item_name
from ingle.jobs.judge_dose import judge_dose
from ingle.jobs.judge_reading import judge_reading
from ingle.jobs.kitchen import instrument_named
from ingle.notebook import control, kitchens, readings
from ingle.notebook.models import (
    Batch,
    CorrectiveAction,
    Deviation,
    Done,
    Dose,
    Handed,
    InstrumentCheck,
    Kitchen,
    Link,
    Piece,
    PlanTaken,
    Reading,
    Step,
)
from ingle.notebook.rows import by_uid, new_uid, only_kitchen, stands, uid_of
from ingle.notebook.store import Notebook
from ingle.notebook.trouble import NotFound

CORRECTABLE = {
    "reading": Reading, "dose": Dose, "step": Done, "deviation": Deviation, "action": CorrectiveAction, "handed": Handed, "link": Link,
    "check": InstrumentCheck,
}  # fmt: skip


def reading(
    notebook: Notebook, about: str | None = None, *, kitchen: str | None = None, step: str | None = None, instrument: str | None = None,
    photo: bytes | None = None, uid: str | None = None, at: datetime | None = None, who: str = "", **more: Any,
) -> Reading:  # fmt: skip
    """A reading of a batch, piece or lot (by its code), or of a place in the kitchen.

    ``more``: ``weight_g``, ``temperature_c``, ``ph``, ``water_activity``, ``humidity_pct``, ``salt_g_per_100g``,
    ``taste``, ``note``, ``place``, ``probe_depth_mm``.
    """
    known = uid_of(uid)

    def work(session: Session) -> Reading:
        home, on = where(session, about, kitchen)
        if step:
            on["step"] = step_of(session, home, step, on.get("batch"))
            on.setdefault("batch", session.get(Batch, on["step"].batch_id) if on["step"].batch_id else None)
        if instrument:
            on["instrument"] = instrument_named(session, home, instrument)
        if photo is not None:
            on["photo"] = readings.add_photo(session, home, new_uid("photo", known), photo, at=at, who=who)
        row = readings.read(session, home, known, at=at, who=who, **on, **more)
        judge_reading(session, home, row)
        if row.weight_g is not None:
            _time(session, on.get("batch"))
        return row

    return notebook.write(work)


def _time(session: Session, batch: Batch | None) -> None:
    """What was written may move when the batch is ready."""
    if batch is None or batch.craft != "cure":
        return
    from ingle.jobs.box_forecast import tell  # the forecast is loaded only where a cure asks for it

    tell(session, batch)


def where(session: Session, about: str | None, kitchen: str | None = None) -> tuple[Kitchen, dict[str, Any]]:
    """The kitchen and what a code stands for; a piece brings the batch it lies in."""
    if about is None:
        return only_kitchen(session, kitchen), {}
    thing = kitchens.traced(session, about)
    home = session.get_one(Kitchen, thing.kitchen_id)
    if thing.kind == "pack":
        raise BadBrief(f"{about} is a pack; readings are of batches, pieces and lots.", field="about", value=about)
    on: dict[str, Any] = {thing.kind: thing}
    if thing.kind == "piece":
        on["batch"] = batch_of(session, thing)
    return home, on


def batch_of(session: Session, piece: Piece) -> Batch | None:
    """The batch a piece went into last."""
    return session.scalar(
        select(Batch).join(Link, Link.to_id == Batch.id).where(Link.from_id == piece.id, stands(Link)).order_by(Link.id.desc()).limit(1)
    )


def dose(
    notebook: Notebook, about: str, amounts: Mapping[str, float], *, planned: Mapping[str, float] | None = None,
    lots: Mapping[str, str] | None = None, instrument: str | None = None, again: bool = False, uid: str | None = None,
    at: datetime | None = None, who: str = "",
) -> tuple[Dose, ...]:  # fmt: skip
    """What was weighed in for a piece or batch [g], all of it or none; judged by the limits of its day, which are kept.

    Raises
    ------
    AlreadyDosed
        This was given before, by whom and when; ``again`` says that a second time is meant.
    """
    known = uid_of(uid)
    if not amounts:
        raise BadBrief("Nothing was weighed in.", field="add", limit="NAME=AMOUNT", remedy="Write it like --add salt=34g.")

    written = {item_name(item): grams for item, grams in amounts.items()}
    wished = {item_name(item): grams for item, grams in (planned or {}).items()}
    bags = {item_name(item): code for item, code in (lots or {}).items()}

    def work(session: Session) -> tuple[Dose, ...]:
        home, on = where(session, about)
        if on.get("batch") is None:
            raise BadBrief(
                f"{about} lies in no batch yet.", field="about", value=about, remedy="Lay it in first: ingle record batch NAME --takes CODE."
            )
        tool = instrument_named(session, home, instrument) if instrument else None
        rows = tuple(
            readings.dose(
                session, home, new_uid("dose", known, item), on["batch"], item, grams, piece=on.get("piece"),
                planned_g=wished.get(item), lot=kitchens.traced(session, bags[item], ("lot",)) if item in bags else None,
                instrument=tool, again=again, at=at, who=who,
            )
            for item, grams in written.items()
        )  # fmt: skip
        judge_dose(session, home, on["batch"], on.get("piece"), rows[-1])
        _time(session, on["batch"])
        return rows

    return notebook.write(work)


def step(
    notebook: Notebook, word: str, *, batch: str | None = None, kitchen: str | None = None, began: datetime | None = None,
    ended: datetime | None = None, uid: str | None = None, who: str = "", note: str = "", once: bool = False,
) -> Done:  # fmt: skip
    """A step is begun (``began`` alone) or done. ``word`` is its key ("collar.cure"), name, number or UUID; ``once``: one that is over is refused."""
    known = uid_of(uid)

    def work(session: Session) -> Done:
        home, on = where(session, batch, kitchen)
        return step_in(session, home, step_of(session, home, word, on.get("batch")), known, began=began, ended=ended, who=who, note=note, once=once)

    return notebook.write(work)


def step_in(
    session: Session, home: Kitchen, row: Step, uid: str, *, began: datetime | None, ended: datetime | None, who: str, note: str, once: bool = False
) -> Done:
    """The same within a transaction that goes on."""
    done = readings.do_step(session, row, uid, began=began, ended=ended, who=who, note=note, once=once)
    if row.batch_id and row.state in ("going", "done"):
        laid = session.get_one(Batch, row.batch_id)
        if laid.state == "planned":  # its first step begins the batch
            kitchens.set_state(session, laid, new_uid("begun", laid.uid), "going", at=done.began_utc or done.at_utc, who=who, why=row.name)
            _by_products(session, home, laid, who)
    return done


def _by_products(session: Session, home: Kitchen, batch: Batch, who: str) -> None:
    """What the plan lets flow into this batch from others is linked when the batch begins; a flow that did not happen is corrected."""
    taken = session.scalar(
        select(PlanTaken).where(PlanTaken.kitchen_id == home.id, PlanTaken.name == batch.plan_name).order_by(PlanTaken.number.desc()).limit(1)
    )
    for flow in taken.content.get("flows", ()) if taken else ():
        if flow.get("to_part") != batch.part:
            continue
        asked = select(Batch).where(Batch.kitchen_id == home.id, Batch.plan_name == batch.plan_name, Batch.part == flow["from_part"])
        source = session.scalar(asked.order_by(Batch.id.desc()).limit(1))
        if source is not None and source.id != batch.id:
            uid = new_uid("flow", source.uid, batch.uid, flow["item"])
            kitchens.link(session, home, uid, source, batch, item=flow["name"], amount_g=flow["amount_g"], who=who)


def step_of(session: Session, home: Kitchen, word: str, batch: Batch | None = None) -> Step:
    """One step by key, name, number or UUID; what is dropped or fits twice is not guessed."""
    said = word.strip()
    asked = select(Step).where(Step.kitchen_id == home.id, (Step.key == said) | (Step.name == said) | (Step.uid == said.lower()))
    if said.isdigit():
        asked = select(Step).where(Step.kitchen_id == home.id, Step.id == int(said))
    if batch is not None:
        asked = asked.where(Step.batch_id == batch.id)
    found = list(session.scalars(asked))
    live = [s for s in found if s.state != "dropped"] or found
    open_ = [s for s in live if s.state in ("planned", "going")]
    fits = open_ if len(live) > 1 and len(open_) == 1 else live
    if not fits:
        raise NotFound(f"There is no step {word!r}.", field="step", value=word, remedy="See the steps: ingle today.")
    if len(fits) > 1:
        raise BadBrief(
            f"{word!r} is a step of several plans.", field="step", value=word,
            limit=", ".join(f"{s.id} ({s.plan_name})" for s in fits), remedy="Name it by its number, or name the batch.",
        )  # fmt: skip
    return fits[0]


def correct(
    notebook: Notebook, kind: str, row: str, *, void: bool = False, uid: str | None = None, at: datetime | None = None, who: str = "", **changed: Any
) -> Any:
    """A new row in the place of a wrong one (by number or UUID); ``void`` withdraws it altogether. The old row stays."""
    if kind not in CORRECTABLE:
        raise BadBrief(f"{kind!r} cannot be corrected.", field="kind", value=kind, limit=", ".join(CORRECTABLE))
    known = uid_of(uid)
    if not void and not changed and at is None:
        raise BadBrief("Nothing is corrected.", field=kind, value=row, remedy="Give the right value, or --void.")
    model: Any = CORRECTABLE[kind]

    def work(session: Session) -> Any:
        made = readings.correct(session, known, by_uid(session, model, row, kind), void=void, at=at, who=who, **changed)
        if isinstance(made, Reading):
            judge_reading(session, session.get_one(Kitchen, made.kitchen_id), made)
        if isinstance(made, Dose | Reading) and made.batch_id:
            _time(session, session.get_one(Batch, made.batch_id))
        return made

    return notebook.write(work)


def withdraw(notebook: Notebook, kind: str, rows: Sequence[str], *, uid: str | None = None, who: str = "") -> None:
    """Several entries that were written together are withdrawn together, all of them or none: the items of one dosing."""
    if kind not in CORRECTABLE:
        raise BadBrief(f"{kind!r} cannot be corrected.", field="kind", value=kind, limit=", ".join(CORRECTABLE))
    known = uid_of(uid)
    model: Any = CORRECTABLE[kind]

    def work(session: Session) -> None:
        for row in rows:
            readings.correct(session, known if len(rows) == 1 else new_uid("withdrawn", known, row), by_uid(session, model, row, kind), void=True, who=who)

    notebook.write(work)


def deviate(
    notebook: Notebook, what: str, *, about: str | None = None, kitchen: str | None = None, limit: control.Line | None = None,
    uid: str | None = None, at: datetime | None = None, **more: Any,
) -> Deviation:  # fmt: skip
    """A line was crossed. ``more``: as `ingle.notebook.control.deviate` (level, act, cause, value, unit, deadline, who)."""
    known = uid_of(uid)

    def work(session: Session) -> Deviation:
        home, on = where(session, about, kitchen)
        kept = control.keep_limit(session, limit, kitchens.local(home, at) if at else kitchens.local(home, readings.moment(None))) if limit else None
        return control.deviate(session, home, known, what, batch=on.get("batch"), limit=kept, at=at, **more)

    return notebook.write(work)


def act_on(notebook: Notebook, deviation: str, act: str, *, uid: str | None = None, **more: Any) -> CorrectiveAction:
    """What was done about a deviation. ``more``: as `ingle.notebook.control.act_on` (cause, control, prevention, product, closes)."""
    known = uid_of(uid)
    return notebook.write(lambda s: control.act_on(s, by_uid(s, Deviation, deviation, "deviation"), known, act, **more))
