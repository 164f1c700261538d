"""What a cook does at the page, by clicking, by keys alone, and with scripts off; two at once."""

import re

import pytest
from tests.browser.conftest import PHONE, TABLE, begin, fill_begun, open_at, send, until

from ingle.jobs.book import batches, leaf
from ingle.notebook.store import open_notebook


def in_book(served):
    """The newest batch as it stands in the notebook."""
    with open_notebook(served.config.notebook) as book:
        return leaf(book, batches(book)[0].code)


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no-scripts"])
def test_a_piece_goes_from_the_second_door_to_a_weight_undone_and_put_right(browser, served, size, scripts):
    context, page = open_at(browser, served, size, java_script_enabled=scripts)
    page.goto("/")
    send(page, "text=I have already begun")
    page.fill("#name", "Kitchen")
    page.fill("#zone", "Europe/Lundon")
    send(page, "text=Begin this kitchen")
    assert page.title().startswith("Error: ")
    if scripts:
        assert page.evaluate("document.activeElement.id") == "errors"
    page.click("#errors a")
    page.fill("#zone", "Europe/London")
    send(page, "text=Begin this kitchen")
    fill_begun(page)
    send(page, "text=Write it down")
    assert "Pull no sooner than" in page.inner_text("main")
    send(page, "text=Weigh the piece")
    key = (lambda k: page.click(f".key[value='{k}']")) if scripts else (lambda k: send(page, f".key[value='{k}']"))
    for k in "1.38":
        key(k)
    assert page.inner_text("#record") == "Record 1.38\u00a0kg"
    key("back")
    key("3")
    assert page.inner_text("#record") == "Record 1.33\u00a0kg"
    send(page, "#record")
    assert "In the book" in page.inner_text("main") and in_book(served).pieces[0].last_g == 1330
    send(page, "text=Undo")
    assert in_book(served).pieces[0].last_g is None
    send(page, "text=Weigh the piece")
    for k in "1.36":
        key(k)
    send(page, "#record")
    with page.expect_navigation():
        page.locator("tr", has_text="1.36").get_by_text("Put right").click()
    page.fill("#value", "1.35")
    send(page, "text=Put it right")
    assert in_book(served).pieces[0].last_g == 1350 and page.locator("s", has_text="1.36").count() == 1
    assert not context.elsewhere
    context.close()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no-scripts"])
def test_a_meal_is_planned_and_its_first_step_done(browser, served, size, scripts):
    context, page = open_at(browser, served, size, java_script_enabled=scripts)
    begin(page)
    page.goto("/meal/new")
    for field, value in (("name", "Bread and relish"), ("date", "2027-01-16"), ("time", "18:30"), ("plates", "6"), ("g_relish", "25"), ("g_onion", "20")):
        page.fill(f"#{field}", value)
    send(page, "text=Plan it")
    page.wait_for_url("**/meal/bread-and-relish", timeout=90_000)
    assert page.locator(".board svg:visible").count() == 1
    send(page, "text=Take it in")
    assert "Bread and relish" in page.inner_text(".plate")
    verb = page.inner_text("#next-verb")
    send(page, ".next .big")
    assert "In the book" in page.inner_text(".wrote") and verb.partition(":")[0] in page.inner_text(".wrote")
    send(page, "text=Undo")
    assert page.inner_text("#next-verb") == verb
    context.close()


def test_twelve_weights_by_taps_alone_on_a_phone(browser, served):
    from tests.web.test_book import twelve

    context, page = open_at(browser, served, PHONE, has_touch=True)
    begin(page)
    code = twelve(type("V", (), {"config": served.config}))
    page.goto(f"/book/{code}/weigh")
    for n in range(12):
        assert f"{n + 1} of 12" in page.inner_text(".benchhead")
        for key in f"1.{n:02d}":
            page.tap(f".key[value='{key}']")
            page.wait_for_timeout(70)
        with page.expect_navigation():
            page.tap("#record")
    assert [round(p.last_g) for p in in_book(served).pieces] == [1000 + 10 * n for n in range(12)]
    context.close()


def test_wiping_the_glass_shuts_the_keys(browser, served):
    from tests.web.test_book import twelve

    context, page = open_at(browser, served, PHONE)
    begin(page)
    page.goto(f"/book/{twelve(type('V', (), {'config': served.config}), 1)}/weigh")
    page.click("text=Wipe glass")
    assert page.eval_on_selector("#pad", "e => e.inert") and "Wipe: 10" in page.inner_text(".wipe")
    until(page, "() => !document.getElementById('pad').inert", seconds=14)
    context.close()


