"""What comes into a kitchen, what is made of it and what goes out: each a word said once to the notebook.

Every verb takes the client's UUID (``uid``); said again with the same one it finds what was written and adds nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.things import Piece as Cut
from ingle.notebook import control, kitchens
from ingle.notebook.models import Batch, Handed, Instrument, InstrumentCheck, Kitchen, Lot, Pack, Piece
from ingle.notebook.rows import by_uid, only_kitchen, uid_of
from ingle.notebook.store import Notebook


def begin(
    notebook: Notebook, name: str, *, zone: str, rules: Sequence[str] = (), prefix: str | None = None, use: str = "table", uid: str | None = None
) -> Kitchen:
    """Begin a kitchen in this notebook. No rules named = the strictest."""
    known = uid_of(uid)
    return notebook.write(lambda s: kitchens.add_kitchen(s, known, name, zone=zone, rules=rules, prefix=prefix, use=use))


def kitchen(notebook: Notebook, name: str | None = None) -> Kitchen:
    """The kitchen of that name, or the only one."""
    with notebook.look() as session:
        return only_kitchen(session, name)


def receive(notebook: Notebook, item: str, *, kitchen: str | None = None, uid: str | None = None, **more: Any) -> Lot:
    """A lot comes in. ``more``: as `ingle.notebook.kitchens.receive` (supplier, use_by, amount_g, ...)."""
    known = uid_of(uid)
    return notebook.write(lambda s: kitchens.receive(s, only_kitchen(s, kitchen), known, item, **more))


def cut(
    notebook: Notebook, piece: Cut, *, lot: str | None = None, kitchen: str | None = None, uid: str | None = None,
    at: datetime | None = None, who: str = "", note: str = "",
) -> Piece:  # fmt: skip
    """A piece is weighed green; ``lot`` is the code of what it was cut from."""
    known = uid_of(uid)

    def work(session: Session) -> Piece:
        source = kitchens.traced(session, lot, ("lot",)) if lot else None
        home = session.get_one(Kitchen, source.kitchen_id) if source else only_kitchen(session, kitchen)
        return kitchens.cut(session, home, known, piece, lot=source, at=at, who=who, note=note)

    return notebook.write(work)


def lay_in(
    notebook: Notebook, name: str, *, part: str, craft: str, takes: Sequence[str] = (), kitchen: str | None = None,
    again_of: str | None = None, uid: str | None = None, **more: Any,
) -> Batch:  # fmt: skip
    """A batch is begun; ``takes`` are codes of the lots, pieces and batches that go into it."""
    known = uid_of(uid)

    def work(session: Session) -> Batch:
        home = only_kitchen(session, kitchen)
        before = kitchens.traced(session, again_of, ("batch",)) if again_of else None
        sources = [kitchens.traced(session, code) for code in takes]
        pieces = [p for p in sources if p.kind == "piece"]
        batch = kitchens.lay_in(session, home, known, name, part=part, craft=craft, pieces=pieces, again_of=before, **more)
        for source in sources:
            if source.kind != "piece":
                _go_into(session, home, source, batch, more)
        return batch

    return notebook.write(work)


def _go_into(session: Session, home: Kitchen, source: Any, batch: Batch, more: dict[str, Any]) -> None:
    kitchens.link(
        session, home, kitchens.new_uid("link", batch.uid, source.uid), source, batch, item=source.name, at=more.get("at"), who=more.get("who", "")
    )


def put_into(
    notebook: Notebook, source: str, into: str, *, amount_g: float | None = None, item: str = "", uid: str | None = None,
    at: datetime | None = None, who: str = "",
) -> None:  # fmt: skip
    """One thing goes into another: cream into butter, buttermilk (its batch) into the loaf."""
    known = uid_of(uid)

    def work(session: Session) -> None:
        a, b = kitchens.traced(session, source), kitchens.traced(session, into)
        home = session.get_one(Kitchen, b.kitchen_id)
        kitchens.link(session, home, known, a, b, item=item or a.name, amount_g=amount_g, at=at, who=who)

    notebook.write(work)


def end(
    notebook: Notebook, code: str, state: str = "done", *, uid: str | None = None, at: datetime | None = None, who: str = "", why: str = ""
) -> Any:
    """A batch is begun (``going``), done or discarded; what is left of a lot is used up (``done``) or discarded."""
    known = uid_of(uid)

    def work(session: Session) -> Any:
        thing = kitchens.traced(session, code, ("batch", "lot"))
        if thing.kind == "lot":
            kitchens.close_lot(session, thing, known, state, at=at, who=who, why=why)
            return thing
        return kitchens.set_state(session, thing, known, state, at=at, who=who, why=why)

    return notebook.write(work)


def pack(
    notebook: Notebook, batches: Sequence[str], *, count: int, net_weight_g: float, name: str = "", use_by: date | None = None,
    best_before: date | None = None, storage: str = "", label: dict[str, Any] | None = None, uid: str | None = None,
    at: datetime | None = None, who: str = "", note: str = "",
) -> Pack:  # fmt: skip
    """Packs are made of one batch or several."""
    known = uid_of(uid)

    def work(session: Session) -> Pack:
        made_of = [kitchens.traced(session, code, ("batch",)) for code in batches]
        home = session.get_one(Kitchen, made_of[0].kitchen_id) if made_of else only_kitchen(session)
        return kitchens.pack(
            session, home, known, name, made_of, count=count, net_weight_g=net_weight_g, use_by=use_by, best_before=best_before,
            storage=storage, label=label, at=at, who=who, note=note,
        )  # fmt: skip

    return notebook.write(work)


def hand(
    notebook: Notebook, pack: str, to_whom: str, *, count: int = 1, contact: str = "", uid: str | None = None, at: datetime | None = None,
    who: str = "",
) -> Handed:  # fmt: skip
    """Packs go out to someone."""
    known = uid_of(uid)
    return notebook.write(
        lambda s: kitchens.hand(s, kitchens.traced(s, pack, ("pack",)), known, to_whom, count=count, contact=contact, at=at, who=who)
    )


def instrument(notebook: Notebook, name: str, *, kitchen: str | None = None, uid: str | None = None, **more: Any) -> Instrument:
    """A scale, a thermometer, a logger. ``more``: as `ingle.notebook.control.add_instrument`."""
    known = uid_of(uid)
    return notebook.write(lambda s: control.add_instrument(s, only_kitchen(s, kitchen), known, name, **more))


def check_instrument(notebook: Notebook, name: str, *, kitchen: str | None = None, uid: str | None = None, **more: Any) -> InstrumentCheck:
    """An instrument beside a reference. ``more``: as `ingle.notebook.control.check_instrument`."""
    known = uid_of(uid)

    def work(session: Session) -> InstrumentCheck:
        return control.check_instrument(session, instrument_named(session, only_kitchen(session, kitchen), name), known, **more)

    return notebook.write(work)


def instrument_named(session: Session, home: Kitchen, name: str) -> Instrument:
    """The instrument of that name in this kitchen, or by its UUID."""
    found = session.scalar(select(Instrument).where(Instrument.kitchen_id == home.id, Instrument.name == name))
    return found or by_uid(session, Instrument, name, "instrument")
