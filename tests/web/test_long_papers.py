"""A paper that takes long: pressed by a process of its own, looked in at, fetched, stopped; a short one comes at once."""

import re
import time
from datetime import UTC, datetime

import pytest
from tests.web.visitor import text

from ingle.faces.paper import apart, press
from ingle.faces.paper.press import Job
from ingle.faces.web.runs import MOST_GOING, PAPER
from ingle.ground.errors import BadBrief, Refused

MONTH = f"/papers/month/{datetime.now(UTC):%Y-%m}.pdf"


def until_over(visitor, answer, most=60.0):
    """Looks again until the work is over."""
    assert re.fullmatch(r"/run/[\w-]+", answer.url.path), answer.url
    end = time.monotonic() + most
    while answer.url.path.endswith(answer.url.path.split("/")[2]) and answer.headers.get("refresh") and time.monotonic() < end:
        time.sleep(0.2)
        answer = visitor.get(answer.url.path)
    return answer


def test_a_long_paper_is_waited_for_on_a_page_and_is_the_one_a_short_wait_gives(visitor, monkeypatch):
    code = visitor.lay_in()
    at_once = visitor.get(f"/papers/recall/{code}.pdf")
    assert at_once.headers["content-disposition"] == f'inline; filename="recall-{code}.pdf"'
    monkeypatch.setattr(press, "LARGE", 0)
    page = visitor.get(f"/papers/recall/{code}.pdf")
    told = text(page.text)
    assert f"Recall {code}" in told and "Setting it on paper" in told and "Stop" in told and "best found" not in told
    made = until_over(visitor, page)
    assert made.content.startswith(b"%PDF") and made.headers["content-type"] == "application/pdf"
    assert made.headers["content-disposition"] == at_once.headers["content-disposition"]
    assert abs(len(made.content) - len(at_once.content)) < 200  # the minute of printing may be another


def test_who_stops_a_long_paper_is_led_back_to_the_papers(visitor, monkeypatch):
    visitor.lay_in()
    monkeypatch.setattr(press, "LARGE", 0)
    monkeypatch.setattr(apart, "_press", _sleeps)
    page = visitor.get(MONTH)
    assert page.headers["refresh"] and visitor.get(f"{page.url.path}/record.pdf").status_code == 404
    over = until_over(visitor, visitor.post(f"{page.url.path}/stop"), 20.0)
    assert "You stopped it" in text(over.text) and "before there was a paper" in text(over.text) and 'href="/papers"' in over.text
    assert over.status_code == 200 and "All meals" not in over.text


def test_what_cannot_be_pressed_says_so_from_the_other_process_too(monkeypatch):
    with pytest.raises(BadBrief, match="typeface"):
        apart.pdf(Job("recall", "x", _bare() | {"name": "\U000f1234"}), lambda: False)  # a letter of no typeface
    with pytest.raises(Refused, match="stopped"):
        apart.pdf(Job("recall", "x", _bare()), lambda: True)
    monkeypatch.setattr(apart, "_press", _dies)
    with pytest.raises(Refused, match="too much for this machine"):
        apart.pdf(Job("recall", "x", _bare()), lambda: False)


def test_papers_wait_for_papers_and_for_no_plan(visitor):
    runs, go_on = visitor.app.state.shelf.runs, []
    for _ in range(MOST_GOING):
        runs.start("Planning", "another", lambda run: go_on.append(run) or run.stop.wait(30))
    assert visitor.get(MONTH).content.startswith(b"%PDF")
    for _ in range(MOST_GOING):
        runs.start("Printing", "another", lambda run: run.stop.wait(30), PAPER)
    assert "2 pieces of work are going already" in text(visitor.get(MONTH).text)
    runs.close()


def _bare():
    """A recall of nothing."""
    empty = dict.fromkeys(("hold", "loose", "takers", "packs", "kinds", "through", "lots"), ())
    words = dict.fromkeys(("kitchen", "code", "name", "why", "made", "printed", "people", "hold_kinds"), "")
    return {**empty, **words, "paper": [297, 210], "made_packs": "0", "left": "0", "out": "0", "rows": True}


def _sleeps(_job, _pipe):
    time.sleep(60)


def _dies(_job, _pipe):
    raise SystemExit(9)
