"""A page that others hear: the code a phone reads off the screen, a session that ends at the bench, two books in one browser."""

import io

import pytest
import zxingcpp
from PIL import Image
from tests.browser.conftest import PHONE, TABLE, Served, begin, fill_begun, open_at, send, until

from ingle.faces.web.config import Config
from ingle.faces.web.security import hashed

PHRASE = "four words that do not belong"


@pytest.fixture(scope="module")
def heard(tmp_path_factory):
    """A page set up to be heard by others: it asks for its pass phrase. Only this machine hears it here."""
    folder = tmp_path_factory.mktemp("heard")
    running = Served(folder, Config(str(folder / "own.notebook"), folder / "own.page", host="0.0.0.0", secret=b"k" * 32, pass_phrase=hashed(PHRASE)))
    yield running
    running.stop()


def sign_in(page):
    page.goto("/sign-in")
    page.fill("#pass_phrase", PHRASE)
    send(page, "text=Open the book")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_code_on_the_screen_is_read_off_its_picture(browser, heard, size, scheme, monkeypatch):
    from ingle.faces.web.pages import phone

    monkeypatch.setattr(phone, "own_address", lambda: "192.0.2.7")  # an address for documentation
    context, page = open_at(browser, heard, size, color_scheme=scheme)
    sign_in(page)
    page.goto("/phone")
    send(page, "text=Show the code")
    shown = page.locator(".qr svg").bounding_box()
    picture = Image.open(io.BytesIO(page.screenshot())).convert("L")
    read = zxingcpp.read_barcodes(picture)
    context.close()
    assert shown["width"] >= 250 and [b.text.partition("/in/")[0].partition(":8023")[0] for b in read] == ["http://192.0.2.7"]
    corners = [p for b in read for p in (b.position.top_left, b.position.bottom_right)]
    assert corners[1].x - corners[0].x >= 200  # what a phone's camera sees, not a stamp in the corner of a box


def test_a_session_that_ends_at_the_bench_says_so_and_its_weight_is_sent_after_signing_in(browser, heard):
    context, page = open_at(browser, heard, PHONE)
    sign_in(page)
    begin(page)
    page.goto("/book/begun")
    fill_begun(page)
    send(page, "text=Write it down")
    leaf = page.url
    page.goto(f"{leaf}/weigh")
    page.fill("#figure", "1.37")
    context.clear_cookies()
    page.click("#record")
    page.wait_for_selector(".outbox a")
    assert "Kept on this phone, 1 waiting" in page.inner_text(".outbox") and "signed out" in page.inner_text(".outbox")
    page.wait_for_timeout(430)
    send(page, ".outbox a")
    page.fill("#pass_phrase", PHRASE)
    send(page, "text=Open the book")
    assert page.url.partition("?")[0] == f"{leaf}/weigh"  # back where it was
    until(page, "() => document.querySelector('.outbox').dataset.waiting === '0' && /In the book/.test(document.querySelector('.outbox').textContent)")
    page.goto(leaf)
    assert page.inner_text(".written").count("1.37") == 1
    context.close()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no-scripts"])
def test_a_form_sent_after_the_session_ended_is_sent_once_more_by_one_press(browser, heard, size, scripts):
    context, page = open_at(browser, heard, size, java_script_enabled=scripts)
    sign_in(page)
    if page.url.endswith("/doors"):
        begin(page)
    page.goto("/book/begun")
    fill_begun(page)
    page.fill("#name", "Loin of the late hour")
    context.clear_cookies()
    send(page, "text=Write it down")
    page.fill("#pass_phrase", PHRASE)
    page.wait_for_timeout(430)
    send(page, "text=Open the book")
    assert "Loin of the late hour" in page.inner_text("main") and page.title().startswith("Send it now")
    page.wait_for_timeout(430)
    send(page, "button:has-text('Send it now')")
    assert page.inner_text("h1") == "Loin of the late hour"
    context.close()


def test_a_page_left_open_in_the_demonstration_writes_nothing_into_the_cooks_book(browser, kitchen):
    context, page = open_at(browser, kitchen, TABLE)
    context.add_cookies(kitchen.cookies)
    page.goto("/")
    assert page.locator("aside.demo").count() == 1
    other = context.new_page()
    other.goto("/")
    send(other, "text=Leave it")
    with page.expect_navigation():
        page.click(".next .big")
    said = page.inner_text("main")
    other.goto("/")
    own = other.inner_text("main")
    context.close()
    assert "Nothing was stored" in said and "Done today" not in own


def test_a_name_without_a_gap_runs_off_no_page(browser, kitchen):
    context, page = open_at(browser, kitchen, PHONE)
    page.goto("/book/begun")
    fill_begun(page)
    page.fill("#name", "Collar " + "x" * 90)
    send(page, "text=Write it down")
    leaf = page.url
    page.goto(f"{leaf}/read")
    page.fill("#note", "y" * 200)
    page.wait_for_timeout(430)
    send(page, "button.big")
    code = leaf.rpartition("/")[2]
    page.goto(f"/book/{code}/pack")
    page.fill("#count", "2")
    page.fill("#net", "200")
    page.wait_for_timeout(430)
    send(page, "button:has-text('Packed')")
    wide = {}
    for size in (PHONE, TABLE, {"width": 320, "height": 640}):
        page.set_viewport_size(size)
        for place in ("/", "/book", leaf, f"{leaf}/weigh", f"{leaf}/dose", f"{leaf}/read", f"{leaf}/again", f"{leaf}/pack", f"/trace/{code}", f"/book/compare?b={code}&b={kitchen.code}"):
            page.goto(place)
            width = page.evaluate("document.documentElement.scrollWidth")
            if width > size["width"]:
                wide[place, size["width"]] = width
    context.close()
    assert not wide


def test_a_step_pressed_without_a_network_is_kept_once_and_the_page_goes_on_when_it_is_sent(browser, kitchen):
    context, page = open_at(browser, kitchen, PHONE)
    context.add_cookies(kitchen.cookies)
    page.goto("/")
    verb = page.inner_text("#next-verb")
    context.set_offline(True)
    page.click(".next .big")
    page.wait_for_selector(".outbox[data-waiting='1']")
    assert page.inner_text(".next .big") == "Kept here" and page.is_disabled(".next .big")
    context.set_offline(False)
    page.wait_for_url("**/?wrote=*")
    assert f"Done: {verb}. In the book." in page.inner_text(".wrote") and page.inner_text("#next-verb") != verb
    page.wait_for_timeout(430)
    send(page, "text=Undo")
    assert page.inner_text("#next-verb") == verb
    context.close()
