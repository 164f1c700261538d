"""The demonstration's weeks by its big button alone, day after day to the table: each press goes where it says, and nothing is left nagging."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import update
from tests.web.test_dosing import fields as dose_form
from tests.web.test_dosing import planned, told, with_steps
from tests.web.test_meal import wait
from tests.web.visitor import Visitor, text, uid

from ingle.jobs import record
from ingle.jobs.today import today
from ingle.notebook import rows
from ingle.notebook.models import Step
from ingle.notebook.store import open_notebook

NO_HANDS_AT_ITS_END: dict[str, list[list[str]]] = {"attended": [["2026-01-01T12:00:00+00:00", "2026-01-01T12:10:00+00:00", "A"]], "tends": []}


class Clock:
    """A kitchen's clock that is set forward."""

    def __init__(self):
        self.now = datetime.now(UTC)

    def __call__(self):
        return self.now


@pytest.fixture
def later(tmp_path, monkeypatch):
    """A visitor whose days pass as the test says."""
    monkeypatch.setattr(rows, "AHEAD", timedelta(days=60))  # what is written then is not refused as still to come
    made = Visitor(tmp_path, clock=Clock()).begin()
    made.clock = made.config.clock
    return made


def button(page):
    """The big button's form, with what its first button says."""
    form = page[page.index('action="/step" class="acts"') :]
    form = form[: form.index("</form>")]
    return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form)) | {"what": re.search(r'name="what" value="(\w+)"', form)[1]}


def test_from_the_first_cut_to_the_table_by_the_big_button(later):
    wait(later, later.post("/demonstration"))
    pressed, begun = [], set()
    with open_notebook(str(later.config.demonstration)) as book:
        for _ in range(200):
            now_ = today(book, now=later.clock.now)
            if now_.next is None:
                break
            later.clock.now = max(later.clock.now, now_.next.at.astimezone(UTC)) + timedelta(minutes=1)
            form = button(later.get("/").text)
            assert form["verb"] == now_.next.verb
            answer = later.client.post("/step", data=form, follow_redirects=False)
            assert answer.status_code == 303 and answer.headers["location"].startswith("/?wrote="), text(answer.text)[:300]
            if now_.next.visit:
                waits = {w.key for w in today(book, now=later.clock.now).waiting}
                assert now_.next.key in waits, f"{now_.next.verb} ended {now_.next.key}"
            if form["what"] == "began":
                begun.add(now_.next.key)
            pressed.append(now_.next)
        assert now_.next is None and len(pressed) > 60 and sum(t.visit for t in pressed) > 10 and len(begun) > 8
        assert "collar.cure" in begun and {t.key for t in pressed if t.visit} >= {"collar.cure", "collar.smoke"}
        assert len(now_.needs) <= 2, now_.needs  # what a later step took over from asks for no end
        over = today(book, now=later.clock.now + timedelta(days=2)).needs
        assert [n.what for n in over if n.kind == "book"] == ["Fernhollow midwinter table is over; 8 of its batches stand open"]
    later.clock.now += timedelta(days=2)
    assert 'href="/book?state=going">See them' in later.get("/").text


def test_what_ended_unsaid_is_ended_from_the_first_page_at_the_hour_it_did(later):
    code = planned(later)
    with_steps(later, code)
    with open_notebook(later.config.notebook) as book:  # as a step that nobody's hands end: it waits, and that is all
        book.write(lambda s: s.execute(update(Step).values(said=NO_HANDS_AT_ITS_END)))
        record.step(book, "collar.cure", began=later.clock.now)
    later.clock.now += timedelta(days=12)
    page = later.get("/").text
    assert "was to end" in text(page)
    form = page[page.index('class="late"') :]
    form = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form[: form.index("</form>")]))
    odd = later.client.post("/step", data=form | {"when": "on Tuesday"})
    assert odd.status_code == 422 and "not an hour" in text(odd.text)
    said = (later.clock.now - timedelta(days=2)).replace(second=0, microsecond=0, tzinfo=None)
    done = later.client.post("/step", data=form | {"when": said.isoformat(timespec="minutes")})
    assert done.status_code == 200 and "was to end" not in text(done.text)
    (step,) = told(later, code).steps
    assert step.state == "done" and step.done[-1][2].replace(tzinfo=None) == said  # in winter the kitchen's clock shows UTC


