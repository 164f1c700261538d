"""Readings wait on the phone and none is lost or doubled: network cut before and during a post, tab closed, server asleep, killed, restarted."""

import json
import urllib.request

import pytest
from tests.browser.running import PHONE, Running


@pytest.fixture
def server(tmp_path):
    made = Running(tmp_path)
    yield made
    made.stop()


def ask(server, path, body=None):
    """A request of /api, as another program."""
    data = None if body is None else json.dumps(body).encode()
    asked = urllib.request.Request(f"{server.address}/api/{path}", data, {"content-type": "application/json"})
    with urllib.request.urlopen(asked, timeout=20) as got:
        return json.load(got)


@pytest.fixture
def batch(server):
    """A batch of three pieces."""
    ask(server, "record/kitchen", {"name": "Test kitchen", "zone": "Europe/London", "prefix": "TK"})
    pieces = [ask(server, "record/piece", {"name": f"Collar {n}", "weight": "1.4kg", "thickness": "50mm"})["written"][0]["code"] for n in "ABC"]
    return ask(server, "record/batch", {"name": "Collar", "takes": pieces})["written"][0]["code"]


@pytest.fixture
def context(browser):
    made = browser.new_context(viewport=PHONE)
    yield made
    made.close()


def press(page, figure):
    """A weight by the big keys, as fast as fingers are."""
    for sign in figure:
        page.click(f'.key[value="{sign}"]')
        page.wait_for_timeout(90)
    page.wait_for_timeout(420)  # two presses within 400 ms are one
    page.click("#record")


def weights(server):
    """Weights in the book, in g."""
    from sqlalchemy import select

    from ingle.notebook.models import Reading
    from ingle.notebook.store import open_notebook

    with open_notebook(str(server.folder / "kitchen.notebook"), create=False) as book, book.look() as session:
        return sorted(w for w in session.scalars(select(Reading.weight_g)) if w is not None)


def waiting(page, count):
    page.wait_for_selector(f'.outbox[data-waiting="{count}"]', state="attached", timeout=20000)


def test_without_a_network_three_weights_wait_and_then_are_in_the_book(server, batch, context):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    context.set_offline(True)
    for n, figure in enumerate(("1.31", "1.32", "1.33"), 1):
        press(page, figure)
        waiting(page, n)
    assert "Kept on this phone, 3 waiting" in page.inner_text(".outbox")
    assert weights(server) == []
    context.set_offline(False)
    waiting(page, 0)
    assert "In the book" in page.inner_text(".outbox")
    assert weights(server) == [1310.0, 1320.0, 1330.0]
    assert len(ask(server, "today")["going"]) == 1


def test_the_time_is_when_it_was_pressed(server, batch, context):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    context.set_offline(True)
    press(page, "1.31")
    waiting(page, 1)
    pressed = page.evaluate("Object.values(localStorage).map(x => { try { return JSON.parse(x) } catch { return {} } }).find(x => x.fields).fields.find(f => f[0] === 'kept_at')[1]")
    page.wait_for_timeout(2500)
    context.set_offline(False)
    waiting(page, 0)
    from sqlalchemy import select

    from ingle.notebook.models import Reading
    from ingle.notebook.store import open_notebook

    with open_notebook(str(server.folder / "kitchen.notebook"), create=False) as book, book.look() as session:
        at = session.scalar(select(Reading.at_utc).where(Reading.weight_g.is_not(None)))
    assert at.isoformat()[:22] == pressed[:22]


def test_a_cut_during_the_post_doubles_nothing(server, batch, context):
    """The server takes the reading, the answer never comes back."""
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    cut = []

    def taken_but_not_told(route):
        if not cut:
            cut.append(route.fetch(max_redirects=0).status)
            route.abort()
        else:
            route.continue_()

    page.route("**/weigh", lambda route: taken_but_not_told(route) if route.request.method == "POST" else route.continue_())
    press(page, "1.31")
    page.wait_for_selector(".outbox:not([hidden])")
    waiting(page, 0)
    assert cut == [303]
    assert weights(server) == [1310.0]


def test_a_closed_tab_keeps_what_waits(server, batch, context):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    context.set_offline(True)
    press(page, "1.31")
    waiting(page, 1)
    page.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(f"{server.address}/drawer")
    waiting(again, 0)
    assert weights(server) == [1310.0]


def test_a_sleeping_server_is_waited_for(server, batch, context):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    server.sleep()
    press(page, "1.31")
    waiting(page, 1)  # after its wait it says so
    server.wake()
    waiting(page, 0)
    assert weights(server) == [1310.0]


def test_a_killed_and_restarted_server_gets_it_and_knows_the_session(server, batch, context):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    press(page, "1.31")
    page.wait_for_url("**wrote=*")
    server.kill()
    press(page, "1.32")
    waiting(page, 1)
    server.start()
    waiting(page, 0)
    assert weights(server) == [1310.0, 1320.0]


def test_with_scripts_off_the_same_form_posts(server, batch, browser):
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    for sign in "1.31":
        page.click(f'.key[value="{sign}"]')
    page.click("#record")
    assert "Collar B" in page.inner_text("h1")
    assert weights(server) == [1310.0]
    context.close()


def test_what_is_refused_is_said_and_not_thrown_away(server, batch, context):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/read")
    page.fill("#temperature", "warm")
    page.click("button.big")
    page.wait_for_selector(".summary")
    assert page.title().startswith("Error:")
    assert page.input_value("#temperature") == "warm"
    assert page.evaluate("Object.keys(localStorage).filter(k => k.startsWith('ingle.out.')).length") == 0
