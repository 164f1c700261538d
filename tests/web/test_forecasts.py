"""One forecast wherever it is told: at hand, on its page, by its log, and as it was begun."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from tests.web.test_places import keep
from tests.web.visitor import text, uid

from ingle.faces.words import waking
from ingle.jobs import record
from ingle.jobs.book import leaf
from ingle.jobs.today import today
from ingle.notebook import plans
from ingle.notebook.plans import PlannedBatch, PlannedStep
from ingle.notebook.rows import only_kitchen
from ingle.notebook.store import open_notebook

NOW = datetime.now(UTC)


def ago(days):
    return (NOW - timedelta(days=days)).date().isoformat()


def warm_log(since_h, until_h=0, warm=24.0):
    """A fridge's log with a night at 12 °C in its middle."""
    first = NOW.replace(minute=0, second=0, microsecond=0) - timedelta(hours=since_h)
    hours = int(since_h - until_h)
    rows = [f"{first + timedelta(hours=n):%Y-%m-%dT%H:%M:%S}+00:00,{12.0 if hours / 2 - warm / 2 <= n < hours / 2 + warm / 2 else 4.0}" for n in range(hours)]
    return ("fridge.csv", ("time,temperature_c\n" + "\n".join(rows) + "\n").encode(), "text/csv")


def test_a_piece_begun_by_hand_waits_at_hand_with_its_window(visitor):
    code = visitor.lay_in(date=ago(2))
    said = text(visitor.get("/").text)
    assert "Nothing waits" not in said
    assert code in said and "Pull no sooner than" in said and "A grain is one chance in twenty" in said
    page = text(visitor.get(f"/book/{code}").text)
    for words in (r"Ready between .*?, most likely \w+ \d+", r"Pull no sooner than \w+ \d+ \w+, \d\d:\d\d"):
        assert re.search(words, page)
    pull = r"Pull no sooner than (\w+ \d+ \w+, \d\d:\d\d)"
    assert re.search(pull, said)[1] == re.search(pull, page)[1]
    assert 7 <= int(re.search(pull, page)[1][-5:-3]) <= 22  # somebody is up


def test_a_piece_past_its_pull_asks_for_it(visitor):
    code = visitor.lay_in(date=ago(60))
    with open_notebook(visitor.config.notebook) as book:
        told = today(book)
    assert [n.ref for n in told.needs if n.kind == "batch" and n.level == "today"] == [code]
    assert not told.waiting


def test_a_warm_night_moves_the_window_on_every_page_and_leads_to_its_log(visitor):
    code = visitor.lay_in(date=ago(4))
    keep(visitor, code, warm_log(80))
    with open_notebook(visitor.config.notebook) as book:
        lies = leaf(book, code).lies
    assert lies.along is not None and lies.forecast.likely_h != lies.laid_in.likely_h
    assert "sooner" in lies.along.sentence  # salt goes faster into warm meat
    for path in ("/", f"/book/{code}"):
        page = visitor.get(path)
        assert f'href="/loggers/{lies.along.uid}"' in page.text, path
        assert "As it was by fridge.csv" in text(page.text)
    assert "As it stood when it was laid in" not in text(visitor.get(f"/book/{code}").text)


def test_a_log_that_ended_before_the_piece_was_laid_in_changes_nothing_and_holds_no_batch(visitor):
    code = visitor.lay_in(date=ago(1))
    page = keep(visitor, code, warm_log(200, 100))
    assert "Ended before it was laid in: changes nothing." in text(page.text)
    with open_notebook(visitor.config.notebook) as book:
        told = leaf(book, code)
        assert told.deviations == () and told.lies.along is None
        assert [n.level for n in today(book).needs if n.kind == "deviation"]  # the fridge's own alarm stands


