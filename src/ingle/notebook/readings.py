"""Readings, doses, steps begun and done: written once, never edited. A correction is a new row that points back."""

from __future__ import annotations

import hashlib
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground import units
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.notebook.kitchens import HEAVIEST_G, link
from ingle.notebook.models import Batch, Done, Dose, Instrument, Kitchen, Lot, Photo, Piece, Reading, Step, Traced
from ingle.notebook.pictures import picture_kind
from ingle.notebook.rows import add_once, moment, new_uid, number, standing, stands, text
from ingle.notebook.trouble import AlreadyThere

PHOTO_MOST = 12_000_000  # bytes
# column -> (kind, lowest, highest, unit)
MEASURED = {
    "weight_g": ("weight", 1e-3, HEAVIEST_G, "g"),
    "temperature_c": ("temperature", -90.0, 400.0, "C"),
    "ph": ("ph", 0.0, 14.0, ""),
    "water_activity": ("water_activity", 0.0, 1.0, ""),
    "humidity_pct": ("humidity", 0.0, 100.0, "%"),
    "salt_g_per_100g": ("salt", 0.0, 100.0, "g/100 g"),
}


class AlreadyDosed(AlreadyThere):
    """This piece got this already; ``dose`` holds who and when. Say ``again`` when a second time is meant."""

    def __init__(self, message: str, *, dose: Dose, **more: Any):
        self.dose = dose
        super().__init__(message, **more)


def read(
    session: Session, kitchen: Kitchen, uid: str, *, batch: Batch | None = None, piece: Piece | None = None, lot: Lot | None = None,
    step: Step | None = None, instrument: Instrument | None = None, place: str = "", kind: str | None = None, taste: str | None = None,
    note: str | None = None, photo: Photo | None = None, probe_depth_mm: float | None = None, at: datetime | None = None, who: str = "",
    **measured: float | None,
) -> Reading:  # fmt: skip
    """A reading of a batch, a piece, a lot, a step, or of a place in the kitchen.

    ``measured`` are columns of `MEASURED`. Two of them in one row are one look at one moment (a weight and its core).
    """
    values = _values(measured)
    words = [text(w, k) for k, w in (("taste", taste), ("note", note)) if w]
    if kind is None:
        kind = next(iter(MEASURED[k][0] for k in values), "taste" if taste else "photo" if photo else "note")
    if not values and not words and photo is None:
        raise BadBrief(
            "The reading holds nothing.", field="reading", limit=", ".join([*MEASURED, "taste", "note", "photo"]),
            remedy="Give a value with its unit, like --weight 1.33kg.",
        )  # fmt: skip
    row, _ = add_once(
        session, Reading, uid, ("at_utc",), kitchen_id=kitchen.id, batch_id=batch.id if batch else None,
        piece_id=piece.id if piece else None, lot_id=lot.id if lot else None, step_id=step.id if step else None,
        instrument_id=instrument.id if instrument else None, photo_id=photo.id if photo else None, place=text(place, "place", most=80),
        kind=kind, text="\n".join(words), probe_depth_mm=number(probe_depth_mm, "probe depth", 0, 1000, "mm"), at_utc=moment(at),
        zone=kitchen.zone, who=text(who, "who", most=40), **values,
    )  # fmt: skip
    return row


def _values(measured: dict[str, float | None]) -> dict[str, float]:
    unknown = set(measured) - set(MEASURED)
    if unknown:
        raise BadBrief(
            f"{', '.join(sorted(unknown))} is not measured here.", field="reading", value=", ".join(sorted(unknown)), limit=", ".join(MEASURED)
        )
    told = {}
    for name, value in measured.items():
        if value is not None:
            _, low, high, unit = MEASURED[name]
            told[name] = number(value, name.rpartition("_")[0] or name, low, high, unit)
    return told  # type: ignore[return-value]


