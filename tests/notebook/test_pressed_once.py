"""A step ends once, a turn ends nothing, a dosing is withdrawn whole, of what was thrown away nothing is asked: in a file and on a server."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select

from ingle.ground.errors import BadBrief
from ingle.ground.things import Piece
from ingle.jobs import kitchen as k
from ingle.jobs import record
from ingle.jobs.at_hand import ahead
from ingle.jobs.today import today
from ingle.jobs.visits import visit
from ingle.notebook.models import Batch
from ingle.notebook.plans import PlannedStep, _step
from ingle.notebook.readings import AlreadyDone
from ingle.notebook.rows import new_uid, only_kitchen
from ingle.notebook.trouble import NotFound

NOW = datetime.now(UTC) - timedelta(hours=1)


def planned(book):
    """A batch of one piece with a cure that is turned, and a rinse after it."""
    k.begin(book, "Test kitchen", zone="Europe/London", prefix="TK")
    piece = k.cut(book, Piece(1200.0, 45.0, name="A")).code
    code = k.lay_in(book, "Collar", part="collar", craft="cure", takes=[piece], state="planned").code
    span = lambda hours, minutes=10: [(NOW + timedelta(hours=hours)).isoformat(), (NOW + timedelta(hours=hours, minutes=minutes)).isoformat(), "A"]  # noqa: E731
    cure = PlannedStep(
        "c.cure", "collar", "Lay it in its cure", "waits", NOW - timedelta(hours=2), NOW + timedelta(days=9),
        {"attended": [span(-2)], "tends": [[*span(0), "Turn it over"], [*span(24), "Turn it over"]]},
    )  # fmt: skip
    rinse = PlannedStep("c.rinse", "collar", "Rinse it", "hands", NOW + timedelta(days=9), NOW + timedelta(days=9, hours=1), {"attended": [span(216)]})

    def work(session):
        batch = session.scalar(select(Batch).where(Batch.code == code))
        batch.plan_name = "Supper"
        for step in (cure, rinse):
            _step(session, only_kitchen(session), "Supper", 1, step, batch, None, "")

    book.write(work)
    return code, piece


def test_a_turn_is_a_reading_of_its_step_which_goes_on(book):
    planned(book)
    record.step(book, "c.cure", began=NOW, once=True)
    uid = new_uid()
    made = visit(book, "c.cure", at=NOW, uid=uid, who="A")
    assert visit(book, "c.cure", at=NOW, uid=uid, who="A").id == made.id  # sent again
    with pytest.raises(AlreadyDone, match="Turn it over was done already by A"):
        visit(book, "c.cure", at=NOW + timedelta(minutes=20))
    with pytest.raises(BadBrief, match="no visits"):
        visit(book, "c.rinse", at=NOW)
    told = today(book)
    assert [w.key for w in told.waiting] == ["c.cure"] and [(t.verb, t.visit) for t in told.tasks][:1] == [("Turn it over", True)]
    assert [(m.name, m.kind) for m in ahead(book, told).done_today if m.kind == "reading"] in ([("Turn it over", "reading")], [])  # before midnight it was yesterday
    record.correct(book, "reading", made.uid, void=True)
    assert len([t for t in today(book).tasks if t.visit]) == 2


def test_a_step_ends_once_and_ends_the_wait_before_it(book):
    planned(book)
    record.step(book, "c.cure", began=NOW, once=True)
    late = datetime.now(UTC) + timedelta(days=30)
    assert any(n.kind == "step" and "Lay it in its cure" in n.what for n in today(book, now=late).needs)
    uid = new_uid()
    done = record.step(book, "c.rinse", ended=NOW, uid=uid, who="B", once=True)
    assert record.step(book, "c.rinse", ended=NOW, uid=uid, who="B", once=True).id == done.id
    for again in ({"ended": NOW}, {"began": NOW}):
        with pytest.raises(AlreadyDone, match="done already by B"):
            record.step(book, "c.rinse", **again, once=True)
    assert today(book).waiting == ()
    needs = today(book, now=late).needs
    assert not any(n.kind == "step" for n in needs) and [n.what for n in needs if n.kind == "book"] == ["Supper is over; 1 of its batches stands open"]
    record.correct(book, "step", done.uid, void=True)
    assert [w.key for w in today(book).waiting] == ["c.cure"]


def test_a_dosing_is_withdrawn_whole_or_not_at_all(book):
    _, piece = planned(book)
    rows = record.dose(book, piece, {"salt": 30.0, "sugar": 3.0})
    with pytest.raises(NotFound):
        record.withdraw(book, "dose", [rows[0].uid, new_uid()])
    uid = new_uid()
    for _ in range(2):
        record.withdraw(book, "dose", [r.uid for r in rows], uid=uid)
    assert len(record.dose(book, piece, {"salt": 30.0, "sugar": 3.0})) == 2  # nothing stands on it: it is not asked about


def test_of_what_was_thrown_away_nothing_is_asked(book):
    code, _ = planned(book)
    record.step(book, "c.cure", began=NOW)
    assert today(book).tasks
    k.end(book, code, "discarded")
    told = today(book)
    assert told.next is None and told.tasks == () and told.waiting == () and told.going == ()