@pytest.mark.parametrize("days", [-3, 0, 2])
def test_a_cure_begun_on_another_day_is_told_from_that_day_by_one_source(visitor, days):
    start = NOW.replace(hour=9, minute=0, second=0, microsecond=0) - timedelta(days=1 + days)
    end = start + timedelta(days=9)
    quantiles = [100.0 + 5 * n for n in range(20)]
    ready = [(start + timedelta(hours=h)).isoformat() for h in (quantiles[0], quantiles[10], quantiles[-1])]
    visit = start + timedelta(days=4)
    said = {
        "attended": [[start.isoformat(), (start + timedelta(minutes=20)).isoformat(), "A"]], "ready": ready,
        "tends": [[visit.isoformat(), (visit + timedelta(minutes=5)).isoformat(), "A", "Turn it"]],
    }  # fmt: skip
    with open_notebook(visitor.config.notebook) as book:
        batch = PlannedBatch("loin", "Loin", "cure", start, forecast={"step": "loin.cure", "quantiles_h": quantiles, "ready": ready})
        step = PlannedStep("loin.cure", "loin", "Cure the loin", "cure", start, end, said)
        book.write(lambda s: plans.take_plan(s, only_kitchen(s), "Table", 1, {"at": end.isoformat(), "plates": 2}, [batch], [step]))
        begun = start + timedelta(days=days)
        record.step(book, "loin.cure", began=begun)
        told = today(book, now=begun + timedelta(minutes=30))
        [waits] = told.waiting
        lies = leaf(book, waits.batch).lies
    assert lies.since == begun
    assert waits.ready[1] == lies.ready[1] == begun + timedelta(hours=quantiles[10])
    [turn] = [t for t in (*told.tasks, told.next) if t and t.verb == "Turn it"][:1]
    assert turn.at == visit + timedelta(days=days)  # as many days after it was laid in as planned
    assert [n.what for n in told.needs if n.kind == "plan"] == ([] if days == 0 else [f"Loin was laid in {abs(days)} d {'sooner' if days < 0 else 'later'} than planned"])


def test_a_pull_in_the_night_is_told_as_the_next_hour_somebody_is_up():
    at = datetime(2026, 12, 9, tzinfo=UTC)
    for hour, minute, day, told in ((5, 49, 9, 7), (7, 0, 9, 7), (14, 5, 9, 15), (21, 30, 10, 7), (23, 10, 10, 7)):
        assert waking(at.replace(hour=hour, minute=minute)) == at.replace(day=day, hour=told)


def test_a_log_that_was_taken_in_wrongly_is_withdrawn_and_its_file_comes_in_again(visitor):
    visitor.post("/theme", who="W", theme="")
    code, other = visitor.lay_in(date=ago(4)), visitor.lay_in(date=ago(4), name="Loin")
    page = keep(visitor, code, warm_log(80))
    way = page.url.path
    assert "Taken in wrongly" in page.text
    refused = visitor.post(f"{way}/withdraw", why=" ", uid=uid(page.text))
    assert refused.status_code == 422 and "Say in a word or two" in refused.text and "Error:" in refused.text
    gone = visitor.post(f"{way}/withdraw", why="<b>wrong</b> batch", uid=uid(page.text))
    said = text(gone.text)
    assert gone.url.path == way and "nothing is worked out from this log any more" in said and "<b>wrong</b> batch" in said and ", W" in said
    assert "<s>fridge.csv</s>" in gone.text and "By its log" not in said and "Against the lines" not in said and "Withdraw this log" not in said
    leaf_page = visitor.get(f"/book/{code}").text
    assert "<s>fridge.csv</s>" in leaf_page and "withdrawn by W" in text(leaf_page) and "As it stood when it was laid in" in text(leaf_page)
    assert "As it was by fridge.csv" not in text(visitor.get("/").text) and "Say what was done" not in text(visitor.get("/").text)
    again = keep(visitor, other, warm_log(80))
    assert "In the book, with what was over." in text(again.text) and again.url.path != way
    assert "As it was by fridge.csv" in text(visitor.get(f"/book/{other}").text)
    assert "withdrawn by W" in text(visitor.get("/loggers").text)
    rows = visitor.get("/api/logs").json()["logs"]
    assert [(r["withdrawn"] or {}).get("who") for r in rows] == [None, "W"]


def test_the_week_is_drawn_under_the_words_and_only_where_something_lies_in_it(visitor):
    assert "The week" not in visitor.get("/").text  # nothing planned, nothing begun
    code = visitor.lay_in(date=ago(2))
    page = visitor.get("/")
    assert page.text.index("The week") > page.text.index("In the making") > page.text.index("Goes on by itself")  # text first
    drawn = re.findall(r'<figure class="board only-(wide|narrow)">\s*<svg.*?</svg>\s*</figure>', page.text, re.DOTALL)
    assert drawn == ["wide", "narrow"] and page.text.count('class="waits"') == 2 and page.text.count('class="now"') == 2
    assert "#" not in re.search(r'class="waits"[^>]*>', page.text)[0].partition("fill=")[2][:6]  # in the page's own ink: light and dark
    assert "in its cure until" in page.text and len(page.content) < 600_000
    for _ in range(12):
        visitor.lay_in(date=ago(1))
    many = visitor.get("/")
    assert many.text.count('class="waits"') == 2 * 8 and len(many.content) < 600_000 and code in many.text
