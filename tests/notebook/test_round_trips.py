"""What the first page asks of the database: as often for a full larder as for one piece, and never through a whole table."""

from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import event, select, text

from ingle.ground.errors import BadBrief
from ingle.ground.things import Piece
from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.jobs.at_hand import ahead
from ingle.jobs.batch_facts import facts_of
from ingle.jobs.begun import begun
from ingle.jobs.dossier_read import of_lot, of_month
from ingle.jobs.lying import all_lying, lying, since_of
from ingle.jobs.today import today
from ingle.notebook import plans
from ingle.notebook.models import Batch
from ingle.notebook.plans import PlannedBatch, PlannedStep
from ingle.notebook.rows import only_kitchen

START = datetime(2026, 11, 2, 9, tzinfo=UTC)
NOW = datetime(2026, 11, 5, 9, tzinfo=UTC)
QUANTILES = [100.0 + 5 * n for n in range(20)]
BIG = ("link", "traced", "reading", "done", "handed", "pack", "dose")  # tables that grow with the years


@contextmanager
def asked(book):
    """The questions that are asked inside."""
    told = []

    def hear(_connection, _cursor, statement, parameters, *_):
        if statement.lstrip().upper().startswith(("SELECT", "WITH")):
            told.append((statement, parameters))

    event.listen(book.engine, "before_cursor_execute", hear)
    try:
        yield told
    finally:
        event.remove(book.engine, "before_cursor_execute", hear)


def cures(book, name, many):
    """A plan with that many cures: every other one begun, every third weighed in."""
    batches, steps = [], []
    for n in range(many):
        part = f"{name}-{n}"
        said = {"amounts": ["salt  30.0 g"], "attended": [[START.isoformat(), (START + timedelta(minutes=20)).isoformat(), "A"]]}
        formula = {"salt_per_green_weight": 0.03}
        batches.append(
            PlannedBatch(part, part, "cure", START, (Piece(1000.0, 50.0, name=part),), formula, {"step": f"{part}.cure", "quantiles_h": QUANTILES})
        )
        steps.append(PlannedStep(f"{part}.cure", part, f"Cure {part}", "cure", START, START + timedelta(days=9), said))
    taken = book.write(lambda s: plans.take_plan(s, only_kitchen(s), name, 1, {"at": "2026-12-19T18:00:00+00:00", "plates": 2}, batches, steps))
    for n, batch in enumerate(taken.batches):
        if n % 2 == 0:
            r.step(book, f"{name}-{n}.cure", began=START + timedelta(hours=n))
        if n % 3 == 0:
            r.dose(book, batch.code, {"salt": 30.0}, who="A", at=START + timedelta(hours=1))


@pytest.fixture
def kitchen(book):
    k.begin(book, "Fernhollow", zone="Europe/London", prefix="FH")
    return book


def test_the_first_page_asks_as_often_for_twenty_cures_as_for_two(kitchen):
    counts = []
    for name, many in (("small", 2), ("large", 18)):
        cures(kitchen, name, many)
        with asked(kitchen) as told:
            seen = today(kitchen, now=NOW)
            beside = ahead(kitchen, seen)
        counts.append(len(told))
    assert len(seen.waiting) == 10 and len(beside.forecasts) == 10  # every other one of twenty
    assert sum("weighed in" in line for t in seen.tasks for line in t.amounts) == 3  # of those that are not begun
    assert counts[0] == counts[1] <= 30


def test_many_batches_at_once_are_told_as_each_alone(kitchen):
    cures(kitchen, "larder", 6)
    with kitchen.look() as session:
        batches = session.query(Batch).order_by(Batch.id).all()
        together = facts_of(session, batches)
        alone = [facts_of(session, [b])[0] for b in batches]
        assert together == tuple(alone)
        assert [len(f.doses) for f in together] == [1, 0, 0, 1, 0, 0]
        assert [since_of(session, b) for b in batches] == [START + timedelta(hours=n if n % 2 == 0 else 0) for n in range(6)]
        every = all_lying(session, only_kitchen(session))
        assert every == {b.code: lying(session, b) for b in batches if b.state == "going"}
        assert len(every) == 3 and {row.planned for row in every.values()} == {START}


