"""Two pages open at once, a session that ended, a clock that is wrong: nothing is written where it was not meant, nothing typed is lost."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient
from tests.web.test_book import fields, twelve, written
from tests.web.test_dosing import planned, told, with_steps
from tests.web.visitor import Visitor, text, uid

from ingle.faces.web.forms import Form
from ingle.faces.web.security import COOKIE, Session, hashed, token
from ingle.jobs.today import today
from ingle.notebook.store import open_notebook

PHRASE = "four words that do not belong"


def second(visitor):
    """Another browser at the same page."""
    other = Visitor(visitor.config.keep.parent, book="own.notebook")
    other.client = TestClient(visitor.app, follow_redirects=True, raise_server_exceptions=False)
    return other


def step_form(visitor):
    """The form of the big button."""
    page = visitor.get("/").text
    form = page[page.index('action="/step"') :]
    return {name: re.search(rf'name="{name}" value="([^"]*)"', form)[1] for name in ("csrf", "uid", "step", "verb")}


def test_a_page_of_the_demonstration_writes_nothing_into_the_cooks_book_and_the_other_way_round(visitor):
    code = planned(visitor)
    with_steps(visitor, code)
    form = step_form(visitor)
    session = Session("one browser")
    assert token(visitor.config, session) != token(visitor.config, replace(session, demonstration=True))
    visitor.client.post("/demonstration", data={"csrf": form["csrf"]})  # in another tab of the same browser
    late = visitor.client.post("/step", data=form | {"what": "done"})
    assert late.status_code == 403 and "Nothing was stored" in late.text
    stale = visitor.token()
    visitor.post("/own")
    late = visitor.client.post("/step", data=form | {"what": "done", "csrf": stale})
    assert late.status_code == 403 and "Nothing was stored" in late.text
    assert [s.state for s in told(visitor, code).steps] == ["planned"]


def test_a_step_that_another_did_meanwhile_is_told_and_not_written_twice(visitor):
    code = planned(visitor)
    with_steps(visitor, code)
    other = second(visitor)
    other.post("/theme", who="B", theme="")
    mine, theirs = step_form(visitor), step_form(other)
    assert other.client.post("/step", data=theirs | {"what": "done"}).status_code == 200
    late = visitor.client.post("/step", data=mine | {"what": "done"})
    assert late.status_code == 409 and "was done already by B" in text(late.text) and "not written a second time" in text(late.text)
    again = other.client.post("/step", data=theirs | {"what": "done"})  # the same press, sent again
    assert again.status_code == 200 and "In the book" in again.text
    (step,) = told(visitor, code).steps
    assert step.state == "done" and len(step.done) == 1


def test_a_turn_ends_no_cure_is_undone_and_is_not_written_twice(visitor):
    code = planned(visitor)
    with_steps(visitor, code)
    visitor.client.post("/step", data=step_form(visitor) | {"what": "began"})
    other = second(visitor)
    turn = step_form(visitor)
    assert turn["verb"] == "Turn the collar over"
    page = visitor.get("/").text
    assert 'name="visit" value="1"' in page
    mine, theirs = turn | {"visit": "1", "what": "done"}, step_form(other) | {"visit": "1", "what": "done"}
    done = visitor.client.post("/step", data=mine)
    said = text(done.text)
    assert "Done: Turn the collar over. In the book." in said and "Goes on by itself Lay the collar in its cure" in said
    assert [s.state for s in told(visitor, code).steps] == ["going"]
    late = other.client.post("/step", data=theirs)
    assert late.status_code == 409 and "Turn the collar over was done already" in text(late.text)
    assert visitor.client.post("/step", data=mine).status_code == 200  # the same press, sent again
    assert [e.now.row.text for e in told(visitor, code).entries if e.kind == "reading" and e.now.row.kind == "visit"] == ["Turn the collar over"]
    with open_notebook(visitor.config.notebook) as book:
        before = today(book).next.at
    row = re.search(r'name="row" value="([^"]+)"', done.text)[1]
    visitor.post("/undo", kind="reading", row=row, uid=uid(done.text))
    with open_notebook(visitor.config.notebook) as book:
        assert today(book).next.at < before  # it is to do again


def test_a_step_is_undone_in_its_batch(visitor):
    code = planned(visitor)
    with_steps(visitor, code)
    visitor.client.post("/step", data=step_form(visitor) | {"what": "done", "back": f"/book/{code}"})
    page = visitor.get(f"/book/{code}").text
    form = page[page.index('name="kind" value="step"') - 300 :]
    row = re.search(r'name="row" value="([^"]+)"', form)[1]
    back = visitor.post("/undo", kind="step", row=row, uid=uid(page), back=f"/book/{code}")
    assert back.url.path == f"/book/{code}" and [s.state for s in told(visitor, code).steps] == ["planned"]


@pytest.mark.parametrize("off", [timedelta(minutes=-20), timedelta(minutes=20), timedelta(0)], ids=["behind", "ahead", "right"])
def test_a_phone_whose_clock_is_wrong_goes_on_to_the_next_piece_and_tells_when_it_was_pressed(visitor, off):
    code = twelve(visitor, 3)
    page = visitor.get(f"/book/{code}/weigh")
    for n in range(3):
        assert f"{n + 1} of 3" in text(page.text)
        pressed = datetime.now(UTC) + off
        page = visitor.post(f"/book/{code}/weigh", **(fields(page.text) | {"figure": "1.2", "kept_at": pressed.isoformat(), "sent_at": pressed.isoformat()}))
    assert page.url.path == f"/book/{code}"
    now = datetime.now(UTC)
    assert all(timedelta(0) <= now - e.now.at < timedelta(seconds=60) for e in written(visitor, code).entries)


@pytest.mark.parametrize(
    ("kept", "sent", "expected"),
    [(-3.0, -0.25, -2.75), (-3.25, 0.25, -3.5), (-3.0, None, -3.0), (0.2, 0.25, -0.05), (-3.0, 0.0005, -3.0), (0.2, None, None), (-3.0, -3.5, None)],
    ids=["behind", "ahead", "nothing told", "pressed ahead", "a slow network", "only the press, ahead", "sent before it was pressed"],
)
def test_what_lies_between_the_press_and_the_sending_counts_by_the_phones_own_clock(kept, sent, expected):
    """Hours from now, as the phone's clock shows them."""
    now = datetime.now(UTC)
    told_ = {name: (now + timedelta(hours=h)).isoformat() for name, h in (("kept_at", kept), ("sent_at", sent)) if h is not None}
    at = Form(told_).at  # type: ignore[arg-type]
    assert (at is None) if expected is None else abs((at - now).total_seconds() - 3600 * expected) < 20


