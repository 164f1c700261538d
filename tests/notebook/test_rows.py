"""What is written stays: retries add nothing, corrections point back, no row of the record is changed or taken away."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select, text
from tests.notebook.made_up import AT, fill

from ingle.ground.errors import BadBrief, NotebookError, OutOfRange
from ingle.ground.things import Piece
from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.notebook import codes, kitchens
from ingle.notebook.export import tables
from ingle.notebook.models import APPEND_ONLY, Batch, Dose, Kitchen, Link, Reading, Step
from ingle.notebook.models import Piece as PieceRow
from ingle.notebook.readings import AlreadyDosed
from ingle.notebook.rows import standing
from ingle.notebook.trouble import AlreadyThere, NotFound

MUTABLE = {"about", "kitchen", "traced", "lot", "piece", "batch", "pack", "step", "instrument"}


def count(book, model):
    with book.look() as session:
        return len(list(session.scalars(select(model))))


def test_a_retry_finds_the_row_and_adds_nothing(book):
    made = fill(book)
    uid = str(uuid4())
    first = r.reading(book, made.batch.code, uid=uid, weight_g=1331.0, who="A")
    again = r.reading(book, made.batch.code, uid=uid.upper(), weight_g=1331.0, who="A")
    assert (first.id, first.uid, first.written_utc) == (again.id, again.uid, again.written_utc)
    before = [count(book, m) for m in (Reading, Dose, Batch, PieceRow, Link)]
    uid = str(uuid4())
    for _ in range(2):
        k.lay_in(book, "Butter", part="butter", craft="butter", takes=[made.lot.code], uid=uid)
        k.cut(book, Piece(900.0), uid=uid[:-1] + ("0" if uid[-1] != "0" else "1"), lot=made.lot.code)
        r.dose(book, made.batch.code, {"sugar": 5.0}, uid=uid)
        k.pack(book, [made.batch.code], count=2, net_weight_g=100.0, uid=uid[::-1].replace("-", "").rjust(32, "0"))
    after = [count(book, m) for m in (Reading, Dose, Batch, PieceRow, Link)]
    assert [b - a for a, b in zip(before, after, strict=True)] == [0, 1, 1, 1, 3]  # links: lot to butter, lot to piece, batch to pack


def test_one_uuid_never_stands_for_two_things(book):
    made = fill(book)
    uid = str(uuid4())
    r.reading(book, made.batch.code, uid=uid, weight_g=1331.0)
    with pytest.raises(AlreadyThere, match="weight_g differ"):
        r.reading(book, made.batch.code, uid=uid, weight_g=1313.0)
    with pytest.raises(BadBrief, match="not a UUID"):
        r.reading(book, made.batch.code, uid="12", weight_g=1313.0)


@pytest.mark.parametrize("verb", ["update", "delete", "replace", "truncate"])
def test_the_database_itself_refuses(filled, verb):
    """Whatever program speaks to it: a row of the record is not changed, and no row at all is taken away."""
    sqlite = filled.engine.dialect.name == "sqlite"
    empty = set()
    for table in (t.name for t in tables() if t.name != "about"):
        with filled.look() as session:
            if session.execute(text(f"SELECT 1 FROM {table} LIMIT 1")).first() is None and not (verb == "truncate" and not sqlite):
                empty.add(table)
                continue
        said = {
            "update": f"UPDATE {table} SET id = id",
            "delete": f"DELETE FROM {table}",
            "replace": f"REPLACE INTO {table} SELECT * FROM {table}" if sqlite else f"DELETE FROM ONLY {table} WHERE id > 0",
            "truncate": f"DELETE FROM {table}" if sqlite else f"TRUNCATE {table} CASCADE",
        }[verb]
        if verb == "update" and table in MUTABLE:
            continue
        with pytest.raises(NotebookError, match=r"only added|never taken away"):
            filled.write(lambda s, said=said: s.execute(text(said)))
    assert empty <= {"log_file", "log_withdrawn", "log_probe", "plan_taken", "step", "done"}  # filled by the tests of plans and logs


def test_every_table_is_either_guarded_or_named_here():
    assert {t.name for t in tables()} == MUTABLE | set(APPEND_ONLY)


def test_a_correction_stands_beside_what_it_corrects(book):
    made = fill(book)
    with book.look() as session:
        old, new = session.get(Reading, made.reading.id), session.get(Reading, made.better.id)
        assert (old.weight_g, new.weight_g, new.corrects_id) == (1330.0, 1335.0, old.id)
        assert (new.temperature_c, new.probe_depth_mm, new.at_utc) == (3.8, 25.0, old.at_utc)  # what was right is taken over
        counted = [x.id for x in session.scalars(standing(Reading).where(Reading.weight_g.is_not(None)))]
    assert counted == [new.id]
    with pytest.raises(AlreadyThere, match=f"Correct the newer one: {made.better.id}"):
        r.correct(book, "reading", str(made.reading.id), weight_g=1340.0)
    r.correct(book, "reading", made.better.uid, void=True)
    with book.look() as session:
        assert not list(session.scalars(standing(Reading).where(Reading.weight_g.is_not(None))))
    with pytest.raises(BadBrief, match="not part of it"):
        r.correct(book, "dose", str(made.doses[0].id), temperature=3)
    with pytest.raises(OutOfRange):
        r.correct(book, "dose", str(made.doses[0].id), weighed_g=-1.0)


def test_a_second_dosing_asks(book):
    made = fill(book)
    with pytest.raises(AlreadyDosed, match=r"Collar A \(FH-IN-261104-A-1\) got 31.8 g of salt by A on Wed 04 Nov 2026, 18:05") as asked:
        r.dose(book, made.piece.code, {"Salt": 31.8}, who="B")
    assert asked.value.dose.who == "A"
    assert r.dose(book, made.piece.code, {"salt": 31.8}, who="B", again=True)[0].again
    r.correct(book, "dose", str(made.doses[1].id), void=True)  # withdrawn: the next is the first
    assert not r.dose(book, made.piece.code, {"curing salt, 6.25 % sodium nitrite": 2.6})[0].again


def test_a_dose_is_whole_or_not_at_all(book):
    made = fill(book)
    with pytest.raises(AlreadyDosed):
        r.dose(book, made.piece.code, {"sugar": 9.0, "salt": 31.8})
    with book.look() as session:
        assert not list(session.scalars(select(Dose).where(Dose.item == "sugar")))


def test_a_dose_keeps_the_limits_of_its_day(book):
    """118 mg/kg by hand: 2.6 g of 6.25 % on 1,380 g; Reg 1333/2008 (GB) allows 150 (its record in the data)."""
    from ingle.jobs.judge_dose import judged_of  # the verdicts as kept

    made = fill(book)
    (verdict, limit), *_ = judged_of(book, made.doses[-1])
    assert verdict.value == pytest.approx(2.6 * 0.0625 / 1380 * 1e6) and verdict.level == "within"
    assert (limit.value, limit.country, limit.side, limit.read_on.isoformat()) == (150.0, "gb", "max", "2026-11-04")
    assert verdict.low == pytest.approx(verdict.value * (1 - 0.1 / 2.6)) and verdict.piece_id == made.piece.id
    again = r.dose(book, made.piece.code, {"curing-salt@6.25%": 2.6}, again=True)  # a second time: all of it is counted
    (verdict, limit), *_ = judged_of(book, again[-1])
    assert verdict.value == pytest.approx(2 * 2.6 * 0.0625 / 1380 * 1e6) and verdict.level == "over"


def test_codes_count_on_by_day_without_letters_read_as_figures(book):
    k.begin(book, "Fernhollow", zone="Europe/London", prefix="FH")
    found = [k.lay_in(book, "x", part="x", craft="cure", at=AT).code for _ in range(23)]
    assert found[:3] == ["FH-261104-A", "FH-261104-B", "FH-261104-C"] and found[20:] == ["FH-261104-Y", "FH-261104-AA", "FH-261104-AB"]
    assert not set("".join(c.split("-")[2] for c in found)) & set("IOQSZ")
    late = k.lay_in(book, "x", part="x", craft="cure", at=datetime(2026, 11, 4, 23, 30, tzinfo=UTC)).code
    k2 = k.lay_in(book, "x", part="x", craft="cure", at=datetime(2026, 7, 4, 23, 30, tzinfo=UTC)).code
    assert late.startswith("FH-261104-") and k2 == "FH-260705-A"  # the kitchen's own day: British summer time
    assert [codes.count(codes.letters(n)) for n in range(1, 2000)] == list(range(1, 2000))


def test_times_come_back_in_utc_with_the_zone_beside(book):
    made = fill(book)
    with book.look() as session:
        row = session.get(Reading, made.reading.id)
    assert (row.at_utc, row.at_utc.tzinfo, row.zone) == (AT, UTC, "Europe/London")
    with pytest.raises(BadBrief, match="has no zone"):
        r.reading(book, made.batch.code, weight_g=1.0, at=datetime(2026, 11, 4, 18, 5))
    with pytest.raises(OutOfRange, match="in the time to come"):
        r.reading(book, made.batch.code, weight_g=1.0, at=datetime.now(UTC) + timedelta(days=3))


WRONG = [
    ({"weight_g": -1.0}, "weight"), ({"weight_g": float("nan")}, "weight"), ({"ph": 15.0}, "ph"), ({"water_activity": 1.2}, "water"),
    ({"temperature_c": 1e9}, "temperature"), ({"note": "x" * 5000}, "note"), ({"note": "a\x00b"}, "note"), ({"note": "\ud800"}, "note"),
    ({"weight": 5.0}, "reading"), ({}, "reading"), ({"photo": b"GIF89a"}, "photo"), ({"photo": b""}, "photo"), ({"weight_g": "1"}, "weight"),
]  # fmt: skip


def test_what_cannot_be_is_refused_and_nothing_is_stored(filled):
    have = count(filled, Reading)
    for given, field in WRONG:
        with pytest.raises((BadBrief, OutOfRange)) as why:
            r.reading(filled, "FH-261104-A", **given)
        assert why.value.field == field
    assert count(filled, Reading) == have


def test_packs_that_are_left_are_counted(book):
    made = fill(book)
    with pytest.raises(OutOfRange, match="2 are left"):
        k.hand(book, made.pack.code, "someone", count=3)
    gone = k.hand(book, made.pack.code, "someone", count=2)
    r.correct(book, "handed", str(gone.id), count=1)
    with book.look() as session:
        assert kitchens.left_of(session, kitchens.traced(session, made.pack.code)) == 1


def test_nothing_goes_into_itself(book):
    made = fill(book)
    with pytest.raises(BadBrief, match="was made from it"):
        k.put_into(book, made.pack.code, made.lot.code)
    with pytest.raises(BadBrief, match="was made from it"):
        k.put_into(book, made.batch.code, made.batch.code)


def test_a_deviation_is_closed_only_when_it_is_said_what_became_of_the_food(book):
    from ingle.notebook.control import open_deviations  # what the page shows

    made = fill(book)
    second = r.deviate(book, "fridge again", about=made.piece.code, level="stop", act="Move it.")
    with pytest.raises(BadBrief, match="what became of the food"):
        r.act_on(book, str(second.id), "moved", closes=True)
    r.act_on(book, str(second.id), "moved")
    with book.look() as session:
        home = session.scalar(select(Kitchen))
        assert [d.id for d in open_deviations(session, home)] == [second.id]
    closing = r.act_on(book, str(second.id), "looked at", closes=True, product="discarded")
    with book.look() as session:
        assert not open_deviations(session, home)
    r.correct(book, "action", str(closing.id), void=True)  # said too early: it is open again
    with book.look() as session:
        assert [d.id for d in open_deviations(session, home)] == [second.id]


def test_an_instrument_that_is_off_wants_an_act(book):
    fill(book)
    with pytest.raises(BadBrief, match="What is done about it"):
        k.check_instrument(book, "bench scale", reference="1 kg weight", expected=1000.0, found=1003.0, tolerance=0.5)
    row = k.check_instrument(
        book, "bench scale", reference="1 kg weight", expected=1000.0, found=1003.0, tolerance=0.5, act="set to zero on a level bench"
    )
    assert not row.passed


def test_what_is_not_there_is_said_so(book):
    with pytest.raises(NotFound, match="no kitchen in this notebook yet"):
        k.receive(book, "salt")
    made = fill(book)
    for call in (lambda: r.reading(book, "FH-000000-A", weight_g=1.0), lambda: r.step(book, "no.step"), lambda: r.correct(book, "reading", "999", void=True)):
        with pytest.raises(NotFound):
            call()
    with book.look() as session:
        assert not list(session.scalars(select(Step)))
        assert kitchens.traced(session, made.batch.code.lower()).id == made.batch.id
