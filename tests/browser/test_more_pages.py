"""Heat, loggers, trail, papers, keeping and the rest in a real browser: axe, thumbs, nothing sideways, and without scripts.

Each size goes from place to place in one session, as a person does: a picture of every place is what axe and the measures look at.
"""

import re
import threading

import pytest
from tests.browser.conftest import AXE, PHONE, TABLE, Served, open_at, send
from tests.browser.test_every_page import LABELS, TARGETS, visit
from tests.web.test_places import freezer, log

from ingle.faces.web.config import Config
from ingle.faces.web.security import hashed
from ingle.ground.errors import NoPlan

HOT = "/heat?do=cook&part=collar&weight=1.3kg&thickness=70mm&place=oven&dial=160C&core=71C&rest=20min"
COLD = "/heat?do=cool&part=ham&weight=2kg&thickness=90mm&start=72C&cold=fridge&air=4C"
NARROW = {"width": 320, "height": 640}
# a word in braces is a place that must first be made: `laid` tells its address
PLACES = (
    "/heat", HOT, COLD, "/heat?do=cool&part=ham&weight=x", "/frozen", "/frozen?freezer=-20C&days=20&thickness=50", "/frozen?freezer=20C&days=20", "{frozen by a log}", "/loggers",
    "{a log is looked at}", "{log}", "/trace", "/trace?code=nothing", "{trace}", "/papers", "{label}", "/keeping",
    "/keeping?part=bacon&since=2026-11-20&low=3C&high=7C&packed=air", "/amiss",
    "/amiss?went=fridge-off&hours=9h&found=14C&room=21C&weight=1.3kg&thickness=50&eaten=cooked&packed=air", "/phone", "/back", "{leaf}/pack", "{compare}", "{correct}",
    "{deviation}", "{work that goes on}", "{work that found no plan}",
)  # fmt: skip
REFUSED = {"/heat?do=cool&part=ham&weight=x": 422, "/frozen?freezer=20C&days=20": 422, "{work that found no plan}": 422, "/trace?code=nothing": 404}
BEFORE = ("/sign-in",)  # a session


@pytest.fixture(scope="module")
def laid(browser, kitchen):
    """Addresses of the places that must first be made, by what they are called in `PLACES`."""
    context, page = visit(browser, kitchen, TABLE, "/book?state=done")
    codes = [a.get_attribute("href").rpartition("/")[2] for a in page.locator(".batches a").all()][:2]
    leaf = f"/book/{codes[0]}"
    page.goto(f"{leaf}/weigh")
    page.fill("#figure", "1.31")
    send(page, "#record")
    page.goto(leaf)
    correct = page.locator("a[href*='/correct/']").first.get_attribute("href")
    page.goto("/loggers")
    page.set_input_files("#file", [{"name": n, "mimeType": t, "buffer": b} for n, b, t in (log(),)])
    send(page, "text=Look at it")
    send(page, "text=Right: keep it in the book")
    kept = page.url.partition("?")[0].removeprefix(kitchen.url)
    page.goto("/")
    deviation = page.locator("a[href^='/book/deviation/']").first.get_attribute("href")
    page.goto("/frozen")
    page.click("summary:has-text('logger')")
    page.set_input_files("#file", [{"name": n, "mimeType": t, "buffer": b} for n, b, t in (freezer(20),)])
    send(page, "text=Was it long enough?")
    frozen = page.url.removeprefix(kitchen.url)
    page.goto(f"{leaf}/pack")
    page.fill("#count", "4")
    page.fill("#net", "200")
    send(page, "main form button.go")
    label = re.search(r"/papers/label/([\w-]+)", page.content())[1]
    context.close()
    runs, over = kitchen.server.config.app.state.shelf.runs, threading.Event()
    owner = next(iter(runs._runs.values())).owner  # the session that planned the demonstration

    def goes_on(run):
        run.tell("looking for a better plan", 3, 10)
        over.wait(600)

    def fails(_run):
        raise NoPlan("No plan fits.", clash=("collar: core reaches its salt after 14 d",), remedies=("A table on Sat 26 Dec.",))

    going, failed = runs.start("Planning", owner, goes_on), runs.start("Planning", owner, fails)
    yield {
        "{leaf}": leaf, "{log}": kept, "{correct}": correct, "{deviation}": deviation, "{frozen by a log}": frozen, "{trace}": f"/trace/{codes[0]}",
        "{label}": f"/papers/label/{label}", "{compare}": f"/book/compare?b={codes[0]}&b={codes[-1]}", "{a log is looked at}": "/loggers",
        "{work that goes on}": f"/run/{going.id}", "{work that found no plan}": f"/run/{failed.id}",
    }  # fmt: skip
    over.set()


