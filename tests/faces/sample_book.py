"""An invented notebook: one collar with a correction, a withdrawn reading, a late entry, a deviation with its act, packs handed out.

Nothing here is advice; clauses are real ones beside invented values.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select

from ingle.ground.things import Piece
from ingle.jobs import kitchen, record
from ingle.notebook import control
from ingle.notebook.models import Batch, Kitchen, Reading
from ingle.notebook.store import Notebook

ZONE = ZoneInfo("Europe/London")
FRIDGE = control.Line("fridge", "fridge", 5.0, "°C", "FDA Food Code 3-501.16(A)(2)", "fda-food-code", "Food Code", "memory", kind="harm", country="US")
NITRITE = control.Line("ingoing", "nitrite put in", 150.0, "mg/kg", "assimilated (EC) 1333/2008, 08.3.1", "gb-reg-1333-2008", "Regulation 1333/2008", "quoted", country="GB")


def at(day: int, hour: int, minute: int = 0, month: int = 11) -> datetime:
    return datetime(2024, month, day, hour, minute, tzinfo=ZONE)


def fill(book: Notebook) -> dict[str, str]:
    """Write it all; returns the codes by what they are."""
    kitchen.begin(book, "Fernhollow", zone="Europe/London", rules=["gb"], prefix="FH", use="sale")
    lot = kitchen.receive(
        book, "pork collar", supplier="Oakmere Farm", supplier_code="OM-2231", received_on=date(2024, 11, 2), use_by=date(2024, 11, 9), amount_g=2990,
        at=at(2, 9), who="AB",
    )  # fmt: skip
    piece = kitchen.cut(book, Piece(1380, 50, None, None, "slab", "none", None, "thin", "Collar A"), lot=lot.code, at=at(2, 9, 30), who="AB")
    batch = kitchen.lay_in(book, "Cold-smoked pork collar A", part="collar", craft="cure", takes=[piece.code], at=at(2, 10), who="AB")
    kitchen.instrument(book, "scale 0.1 g", kind="scale", unit="g", serial="S-77", resolution=0.1, place="bench", at=at(1, 8), who="AB")
    kitchen.instrument(book, "probe", kind="thermometer", unit="C", resolution=0.1, at=at(1, 8), who="AB")
    kitchen.check_instrument(book, "probe", reference="ice water", expected=0, found=0.3, tolerance=0.5, at=at(1, 8, 10), who="AB")
    kitchen.check_instrument(
        book, "scale 0.1 g", reference="100 g weight", expected=100, found=101, tolerance=0.2, act="taken out of use", at=at(5, 8, 10), who="CD"
    )
    record.dose(book, piece.code, {"salt": 29.4, "curing-salt@6.25%": 2.6}, planned={"salt": 29.4, "curing-salt@6.25%": 2.6}, instrument="scale 0.1 g",
                at=at(2, 10, 5), who="AB")  # fmt: skip
    wrong = record.reading(book, batch.code, temperature_c=46.0, place="", instrument="probe", at=at(3, 18), who="CD")
    record.correct(book, "reading", wrong.uid, temperature_c=4.6, text="the point was missed", who="AB")
    void = record.reading(book, batch.code, weight_g=13.3, at=at(4, 18), who="CD")
    record.correct(book, "reading", void.uid, void=True, who="CD")
    warm = record.reading(book, batch.code, temperature_c=7.8, instrument="probe", probe_depth_mm=20, at=at(6, 7), who="AB")
    dev = _judge(book, batch.code, warm.uid)
    record.act_on(
        book, dev, "moved to the other fridge", cause="door left ajar", control="3.9 °C after 2 h", prevention="a hook on the door", product="kept",
        closes=True, at=at(6, 9), who="AB",
    )  # fmt: skip
    record.reading(book, batch.code, weight_g=1284.5, instrument="scale 0.1 g", taste="even, mild", at=at(16, 8), who="AB")
    record.reading(book, None, place="fridge", temperature_c=3.8, at=at(7, 8), who="AB")
    kitchen.end(book, batch.code, at=at(20, 12), who="AB")
    pack = kitchen.pack(book, [batch.code], count=6, net_weight_g=180, name="Cold-smoked pork collar, sliced", use_by=date(2024, 12, 4),
                        storage="keep at most 4 °C", at=at(20, 13), who="AB")  # fmt: skip
    kitchen.hand(book, pack.code, "Mill Lane stall", count=3, contact="01632 960 001", at=at(21, 10), who="AB")
    kitchen.hand(book, pack.code, "E. Tarn", count=1, contact="01632 960 002", at=at(22, 10), who="AB")
    return {"lot": lot.code, "piece": piece.code, "batch": batch.code, "pack": pack.code}


def _judge(book: Notebook, code: str, reading: str) -> str:
    def work(session):
        home = session.scalar(select(Kitchen))
        batch = session.scalar(select(Batch).where(Batch.code == code))
        row = session.scalar(select(Reading).where(Reading.uid == reading))
        fridge, nitrite = (control.keep_limit(session, line, date(2024, 11, 2)) for line in (FRIDGE, NITRITE))
        control.judge(session, home, "7b0f2a0e-0000-4000-8000-000000000001", nitrite, "within", value=118.0, batch=batch, at=at(2, 10), who="AB",
                      not_checked=("what smoke adds",))  # fmt: skip
        control.judge(session, home, "7b0f2a0e-0000-4000-8000-000000000002", fridge, "over", value=7.8, batch=batch, reading=row, at=at(6, 7),
                      act="Move it to a cold place.", who="AB")  # fmt: skip
        return control.deviate(
            session, home, "7b0f2a0e-0000-4000-8000-000000000003", "fridge over its limit", level="today", act="Move it to a cold place", batch=batch,
            reading=row, limit=fridge, value=7.8, unit="C", began=at(6, 5), ended=at(6, 9), deadline=at(6, 9), at=at(6, 7), who="AB",
        ).uid  # fmt: skip

    return book.write(work)