def test_the_bench_follows_what_is_dragged(browser, served, size):
    context, page = open_at(browser, served, size)
    begin(page)
    page.goto("/salt")
    before = page.inner_text(".outcome .bigvalue")
    bar = page.locator("[data-for=thickness]")
    bar.evaluate("e => { e.value = 80; e.dispatchEvent(new Event('input', {bubbles: true})); }")
    until(page, "w => document.querySelector('.outcome .bigvalue').innerText !== w", before)
    assert page.input_value("#thickness") == "80" and "thickness=80" in page.url
    thick = page.inner_text(".outcome .bigvalue")
    bar.focus()
    for _ in range(30):
        page.keyboard.press("ArrowLeft")
    until(page, "w => document.querySelector('.outcome .bigvalue').innerText !== w", thick)
    assert page.input_value("#thickness") == "50"
    until(page, "w => document.querySelector('.outcome .bigvalue').innerText === w", before)
    page.fill("#nitrite", "170")
    page.keyboard.press("Tab")
    page.wait_for_selector(".outcome.over")
    if size == PHONE:  # the judgement stays in sight while the lower sliders are used
        page.locator("[data-for=nitrite]").scroll_into_view_if_needed()
        assert page.locator(".outcome").bounding_box()["y"] <= 12
    context.close()


def test_the_bench_works_with_scripts_off(browser, served, size):
    context, page = open_at(browser, served, size, java_script_enabled=False)
    begin(page)
    page.goto("/salt")
    before = page.inner_text(".outcome .bigvalue")
    page.fill("#thickness", "80")
    send(page, "text=Work it out")
    assert page.inner_text(".outcome .bigvalue") != before and page.input_value("#thickness") == "80"
    context.close()


def test_all_of_it_by_keys_alone(browser, served):
    context, page = open_at(browser, served, TABLE)
    begin(page)
    page.goto("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("s")
    page.wait_for_url("**/salt")
    page.keyboard.press("b")
    page.wait_for_url("**/book")

    def to(selector):
        for _ in range(80):
            page.keyboard.press("Tab")
            if page.evaluate("s => document.activeElement.matches(s)", selector):
                ring = page.evaluate("() => { const b = document.activeElement.getBoundingClientRect(); return [b.top >= -1 && b.bottom <= innerHeight + 1, getComputedStyle(document.activeElement).outlineStyle] }")
                assert ring == [True, "solid"], (selector, ring)
                return
        raise AssertionError(f"no way to {selector} by Tab")

    to("a[href='/book/begun']")
    page.keyboard.press("Enter")
    page.wait_for_url("**/book/begun")
    for field, value in (("#name", "Collar"), ("#weight", "1.38"), ("#thickness", "50"), ("#salt", "32.1")):
        to(field)
        page.keyboard.type(value)
    to("button.go")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/book/TK-\d{6}-[A-Z]"))
    to("a[href$='/weigh']")
    page.keyboard.press("Enter")
    page.wait_for_url("**/weigh")
    to("#figure")
    page.keyboard.type("1.37")
    assert page.inner_text("#record") == "Record 1.37\u00a0kg"
    to("#record")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("wrote="))
    assert in_book(served).pieces[0].last_g == 1370
    page.keyboard.press("u")
    assert page.evaluate("document.activeElement.hasAttribute('data-undo')")
    page.keyboard.press("Enter")
    until(page, "() => !document.querySelector('.wrote')")
    assert in_book(served).pieces[0].last_g is None
    context.close()


def test_two_browsers_at_once_see_each_others_weights_and_lose_none(browser, served):
    one, first = open_at(browser, served, PHONE)
    begin(first)
    first.goto("/book/begun")
    fill_begun(first)
    send(first, "text=Write it down")
    code = first.url.rpartition("/")[2]
    two, second = open_at(browser, served, TABLE)
    for page, weight in ((first, "1.37"), (second, "1.36"), (first, "1.35"), (second, "1.34")):
        page.goto(f"/book/{code}/weigh")
        page.fill("#figure", weight)
        send(page, "#record")
        assert "In the book" in page.inner_text("main")
    first.goto(f"/book/{code}")
    assert all(f"{w} kg" in first.inner_text(".written").replace("\u00a0", " ") for w in ("1.37", "1.36", "1.35", "1.34"))
    one.close()
    two.close()