@pytest.fixture
def locked(tmp_path):
    """A page that asks for its pass phrase, with a batch in its book."""
    made = Visitor(tmp_path, host="0.0.0.0", pass_phrase=hashed(PHRASE))
    made.client.get(f"/in/{made.app.state.passes.give()}")
    return made.begin()


def test_what_is_typed_after_a_session_ended_is_kept_through_the_sign_in_and_sent_once(locked):
    code = twelve(locked, 1)
    page = locked.get(f"/book/{code}/read").text
    form = {"csrf": locked.token(), "uid": uid(page), "note": 'smells of "juniper" <b>', "temperature": "4.4"}
    locked.client.cookies.clear()
    asked = locked.client.post(f"/book/{code}/read", data=form)
    assert asked.status_code == 401 and "Nothing was stored" in text(asked.text) and written(locked, code).entries == ()
    assert "What you typed is kept here" in text(asked.text)

    def sent_on(page, **more):
        hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', page))
        return {k: v.replace("&lt;", "<").replace("&gt;", ">").replace("&#34;", '"') for k, v in hidden.items()} | more

    wrong = locked.client.post("/sign-in", data=sent_on(asked.text, pass_phrase="not it"))
    assert wrong.status_code == 403 and "smells of" in wrong.text
    right = locked.client.post("/sign-in", data=sent_on(wrong.text, pass_phrase=PHRASE))
    assert right.status_code == 200 and 'smells of "juniper" <b>' in text(right.text).replace("&lt;", "<") and f'action="/book/{code}/read"' in right.text
    assert written(locked, code).entries == ()
    for _ in range(2):
        done = locked.client.post(f"/book/{code}/read", data=sent_on(right.text[right.text.index(f'action="/book/{code}/read"') :]))
        assert done.status_code == 200 and "In the book" in done.text
    (entry,) = written(locked, code).entries
    assert entry.now.row.text == 'smells of "juniper" <b>' and entry.now.row.temperature_c == 4.4


def test_the_sign_in_leads_on_to_what_was_asked_for_and_never_off_the_page(locked):
    code = twelve(locked, 1)
    locked.client.cookies.clear()
    asked = locked.get(f"/book/{code}?x=1")
    assert asked.url.path == "/sign-in"
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', asked.text))
    assert hidden["to"] == f"/book/{code}?x=1"
    for to, leads in ((hidden["to"], f"/book/{code}"), ("//elsewhere.example/", "/"), ("https://elsewhere.example", "/"), ("/\\elsewhere.example", "/")):
        locked.client.cookies.clear()
        csrf = re.search(r'name="csrf" value="(\w+)"', locked.get("/sign-in").text)[1]
        went = locked.client.post("/sign-in", data={"csrf": csrf, "pass_phrase": PHRASE, "to": to}, follow_redirects=False)
        assert went.status_code == 303 and went.headers["location"].partition("?")[0] == leads, to


def test_a_program_without_a_session_is_told_so_and_nothing_else(locked):
    locked.client.cookies.clear()
    assert locked.client.post("/api/record/reading", json={"temperature": "4C"}).status_code == 401
    assert locked.client.post("/sign-in/first", data={"a": "b"}).status_code == 403
    assert COOKIE in locked.client.cookies


def test_a_file_that_is_in_the_book_says_so_before_it_is_kept_again(visitor):
    now = datetime.now(UTC) - timedelta(hours=5)
    rows = "\n".join(f"{now + timedelta(minutes=20 * i):%Y-%m-%dT%H:%M:%S}+00:00,{3.5 + i % 3 / 10}" for i in range(12))
    file = ("fridge.csv", f"time,temperature_c\n{rows}\n".encode(), "text/csv")
    look = lambda: visitor.post("/loggers/look", files={"file": file}, place="fridge").text  # noqa: E731
    first = look()
    assert "Nothing is kept yet" in first
    kept = visitor.post("/loggers/keep", key=re.search(r'name="key" value="(\w{64})"', first)[1], place="fridge", name="fridge.csv")
    again = look()
    assert "Nothing is kept yet" not in again and f'href="{kept.url.path}">in the book already' in again
