"""The meal in the page: a form becomes a brief, a brief a plan, a plan steps at hand; and the demonstration is a kitchen apart."""

import re
import time
import tomllib
from datetime import UTC, datetime, timedelta

import pytest
from tests.web.visitor import Visitor, text

from ingle.faces.web.briefs import keep, slug, to_toml, uploaded
from ingle.ground import tables
from ingle.ground.errors import BadBrief
from ingle.jobs.demonstration import brief_for

RELISH = {"name": "Bread and relish", "date": "2027-01-16", "time": "18:30", "plates": "6", "g_relish": "25", "g_onion": "20"}


def wait(visitor, answer):
    """The page that a piece of work leads to."""
    until = time.monotonic() + 120
    while "/run/" in str(answer.url) and answer.status_code == 200 and time.monotonic() < until:
        assert answer.headers["refresh"] == "1" and ("Stop" in answer.text or "asked to stop" in answer.text)
        time.sleep(0.2)
        answer = visitor.client.get(str(answer.url))
    return answer


def test_a_meal_goes_from_form_to_plan_to_the_steps_at_hand(visitor):
    page = wait(visitor, visitor.post("/meal/plan", **RELISH))
    assert page.url.path == "/meal/bread-and-relish"
    said = text(page.text)
    for words in ("Bread and relish", "6 plates, Sat 16 Jan, 18:30", "To buy", "Every step", "Not checked", "Wishes", "Allergens"):
        assert words in said, words
    assert page.text.count("<svg xmlns") == 2 and "var(--ember)" in page.text  # the week for a wall and for a phone, in the page's ink
    assert "This plan is not in the book yet" in said
    calendar = visitor.get("/meal/bread-and-relish/calendar.ics")
    assert calendar.headers["content-type"].startswith("text/calendar") and "BEGIN:VEVENT" in calendar.text
    hand = visitor.post("/meal/bread-and-relish/take")
    assert hand.url.path == "/" and 'name="what" value="' in hand.text and "Bread and relish" in hand.text
    assert "not in the book yet" not in visitor.get("/meal/bread-and-relish").text
    step = re.search(r'name="step" value="(\d+)"', hand.text)[1]
    sent = {"step": step, "verb": "It", "what": "done", "uid": "7c0f4d3a-3333-4333-8333-000000000001"}
    for _ in range(2):  # sent twice, done once
        after = visitor.post("/step", **sent)
    assert "Done: It. In the book." in text(after.text) and text(after.text).count("Done today") == 1
    undone = visitor.post("/undo", kind="step", row=re.search(r'name="row" value="([^"]+)"', after.text)[1], uid="7c0f4d3a-3333-4333-8333-000000000002")
    assert f'name="step" value="{step}"' in undone.text and "Done today" not in undone.text


def test_what_is_wrong_with_a_meal_is_said_at_its_fields(visitor):
    answer = visitor.post("/meal/plan", name="", date="soon", time="18:30", plates="some", g_relish="lots")
    assert answer.status_code == 422 and "<title>Error: " in answer.text
    for field in ("name", "date", "plates"):
        assert f'href="#{field}"' in answer.text
    assert 'value="lots"' in answer.text
    answer = visitor.post("/meal/plan", **(RELISH | {"g_relish": "lots"}))
    assert answer.status_code == 422 and 'href="#g_relish"' in answer.text and "lots" in text(answer.text)
    answer = visitor.post("/meal/plan", **(RELISH | {"date": "2020-01-01"}))
    assert answer.status_code == 422 and 'href="#date"' in answer.text
    answer = visitor.post("/meal/plan", **(RELISH | {"g_collar": "60", "w_collar_0": "1.38", "t_collar_0": "5000"}))
    assert answer.status_code == 422 and 'href="#t_collar_0"' in answer.text
    answer = visitor.post("/meal/plan", **(RELISH | {"g_collar": "60"}))
    assert answer.status_code == 422 and 'href="#w_collar_0"' in answer.text and "its pieces are missing" in answer.text
    assert "Nothing is served" in visitor.post("/meal/plan", **{k: v for k, v in RELISH.items() if not k.startswith("g_")}).text


def test_a_meal_that_cannot_be_names_the_clash(visitor):
    soon = datetime.now(UTC) + timedelta(days=2)
    page = wait(visitor, visitor.post("/meal/plan", **(RELISH | {"date": soon.date().isoformat(), "time": "23:59", "g_collar": "60", "w_collar_0": "1.38", "t_collar_0": "50"})))
    assert page.status_code == 422 and "not done" in page.text and "These cannot all hold" in page.text, text(page.text)