def test_the_first_page_goes_through_no_large_table_from_end_to_end(kitchen):
    cures(kitchen, "larder", 3)
    with asked(kitchen) as told:
        ahead(kitchen, today(kitchen, now=NOW))
    server = kitchen.engine.dialect.name == "postgresql"
    with kitchen.engine.connect() as connection:
        if server:
            connection.execute(text("SET LOCAL enable_seqscan = off"))  # in a kitchen of three pieces every table is short
        cursor = connection.connection.cursor()
        for statement, parameters in told:
            cursor.execute(("EXPLAIN " if server else "EXPLAIN QUERY PLAN ") + statement, parameters)
            for row in cursor.fetchall():
                line = str(row[0] if server else row[3])
                scans = [table for table in BIG if line.strip(" ->").startswith((f"Seq Scan on {table} ", f"SCAN {table}"))]
                assert not scans, f"{line}: {statement}"


def test_a_months_record_asks_as_often_for_twenty_batches_as_for_two_and_each_row_stands_in_its_own(kitchen):
    counts = []
    for name, many in (("small", 2), ("large", 18)):
        cures(kitchen, name, many)
        for n in range(many):
            r.reading(kitchen, _code(kitchen, f"{name}-{n}"), weight_g=900.0 + n, who="A", at=START + timedelta(days=n % 3))
        with asked(kitchen) as told:
            month = of_month(kitchen, START.date())
        counts.append(len(told))
    assert counts[0] == counts[1]
    assert len(month.batches) == 10 and [b.began for b in month.batches] == sorted(b.began for b in month.batches)
    for b in month.batches:
        n = int(b.name.rpartition("-")[2])
        assert [row.value for row in b.rows if row.what == "weight"] == [f"{900 + n} g"]
        assert sum("weighed in" in row.what for row in b.rows) == (n % 3 == 0) and sum(row.what == "step" for row in b.rows) == 1
        alone = of_lot(kitchen, b.code).batches
        assert [replace(a, rows=()) for a in alone] == [replace(b, rows=())] and sorted(map(str, alone[0].rows)) == sorted(map(str, b.rows))


def test_a_record_of_more_batches_than_one_file_holds_is_refused_with_what_to_do(kitchen, monkeypatch):
    cures(kitchen, "larder", 6)  # every other one is begun
    monkeypatch.setattr("ingle.jobs.dossier_read.MOST_BATCHES", 2)
    with pytest.raises(BadBrief, match="November 2026 has 3 batches; one file holds at most 2") as told:
        of_month(kitchen, START.date())
    assert "lot by lot" in told.value.remedy
    assert not of_month(kitchen, START.date().replace(month=10)).batches  # all were begun later


def test_a_months_record_holds_what_was_written_in_that_month(kitchen):
    at = datetime(2021, 1, 28, 9, tzinfo=UTC)
    code = begun(kitchen, "Collar", Piece(1000.0, 50.0), {"salt": 30.0}, at=at, who="A").code
    for day, grams in ((2, 950.0), (6, 930.0)):  # the second in February
        r.reading(kitchen, code, weight_g=grams, who="A", at=at + timedelta(days=day))
    months = (date(2020, 12, 1), date(2021, 1, 1), date(2021, 2, 1))
    told = [[row.value for b in of_month(kitchen, m).batches for row in b.rows if row.what == "weight"] for m in months]
    assert told == [[], ["950 g"], ["930 g"]]
    assert [row.value for row in of_lot(kitchen, code).batches[0].rows if row.what == "weight"] == ["950 g", "930 g"]


def _code(kitchen, name):
    with kitchen.look() as session:
        return session.scalars(select(Batch).where(Batch.name == name)).one().code