@pytest.mark.parametrize("begun", [True, False], ids=["going", "planned"])
def test_of_what_was_thrown_away_nothing_is_asked_and_it_can_be_said_that_it_was_not(later, begun):
    code = planned(later)
    with_steps(later, code)
    if begun:
        later.client.post("/step", data=button(later.get("/").text) | {"what": "began"})
    verb = button(later.get("/").text)["verb"]
    page = later.get(f"/book/{code}").text
    gone = later.post(f"/book/{code}/end", state="discarded", uid=uid(page))
    assert "thrown away" in text(gone.text)
    first = text(later.get("/").text)
    assert verb not in first and "Nothing waits" in first
    back = later.post(f"/book/{code}/end", state="back", uid=uid(gone.text))
    assert ("in the making" if begun else "planned") in text(back.text) and button(later.get("/").text)["verb"] == verb
    assert told(later, code).state == ("going" if begun else "planned")


def test_a_dosing_is_undone_whole_and_stays_struck_in_the_book(visitor):
    code = planned(visitor)
    form = dose_form(visitor.get(f"/book/{code}/dose").text)
    page = visitor.post(f"/book/{code}/dose", **form).text
    undo = page[page.index('action="/undo"') :]
    row = re.search(r'name="row" value="([^"]+)"', undo)[1]
    sent = {"kind": "dose", "row": row, "uid": uid(page), "back": f"/book/{code}"}
    for _ in range(2):  # pressed twice: once
        visitor.post("/undo", **sent)
    entries = [e for e in told(visitor, code).entries if e.kind == "dose"]
    assert len(entries) == 3 and all(e.now.void and len(e.versions) == 2 for e in entries)
    again = visitor.get(f"/book/{code}/dose").text
    assert "Dosed already" not in text(again)
    assert visitor.post(f"/book/{code}/dose", **dose_form(again)).status_code == 200
    assert sum(len(p.doses) for p in told(visitor, code).pieces) == 3
    unknown = visitor.post("/undo", kind="dose", row=f"{row},7c0f4d3a-1111-4111-8111-000000000001", uid="7c0f4d3a-1111-4111-8111-00000000000a")
    assert unknown.status_code in (404, 409) and sum(len(p.doses) for p in told(visitor, code).pieces) == 3


def test_every_value_of_a_reading_is_put_right_and_the_same_press_twice_is_one(visitor):
    code = planned(visitor)
    page = visitor.get(f"/book/{code}/read").text
    page = visitor.post(f"/book/{code}/read", temperature="4.4", ph="6.5", note="a grey spot", uid=uid(page)).text
    way = re.search(rf"/book/{code}/correct/reading/[0-9a-f-]+", page)[0]
    asked = visitor.get(way).text
    form = dict(re.findall(r'name="(value\w*|uid)" value="([^"]*)"', asked))
    assert {form["value"], form["value_ph"], form["value_text"]} == {"4.4", "6.5", "a grey spot"}
    odd = visitor.post(way, **(form | {"value_ph": "sour"}))
    assert odd.status_code == 422 and 'href="#value_ph"' in odd.text and 'value="sour"' in odd.text
    for _ in range(2):
        done = visitor.post(way, **(form | {"value_ph": "5,6"}))
        assert done.status_code == 200 and done.url.path == f"/book/{code}"
    (entry,) = told(visitor, code).entries
    assert (entry.now.row.ph, entry.now.row.temperature_c, entry.now.row.text) == (5.6, 4.4, "a grey spot") and len(entry.versions) == 2
    gone = visitor.get(way.rpartition("/")[0] + f"/{entry.now.uid}").text
    for _ in range(2):
        visitor.post(way.rpartition("/")[0] + f"/{entry.now.uid}", void="1", uid=uid(gone), value="nonsense")
    (entry,) = told(visitor, code).entries
    assert entry.now.void and len(entry.versions) == 3