def stays(route):
    """A page that looks in again by itself would go away under the question."""
    answer = route.fetch()
    route.fulfill(response=answer, headers={k: v for k, v in answer.headers.items() if k != "refresh"})


def is_fit(page, size, place, seen):
    """What is wrong with the page that stands there: sideways, targets, and by axe where it is looked at."""
    page.evaluate("() => document.querySelectorAll('details').forEach(d => { d.open = true })")
    wide = page.evaluate("document.documentElement.scrollWidth")
    told = [(place, what) for what in (*page.evaluate(TARGETS), *page.evaluate(LABELS))] + ([(place, wide)] if wide > size["width"] else [])
    if seen:
        page.add_style_tag(content=".top,.outcome,.outbox{position:static!important}")  # it looks from one place: what a bar covers there is scrolled free
        page.evaluate(AXE.read_text())
        found = page.evaluate("() => axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})")
        assert len(found["passes"]) > 10, place
        told += [(place, v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in found["violations"] if v["impact"] in ("serious", "critical")]
    return told


@pytest.mark.parametrize(("size", "scheme", "seen"), [(PHONE, "light", True), (TABLE, "dark", True), (NARROW, "light", False)], ids=["phone", "table-dark", "narrow"])
def test_every_place_is_fit_for_hands_and_eyes(browser, kitchen, laid, size, scheme, seen):
    context, page = open_at(browser, kitchen, size, color_scheme=scheme, bypass_csp=True)
    context.add_cookies(kitchen.cookies)
    page.route("**/run/*", stays)
    told = []
    for place in PLACES:
        address = re.sub(r"\{[^}]+\}", lambda m: laid[m[0]], place)
        answer = page.goto(address)
        assert answer.status == REFUSED.get(place, 200), (place, answer.status)
        if place == "{a log is looked at}":
            page.set_input_files("#file", [{"name": n, "mimeType": t, "buffer": b} for n, b, t in (log(),)])
            send(page, "text=Look at it")
            assert "Is this right?" in page.inner_text("h1")
        told += is_fit(page, size, place, seen)
    elsewhere = list(context.elsewhere)
    context.close()
    assert not told and not elsewhere, (told, elsewhere)


def test_whoever_signs_in_finds_a_page_that_is_fit(browser, tmp_path):
    running = Served(tmp_path, Config(str(tmp_path / "own.notebook"), tmp_path / "own.page", secret=b"k" * 32, pass_phrase=hashed("four words that hold")))
    told = []
    try:
        for size, scheme in ((PHONE, "light"), (TABLE, "dark")):
            context, page = open_at(browser, running, size, color_scheme=scheme, bypass_csp=True)
            page.goto(BEFORE[0])
            told += is_fit(page, size, BEFORE[0], True)
            page.fill("input[type=password]", "wrong")
            with page.expect_navigation():
                page.keyboard.press("Enter")
            told += is_fit(page, size, "a wrong pass phrase", True)
            context.close()
    finally:
        running.stop()
    assert not told


def test_a_cook_is_asked_and_answered_by_keys_alone_without_scripts(browser, kitchen):
    context, page = visit(browser, kitchen, PHONE, "/heat", java_script_enabled=False)
    page.focus("#weight")
    for figure in ("2kg", "80mm"):
        page.keyboard.press("Control+A")
        page.keyboard.type(figure)
        page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    told = page.inner_text("main")
    context.close()
    assert "Core 71" in told and "Heat, rule by rule" in told


def test_a_freezers_file_is_answered_by_keys_alone_without_scripts(browser, kitchen):
    context, page = visit(browser, kitchen, PHONE, "/frozen", java_script_enabled=False)
    page.focus("summary:has-text('logger')")
    page.keyboard.press("Enter")
    page.set_input_files("#file", [{"name": n, "mimeType": t, "buffer": b} for n, b, t in (freezer(20),)])
    page.focus("#thickness")
    page.keyboard.type("50")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    told = page.inner_text("main").replace("\u00a0", " ")
    context.close()
    assert "20 d held, at least 20 d asked" in told and "161 readings over 20 d" in told