def add_photo(session: Session, kitchen: Kitchen, uid: str, content: bytes, *, at: datetime | None = None, who: str = "") -> Photo:
    """A picture as JPEG or PNG, known by its bytes from first to last and not by its name."""
    if len(content) > PHOTO_MOST:
        raise OutOfRange(
            f"The picture has {len(content) / 1e6:.1f} MB; at most {PHOTO_MOST / 1e6:.0f} MB are kept.", field="photo",
            value=len(content), limit=PHOTO_MOST, remedy="Take it smaller.",
        )  # fmt: skip
    media = picture_kind(content)
    row, _ = add_once(
        session, Photo, uid, ("at_utc",), sha256=hashlib.sha256(content).hexdigest(), media_type=media, content=content, at_utc=moment(at),
        zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def dose(
    session: Session, kitchen: Kitchen, uid: str, batch: Batch, item: str, weighed_g: float, *, piece: Piece | None = None,
    planned_g: float | None = None, lot: Lot | None = None, instrument: Instrument | None = None, again: bool = False,
    at: datetime | None = None, who: str = "",
) -> Dose:  # fmt: skip
    """What was weighed in. A second dosing of the same piece (or batch) with the same item is refused unless ``again``."""
    held = piece or batch
    session.execute(select(Traced.id).where(Traced.id == held.id).with_for_update(of=Traced.__table__))
    said = text(item, "item", most=80, needed=True)
    if not again and session.scalar(select(Dose.id).where(Dose.uid == uid)) is None:
        before = already_dosed(session, batch, piece, said)
        if before is not None:
            raise _dosed(before, held)
    row, new = add_once(
        session, Dose, uid, ("at_utc", "again"), batch_id=batch.id, piece_id=piece.id if piece else None, lot_id=lot.id if lot else None,
        instrument_id=instrument.id if instrument else None, item=said, weighed_g=number(weighed_g, "weighed", 0, HEAVIEST_G, "g"),
        planned_g=number(planned_g, "planned", 0, HEAVIEST_G, "g"), again=again, at_utc=moment(at), zone=kitchen.zone,
        who=text(who, "who", most=40),
    )  # fmt: skip
    if new and lot is not None:
        link(session, kitchen, new_uid("link", uid), lot, batch, item=said, amount_g=weighed_g, at=at, who=who)
    return row


def already_dosed(session: Session, batch: Batch, piece: Piece | None, item: str | None = None) -> Dose | None:
    """The last dosing that counts, of one item or of any: of this piece or the batch as a whole, where no piece is named of any piece of the batch."""
    asked = standing(Dose).where(Dose.batch_id == batch.id)
    if piece is not None:
        asked = asked.where((Dose.piece_id == piece.id) | Dose.piece_id.is_(None))
    if item is not None:
        asked = asked.where(Dose.item == item)
    return next(iter(reversed(list(session.scalars(asked)))), None)


def _dosed(before: Dose, held: Traced) -> AlreadyDosed:
    by = f" by {before.who}" if before.who else ""
    return AlreadyDosed(
        f"{held.name} ({held.code}) got {units.show_mass(before.weighed_g, 0.1)} of {before.item}{by} on {before.at_utc.astimezone(ZoneInfo(before.zone)):%a %d %b %Y, %H:%M}. "
        "Nothing was stored.",
        dose=before, field="dose", value=before.item, limit="once", remedy="Is a second dosing meant? Then say so: --again.",
    )  # fmt: skip


class AlreadyDone(AlreadyThere):
    """This step was done already, by whom and when."""


def do_step(
    session: Session, step: Step, uid: str, *, began: datetime | None = None, ended: datetime | None = None, who: str = "", note: str = "",
    once: bool = False,
) -> Done:  # fmt: skip
    """A step begun (``began`` alone) or done (``ended``). A press sent again keeps the time of the first.

    ``once`` refuses a step that is over (AlreadyDone): two who press the same button are not two entries.
    """
    if once:
        _not_yet_done(session, step, uid)
    begin, end = (None if x is None else moment(x) for x in (began, ended))
    if begin is not None and end is not None and end < begin:
        raise OutOfRange("The step ends before it begins.", field="ended", value=end, limit=begin, remedy="Check both times.")
    at = end or begin or moment(None)
    row, _ = add_once(
        session, Done, uid, ("at_utc", "began_utc", "ended_utc"), step_id=step.id, began_utc=begin, ended_utc=end or (None if begin else at), note=text(note, "note"),
        at_utc=at, zone=step.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    _follow(session, step.id)
    return row


def _not_yet_done(session: Session, step: Step, uid: str) -> None:
    session.execute(select(Step.id).where(Step.id == step.id).with_for_update())
    over = session.scalar(select(Done).where(Done.step_id == step.id, Done.ended_utc.is_not(None), stands(Done)).order_by(Done.id.desc()).limit(1))
    if over is None or session.scalar(select(Done.id).where(Done.uid == uid)) is not None:  # a press sent again is answered with its own row
        return
    raise AlreadyDone(
        f"{step.name} was done already{f' by {over.who}' if over.who else ''}, {over.at_utc.astimezone(ZoneInfo(over.zone)):%a %d %b, %H:%M}. It is not written a second time.",
        field="step", value=step.name, limit="once", remedy="Was that wrong? Undo it in its batch, then record it anew.",
    )  # fmt: skip


def correct(session: Session, uid: str, row: Any, *, void: bool = False, at: datetime | None = None, who: str = "", **changed: Any) -> Any:
    """A new row in the place of one that was wrong; with ``void`` nothing stands in its place.

    What is not in ``changed`` is taken over. Raises AlreadyThere where the row has been corrected: correct the newer one.
    """
    model: Any = type(row)
    told = _told(row, changed) if not void else _told(row, {})
    newer = session.scalar(select(model).where(model.corrects_id == row.id))
    if newer is not None and newer.uid != uid:
        raise AlreadyThere(
            f"This was corrected before{f' by {newer.who}' if newer.who else ''}, {newer.written_utc:%Y-%m-%d %H:%M} UTC. Nothing was stored.",
            field="corrects", value=row.id, limit=newer.id, remedy=f"Correct the newer one: {newer.id}.",
        )  # fmt: skip
    told |= {"at_utc": moment(at) if at else row.at_utc, "zone": row.zone, "who": text(who, "who", most=40)}
    made, _ = add_once(session, model, uid, ("at_utc",), corrects_id=row.id, void=void, **told)
    if model is Done:
        _follow(session, row.step_id)
    return made


def _told(row: Any, changed: dict[str, Any]) -> dict[str, Any]:
    own = {"id", "uid", "at_utc", "zone", "who", "written_utc", "void", "corrects_id"}
    told = {c.key: getattr(row, c.key) for c in type(row).__table__.columns if c.key not in own}
    unknown = set(changed) - set(told)
    if unknown:
        raise BadBrief(
            f"{', '.join(sorted(unknown))} is not part of it.", field="correction", value=", ".join(sorted(unknown)), limit=", ".join(told)
        )
    if isinstance(row, Reading):
        changed = {**changed, **_values({k: v for k, v in changed.items() if k in MEASURED})}
    elif isinstance(row, Dose) and "weighed_g" in changed:
        number(changed["weighed_g"], "weighed", 0, HEAVIEST_G, "g")
    return told | {k: text(v, k) if isinstance(v, str) else v for k, v in changed.items()}


def _follow(session: Session, step_id: int) -> None:
    """A step's state follows the rows that count."""
    rows = list(session.scalars(select(Done).where(Done.step_id == step_id, stands(Done))))
    step = session.get(Step, step_id)
    if step is not None and (rows or step.state != "dropped"):
        step.state = "done" if any(r.ended_utc for r in rows) else "going" if rows else "planned"
