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


# -- pictures ----------------------------------------------------------------------------------------------------------


def picture(folder, name="face.jpg", size=(1600, 1200)):
    """A picture with as much in it as a phone's: about 2 MB."""
    import os

    from PIL import Image

    path = folder / name
    Image.frombytes("RGB", size, os.urandom(size[0] * size[1] * 3)).save(path, "JPEG", quality=80)
    return path


def photos(server):
    """Pictures in the book with the note they came with."""
    from sqlalchemy import select

    from ingle.notebook.models import Photo, Reading
    from ingle.notebook.store import open_notebook

    with open_notebook(str(server.folder / "kitchen.notebook"), create=False) as book, book.look() as session:
        return [(bytes(p.content), text) for p, text in session.execute(select(Photo, Reading.text).join(Reading, Reading.photo_id == Photo.id))]


def on_the_phone(page):
    """How many pictures wait in the browser's own store."""
    return page.evaluate(
        """() => new Promise((yes) => { const ask = indexedDB.open("ingle.pictures", 1); ask.onupgradeneeded = () => ask.result.createObjectStore("waiting", { keyPath: "uid" });
        ask.onsuccess = () => { const db = ask.result, got = db.transaction("waiting").objectStore("waiting").count(); got.onsuccess = () => { db.close(); yes(got.result); }; }; })"""
    )


def take(page, path, note):
    page.set_input_files("#photo", path)
    page.fill("#note", note)
    page.wait_for_timeout(420)  # two presses within 400 ms are one
    page.click("button.big")


def test_without_a_network_pictures_wait_over_a_closed_tab_and_are_then_in_the_book_once(server, batch, context, tmp_path):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/read")
    first, second = picture(tmp_path), picture(tmp_path, "back.jpg")
    context.set_offline(True)
    take(page, first, "a grey spot")
    waiting(page, 1)
    said = page.inner_text(".outbox")
    assert "Kept on this phone, 1 waiting" in said and "with a picture (" in said and "MB)" in said
    assert page.input_value("#note") == "" and page.evaluate("document.querySelector('#photo').files.length") == 0  # the form is free for the next
    take(page, second, "the other side")
    waiting(page, 2)
    assert on_the_phone(page) == 2 and photos(server) == []
    page.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(f"{server.address}/drawer")
    waiting(again, 0)
    assert "In the book" in again.inner_text(".outbox")
    assert photos(server) == [(first.read_bytes(), "a grey spot"), (second.read_bytes(), "the other side")]
    assert on_the_phone(again) == 0


def test_a_cut_while_a_picture_is_sent_doubles_nothing(server, batch, context, tmp_path):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/read")
    cut = []

    def taken_but_not_told(route):
        if route.request.method != "POST" or cut:
            return route.continue_()
        cut.append(route.fetch(max_redirects=0).status)
        return route.abort()

    page.route("**/read", taken_but_not_told)
    path = picture(tmp_path, size=(400, 300))
    take(page, path, "a grey spot")
    page.wait_for_selector(".outbox:not([hidden])")
    waiting(page, 0)
    assert cut == [303]
    assert photos(server) == [(path.read_bytes(), "a grey spot")] and on_the_phone(page) == 0


def test_a_picture_that_is_none_is_refused_by_the_page_and_stays_nowhere(server, batch, context, tmp_path):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/read")
    (tmp_path / "no.jpg").write_bytes(b"\xff\xd8 no picture")
    take(page, tmp_path / "no.jpg", "a grey spot")
    page.wait_for_selector(".summary")
    assert page.title().startswith("Error:") and page.input_value("#note") == "a grey spot"
    assert on_the_phone(page) == 0 and photos(server) == []


@pytest.mark.parametrize(("bound", "says"), [("most", "100 kB is the most. Take it smaller"), ("all", "wait on this phone already"), ("none", "This browser keeps no picture here, and there is no network")])
def test_where_a_picture_cannot_wait_it_is_said_and_the_form_stands(server, batch, context, tmp_path, bound, says):
    page = context.new_page()
    if bound == "none":
        page.add_init_script("IDBFactory.prototype.open = () => { throw new DOMException('no', 'SecurityError'); };")
    page.goto(f"{server.address}/book/{batch}/read")
    path = picture(tmp_path, size=(900, 700))
    if bound == "most":
        page.evaluate("document.querySelector('#photo').dataset.most = '100000'")
    if bound == "all":  # fifty-nine megabytes wait
        page.evaluate("window.ingleKept.put('00000000-0000-4000-8000-000000000000', [['photo', new File([new Uint8Array(59.9e6)], 'x.jpg')]])")
    context.set_offline(True)
    take(page, path, "a grey spot")
    page.wait_for_selector(".outbox:not([hidden])")
    assert says in page.inner_text(".outbox") and "Not kept, not sent" in page.inner_text(".outbox")
    assert page.input_value("#note") == "a grey spot" and page.evaluate("document.querySelector('#photo').files.length") == 1
    assert photos(server) == [] and page.get_attribute(".outbox", "data-waiting") == "0"
    context.set_offline(False)
    if bound == "none":  # nowhere to keep it, but the network is back: it is sent from the form itself
        page.wait_for_timeout(420)
        page.click("button.big")
        page.wait_for_url("**wrote=*")
        assert photos(server) == [(path.read_bytes(), "a grey spot")]


def test_with_scripts_off_a_picture_posts_from_the_form(server, batch, browser, tmp_path):
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/read")
    path = picture(tmp_path, size=(400, 300))
    take(page, path, "a grey spot")
    assert "wrote=" in page.url
    assert photos(server) == [(path.read_bytes(), "a grey spot")]
    context.close()


def test_the_button_says_what_was_pressed_and_its_reading(server, batch, context):
    page = context.new_page()
    page.goto(f"{server.address}/book/{batch}/weigh")
    for figure, says in (("0.90", "Record 0.90\u00a0kg (900\u00a0g)"), ("1.33", "Record 1.33\u00a0kg")):
        page.fill("#figure", figure)
        assert page.evaluate("document.querySelector('#record').textContent") == says