def test_work_is_its_owners_and_stops(visitor, tmp_path):
    answer = visitor.post("/meal/plan", **(RELISH | {"g_loaf": "70", "g_butter": "8"}))
    assert "/run/" in str(answer.url)
    other = Visitor(tmp_path)
    assert other.client.get(answer.url.path).status_code == 404
    stopped = wait(visitor, visitor.post(f"{answer.url.path}/stop"))
    assert stopped.url.path == "/meal/bread-and-relish" or "You stopped it after" in stopped.text


def test_a_brief_is_taken_but_the_files_it_points_at_are_not(visitor):
    brief = '[meal]\nname = "Relish"\nat = 2027-01-16T18:30:00\nzone = "Europe/London"\nplates = 4\n[[serve]]\npart = "relish"\ngrams_per_plate = "25g"\n[use]\nkit = "/etc/passwd"\nparts = ["/etc"]\n'
    page = wait(visitor, visitor.post("/meal/brief", files={"brief": ("../../x.toml", brief.encode(), "text/plain")}))
    assert page.url.path == "/meal/relish", text(page.text)
    kept = tomllib.loads((visitor.config.plans / "relish.toml").read_text())
    assert kept["use"] == {"kit": "relish.kitchen.toml"} and "root:" not in page.text
    for content in (b"\xff\xfe\x00", b"[meal", b"x = " + b"[" * 5000, b""):
        answer = visitor.post("/meal/brief", files={"brief": ("b.toml", content, "text/plain")})
        assert answer.status_code == 422 and 'href="#brief"' in answer.text, content[:20]


@pytest.mark.parametrize("name", ["../../etc/passwd", "..", "", "a/b\\c", "\u0000", "x" * 500, "\u00c9t\u00e9"])
def test_a_meals_file_stays_in_its_folder(name, tmp_path):
    kit = tmp_path / "k.toml"
    kit.write_text("")
    assert re.fullmatch(r"[a-z0-9-]{1,60}", slug(name))
    path = keep({"meal": {"name": name}}, tmp_path / "meals", kit)
    assert path.parent == tmp_path / "meals" and path.is_file()


def test_a_form_written_as_toml_reads_back_the_same():
    given = {"meal": {"name": 'A "b" \\ \u00fc\n', "at": datetime(2027, 1, 16, 18, 30), "plates": 4, "rules": ["gb"], "ready_chance": 0.95},
             "serve": [{"part": "collar", "pieces": [{"weight": "1kg", "added": {"curing-salt@6.25%": "2g"}, "box": True}]}, {"part": "relish"}]}  # fmt: skip
    assert tomllib.loads(to_toml(given)) == given
    with pytest.raises(BadBrief):
        uploaded(b"x" * 300_000)


def test_the_demonstrations_meal_lies_ahead_on_the_same_weekday_at_the_same_hour():
    shipped = (tables.data_path("examples", "fernhollow") / "fernhollow.toml").read_text()
    was = tomllib.loads(shipped)
    for now in (datetime(2027, 3, 3, 14, 20, tzinfo=UTC), datetime(2028, 2, 29, 23, 59, tzinfo=UTC), datetime(2026, 11, 27, 7, tzinfo=UTC)):
        told = tomllib.loads(brief_for(shipped, now))
        meal = told["meal"]
        assert meal["at"].weekday() == was["meal"]["at"].weekday() and meal["at"].time() == was["meal"]["at"].time()
        assert 21 < (meal["at"] - meal["plan_from"]).days < 30 and abs((now.replace(tzinfo=None) - meal["plan_from"]).total_seconds()) < 7300
        assert told["serve"] == was["serve"]


def test_the_demonstration_has_a_book_of_its_own_and_says_what_it_is(visitor):
    page = wait(visitor, visitor.post("/demonstration"))
    assert page.url.path == "/" and page.status_code == 200, text(page.text)
    said = text(page.text)
    assert "Demonstration. An invented kitchen" in said and "Fernhollow midwinter table" in said and 'class="clock"' in page.text
    listed = text(visitor.get("/book").text)
    assert listed.count("Collar") >= 2 and "in the making" not in listed.replace("all in the making planned", "")
    assert "Test kitchen" not in visitor.get("/house").text
    back = visitor.post("/own")
    assert "Demonstration" not in text(back.text) and "Test kitchen" in visitor.get("/house").text and "Fernhollow" not in text(visitor.get("/book").text)
    again = visitor.post("/demonstration")  # the second time it stands there already
    assert again.url.path == "/" and "Fernhollow midwinter table" in again.text
