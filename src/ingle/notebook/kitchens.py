"""Kitchens, what comes into them and what goes out: lots, pieces, batches, packs, and the links between."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Piece as Cut
from ingle.notebook import codes
from ingle.notebook.models import Batch, Handed, Kitchen, Link, Lot, Pack, Piece, Reading, Traced
from ingle.notebook.rows import add_once, by_uid, moment, new_uid, number, stands, text
from ingle.notebook.tables import STATES
from ingle.notebook.tables_record import TEXT_MOST
from ingle.notebook.trouble import AlreadyThere, NotFound

HEAVIEST_G = 2e6


def add_kitchen(
    session: Session, uid: str, name: str, *, zone: str, rules: Sequence[str] = (), prefix: str | None = None, use: str = "table"
) -> Kitchen:
    """A kitchen. The same name again is that kitchen; other rules or another zone for it are refused."""
    said = text(name, "kitchen", most=80, needed=True)
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadBrief(f"zone {zone!r} is not known.", field="zone", value=zone, remedy="Write it like Europe/London.") from None
    found = session.scalar(select(Kitchen).where(Kitchen.name == said))
    if found is not None and found.uid != uid:
        raise AlreadyThere(f"There is a kitchen {said!r} already.", field="kitchen", value=said, remedy="Take another name.")
    kitchen, _ = add_once(
        session, Kitchen, uid, ("made_utc", "prefix"), name=said, prefix=codes.prefix_of(said, prefix), zone=zone, rules=list(rules),
        use=use, made_utc=moment(None),
    )  # fmt: skip
    return kitchen


def receive(
    session: Session, kitchen: Kitchen, uid: str, item: str, *, name: str = "", supplier: str = "", supplier_code: str = "",
    received_on: date | None = None, use_by: date | None = None, best_before: date | None = None, amount_g: float | None = None,
    allergens: Sequence[str] = (), note: str = "", at: datetime | None = None, who: str = "", code: str | None = None,
) -> Lot:  # fmt: skip
    """A lot that came in. Its code, when none is given, holds IN: ``FH-IN-261204-A``."""
    when = moment(at)
    day = received_on or local(kitchen, when)
    if use_by is not None and use_by < day:
        raise OutOfRange(
            f"use-by {use_by} lies before the day it came in, {day}.", field="use_by", value=use_by, limit=day,
            remedy="Do not take it in; or check the date.",
        )  # fmt: skip
    told = text(item, "item", most=120, needed=True)
    lot, _ = add_once(
        session, Lot, uid, ("at_utc", "code", "received_on"), kitchen_id=kitchen.id, code=_code(session, kitchen, day, "IN", code, uid),
        name=text(name, "name", most=120) or told, note=text(note, "note"), item=told, supplier=text(supplier, "supplier", most=200),
        supplier_code=text(supplier_code, "supplier_code", most=80), received_on=day, use_by=use_by, best_before=best_before,
        amount_g=number(amount_g, "amount", 1e-3, 1e8, "g"), allergens=list(allergens), at_utc=when, zone=kitchen.zone,
        who=text(who, "who", most=40),
    )  # fmt: skip
    return lot


def cut(
    session: Session, kitchen: Kitchen, uid: str, piece: Cut, *, lot: Lot | None = None, at: datetime | None = None, who: str = "",
    note: str = "", code: str | None = None,
) -> Piece:  # fmt: skip
    """One piece as weighed green, and the lot it was cut from. Code: the lot's with a number, else ``FH-PC-261204-A``."""
    when = moment(at)
    if code is None and lot is not None and not _has(session, uid):
        code = codes.numbered(session, kitchen, f"{lot.code}-")
    row, new = add_once(
        session, Piece, uid, ("at_utc", "code"), kitchen_id=kitchen.id, code=_code(session, kitchen, local(kitchen, when), "PC", code, uid),
        name=text(piece.name, "name", most=120) or (lot.name if lot else "piece"), note=text(note, "note"),
        green_weight_g=number(piece.weight_g, "weight", 1e-3, HEAVIEST_G, "g"), thickness_mm=piece.thickness_mm, width_mm=piece.width_mm,
        length_mm=piece.length_mm, shape=piece.shape, skin=piece.skin, skin_weight_g=piece.skin_weight_g, fat=piece.fat, at_utc=when,
        zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    if new and lot is not None:
        link(session, kitchen, new_uid("link", uid, lot.uid), lot, row, amount_g=piece.weight_g, at=when, who=who)
    return row


def lay_in(
    session: Session, kitchen: Kitchen, uid: str, name: str, *, part: str, craft: str, pieces: Iterable[Piece] = (),
    plan_name: str | None = None, state: str = "going", formula: dict[str, Any] | None = None, forecast: dict[str, Any] | None = None,
    again_of: Batch | None = None, use_by: date | None = None, at: datetime | None = None, who: str = "", note: str = "",
    code: str | None = None,
) -> Batch:  # fmt: skip
    """A batch under its own code, ``FH-261204-A`` by the day it is laid in, with the pieces that go into it."""
    _state(state)
    when = moment(at, ahead=state == "planned")
    batch, new = add_once(
        session, Batch, uid, ("at_utc", "code", "state", "forecast"), kitchen_id=kitchen.id,
        code=_code(session, kitchen, local(kitchen, when), "", code, uid), name=text(name, "name", most=120, needed=True),
        note=text(note, "note"), part=text(part, "part", most=80, needed=True), craft=text(craft, "craft", most=40), plan_name=plan_name,
        state=state, ended_utc=None, use_by=use_by, formula=formula or {}, forecast=forecast or {},
        again_of_id=again_of.id if again_of else None, at_utc=when, zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    if new:
        for piece in pieces:
            link(
                session, kitchen, new_uid("link", uid, piece.uid), piece, batch, amount_g=piece.green_weight_g, at=when, who=who, plan=state == "planned"
            )
    return batch


def set_state(session: Session, batch: Batch, uid: str, state: str, *, at: datetime | None = None, who: str = "", why: str = "") -> Batch:
    """Begin, end or discard a batch; the change itself is kept as a reading."""
    _state(state)
    when = moment(at)
    _, new = add_once(
        session, Reading, uid, ("at_utc", "text"), kitchen_id=batch.kitchen_id, batch_id=batch.id, kind="state",
        text=f"{batch.state} -> {state}" + (f": {text(why, 'why')}" if why else ""), at_utc=when, zone=batch.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    if new:
        batch.state = state
        batch.ended_utc = when if state in ("done", "discarded") else None
    return batch


def close_lot(session: Session, lot: Lot, uid: str, state: str, *, at: datetime | None = None, who: str = "", why: str = "") -> Reading:
    """What is left of a lot is used up (``done``) or ``discarded``; kept as a reading, and no day is told of it any more."""
    if state not in ("done", "discarded"):
        raise BadBrief(f"A lot is done or discarded, not {state!r}.", field="state", value=state, limit="done, discarded")
    row, _ = add_once(
        session, Reading, uid, ("at_utc",), kitchen_id=lot.kitchen_id, lot_id=lot.id, kind="state",
        text=state + (f": {text(why, 'why')}" if why else ""), at_utc=moment(at), zone=lot.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def pack(
    session: Session, kitchen: Kitchen, uid: str, name: str, batches: Sequence[Batch], *, count: int, net_weight_g: float,
    use_by: date | None = None, best_before: date | None = None, storage: str = "", label: dict[str, Any] | None = None,
    at: datetime | None = None, who: str = "", note: str = "", code: str | None = None,
) -> Pack:  # fmt: skip
    """Packs of one kind. Code: the batch's with P and a number, ``FH-261204-A-P1``; of several batches ``FH-PK-261220-A``."""
    if not batches:
        raise BadBrief("A pack comes from a batch; none is named.", field="batch", value=None, remedy="Name the batch's code.")
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= 100_000:
        raise OutOfRange(f"count is {count}; it lies between 1 and 100,000.", field="count", value=count, limit="1 to 100000")
    when = moment(at)
    if code is None and len(batches) == 1 and not _has(session, uid):
        code = codes.numbered(session, kitchen, f"{batches[0].code}-P")
    row, new = add_once(
        session, Pack, uid, ("at_utc", "code"), kitchen_id=kitchen.id, code=_code(session, kitchen, local(kitchen, when), "PK", code, uid),
        name=text(name, "name", most=120) or batches[0].name, note=text(note, "note"), count=count,
        net_weight_g=number(net_weight_g, "net weight", 1e-3, HEAVIEST_G, "g"), use_by=use_by, best_before=best_before,
        storage=text(storage, "storage", most=200), label=label or {}, at_utc=when, zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    if new:
        for batch in batches:
            link(session, kitchen, new_uid("link", uid, batch.uid), batch, row, at=when, who=who)
    return row


def say_label(session: Session, pack: Pack, uid: str, facts: dict[str, Any], *, at: datetime | None = None, who: str = "") -> Pack:
    """What is printed on a pack's label beside its name, weight and dates; what changed is kept as a note of its batch."""
    before: dict[str, Any] = pack.label or {}
    changed = [f"{k}: {json.dumps(facts.get(k, ''), ensure_ascii=False)}" for k in sorted({*before, *facts}) if before.get(k) != facts.get(k)]
    if not changed:
        return pack
    batch = session.scalars(select(Batch).join(Link, Link.from_id == Batch.id).where(Link.to_id == pack.id, stands(Link)).order_by(Batch.id)).first()
    _, new = add_once(
        session, Reading, uid, ("at_utc", "text"), kitchen_id=pack.kitchen_id, batch_id=batch.id if batch else None, kind="note",
        text=text(f"Label of {pack.code}: {'; '.join(changed)}"[:TEXT_MOST], "label"), at_utc=moment(at), zone=pack.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    if new:
        pack.label = facts
    return pack


def left_of(session: Session, pack: Pack) -> int:
    """Packs not handed out yet."""
    gone = session.scalar(select(func.coalesce(func.sum(Handed.count), 0)).where(Handed.pack_id == pack.id, stands(Handed)))
    return pack.count - int(gone or 0)


def hand(
    session: Session, pack: Pack, uid: str, to_whom: str, *, count: int, contact: str = "", at: datetime | None = None, who: str = ""
) -> Handed:
    """Packs that left. More than are left are refused."""
    session.execute(select(Pack.id).where(Pack.id == pack.id).with_for_update(of=Pack.__table__))
    left = left_of(session, pack)
    if session.scalar(select(Handed.id).where(Handed.uid == uid)) is None and not 1 <= count <= left:
        raise OutOfRange(
            f"{count} packs of {pack.code} are to go out; {left} are left.", field="count", value=count, limit=left,
            remedy="Check the count, or correct what went out before.",
        )  # fmt: skip
    row, _ = add_once(
        session, Handed, uid, ("at_utc",), pack_id=pack.id, to_whom=text(to_whom, "to", most=200, needed=True),
        contact=text(contact, "contact", most=200), count=count, at_utc=moment(at), zone=pack.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def link(
    session: Session, kitchen: Kitchen, uid: str, source: Traced, into: Traced, *, item: str = "", amount_g: float | None = None,
    at: datetime | None = None, who: str = "", plan: bool = False,
) -> Link:  # fmt: skip
    """One thing went into another. What would go into itself, by however many links, is refused."""
    if source.id == into.id or _reaches(session, into.id, source.id):
        raise BadBrief(f"{source.code} cannot go into {into.code}: it was made from it.", field="into", value=into.code)
    row, _ = add_once(
        session, Link, uid, ("at_utc",), from_id=source.id, to_id=into.id, item=text(item, "item", most=120),
        amount_g=number(amount_g, "amount", 0, 1e8, "g"), at_utc=moment(at, ahead=plan), zone=kitchen.zone, who=text(who, "who", most=40),
    )  # fmt: skip
    return row


def _reaches(session: Session, start: int, goal: int) -> bool:
    reach = select(Link.to_id.label("id")).where(Link.from_id == start, stands(Link)).cte("reach", recursive=True)
    reach = reach.union(select(Link.to_id).join(reach, Link.from_id == reach.c.id).where(stands(Link)))
    return session.scalar(select(reach.c.id).where(reach.c.id == goal).limit(1)) is not None


def traced(session: Session, code: str, kinds: tuple[str, ...] = ("lot", "piece", "batch", "pack")) -> Any:
    """A lot, piece, batch or pack by its code (capitals or not) or UUID."""
    said = code.strip()
    found = list(session.scalars(select(Traced).where((Traced.code == said.upper()) | (Traced.code == said) | (Traced.uid == said.lower()))))
    fits = [t for t in found if t.kind in kinds]
    if len(fits) == 1:
        model: Any = {"lot": Lot, "piece": Piece, "batch": Batch, "pack": Pack}[fits[0].kind]
        return session.get(model, fits[0].id, populate_existing=True)
    if fits:
        raise BadBrief(f"{code} is used in several kitchens.", field="code", value=code, remedy="Name it by its UUID.")
    what = " or ".join(kinds) if len(kinds) < 4 else "lot, piece, batch or pack"
    if found:
        raise NotFound(f"{code} is a {found[0].kind}, not a {what}.", field="code", value=code, limit=what, remedy=f"See what it is tied to: ingle trace {found[0].code}.")
    raise NotFound(f"There is no {what} {code}.", field="code", value=code, remedy="See what there is: ingle today.")


def local(kitchen: Kitchen, when: datetime) -> date:
    """The day in the kitchen."""
    return when.astimezone(ZoneInfo(kitchen.zone)).date()


def _state(state: str) -> None:
    if state not in STATES:
        raise BadBrief(f"state {state!r} is not one of {', '.join(STATES)}.", field="state", value=state, limit=", ".join(STATES))


def _has(session: Session, uid: str) -> bool:
    return session.scalar(select(Traced.id).where(Traced.uid == uid)) is not None


def _code(session: Session, kitchen: Kitchen, day: date, middle: str, given: str | None, uid: str) -> str:
    if given is None:
        return "" if _has(session, uid) else codes.next_code(session, kitchen, day, middle)
    said = text(given, "code", most=40, needed=True).upper()
    held = session.scalar(select(Traced).where(Traced.kitchen_id == kitchen.id, Traced.code == said))
    if held is not None and held.uid != uid:
        raise AlreadyThere(f"The code {said} is in use: {held.name}.", field="code", value=said, remedy="Take another, or leave it out.")
    return said


__all__ = [
    "add_kitchen", "by_uid", "cut", "hand", "lay_in", "left_of", "link", "local", "pack", "receive", "set_state", "traced",
]  # fmt: skip
