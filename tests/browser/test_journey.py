"""From a brief to the label by clicking, as a person would, on a phone and on a table; a second browser sees each thing as it comes."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from tests.browser.running import PHONE, TABLE, Running

from ingle.ground import tables

HOME = ZoneInfo("Europe/London")


@pytest.fixture
def server(tmp_path):
    made = Running(tmp_path)
    yield made
    made.stop()


def brief(now):
    """A meal on a Saturday, so near that its collar went into the cure some days ago: the plan was made two weeks ago."""
    meal = (now + timedelta(days=11)).astimezone(HOME)
    meal += timedelta(days=(5 - meal.weekday()) % 7)
    begun = now - timedelta(days=14)
    return f"""[meal]
name = "Test supper"
at = {meal:%Y-%m-%d}T18:30:00
zone = "Europe/London"
plates = 8
plan_from = {begun:%Y-%m-%d}T07:00:00
rules = ["gb"]

[[serve]]
part = "collar"
grams_per_plate = "60g"
pieces = [{{ name = "A", weight = "1.06kg", thickness = "40mm", width = "140mm", length = "180mm", shape = "slab", skin = "none", fat = "thin" }}]
"""


def warm_night(now):
    """A fridge's log of the last sixty hours: 4 °C, but for twelve hours of one night with its door ajar."""
    first = (now - timedelta(hours=60)).replace(minute=0, second=0, microsecond=0)
    rows = [(first + timedelta(minutes=20 * i)) for i in range(180)]
    told = [f"{at:%Y-%m-%dT%H:%M:%S}+00:00,{19.0 if 60 <= i < 96 else 4.0}" for i, at in enumerate(rows)]
    return "time,temperature_c\n" + "\n".join(told) + "\n"


def calm(page):
    """Two presses within 400 ms are one press: a person is slower."""
    page.wait_for_timeout(430)


@pytest.mark.parametrize("size", [PHONE, TABLE], ids=["phone", "table"])
def test_from_brief_to_label(server, browser, tmp_path, size):
    now = datetime.now(UTC)
    (tmp_path / "supper.toml").write_text(brief(now))
    (tmp_path / "fridge.csv").write_text(warm_night(now))
    context, other_context = browser.new_context(viewport=size), browser.new_context(viewport=TABLE if size == PHONE else PHONE)
    for each in (context, other_context):
        each.set_default_timeout(20000)
    page, other = context.new_page(), other_context.new_page()
    faults = []
    for p in (page, other):
        p.on("pageerror", lambda why: faults.append(str(why)))
        p.on("request", lambda asked: None if asked.url.startswith((server.address, "data:", "blob:")) else faults.append(asked.url))

    # three doors, the house
    page.goto(server.address)
    page.get_by_role("link", name="Plan my meal").click()
    page.fill("#name", "Test kitchen")
    page.fill("#zone", "Europe/London")
    page.fill("#prefix", "TK")
    page.set_input_files("#kit_file", str(tables.data_path("examples", "fernhollow", "kitchen.toml")))  # its scale shows 0.1 g
    page.get_by_role("button", name="Begin this kitchen").click()

    # brief, plan, into the book
    page.set_input_files("#brief", str(tmp_path / "supper.toml"))
    calm(page)
    page.get_by_role("button", name="Plan this brief").click()
    page.get_by_role("button", name="Take it in").wait_for(timeout=60000)
    calm(page)
    page.get_by_role("button", name="Take it in").click()
    page.wait_for_load_state()

    # the batch of the collar; the second browser sees it
    page.get_by_role("link", name="Book", exact=True).click()
    page.get_by_role("link", name="collar").first.click()
    leaf_address = page.url
    code = leaf_address.rpartition("/")[2].partition("?")[0]
    other.goto(leaf_address)
    assert code in other.inner_text("main")

    # dose as planned
    page.get_by_role("link", name="Dose").first.click()
    calm(page)
    if not page.input_value("#item_0"):
        page.get_by_label("salt, g", exact=False).first.fill("26")
    page.get_by_role("button", name="Record as weighed").click()
    page.locator(".wrote").wait_for()
    other.reload()
    assert "nothing yet" not in other.inner_text("main")

    # weigh with big keys
    page.get_by_role("link", name="Weigh", exact=False).first.click()
    for key in "1.03":
        page.click(f'.key[value="{key}"]')
        page.wait_for_timeout(90)
    assert "Record 1.03" in page.inner_text("#record")
    calm(page)
    page.click("#record")
    page.wait_for_url("**wrote=*")
    other.reload()
    assert "1.03" in other.inner_text("main")

    # a temperature
    page.goto(leaf_address)
    page.get_by_role("link", name="Other reading").click()
    page.fill("#temperature", "4.4")
    page.fill("#note", "<b>smells of juniper</b>")
    calm(page)
    page.get_by_role("button", name="Record").click()
    page.wait_for_url("**wrote=*")
    assert "<b>smells of juniper</b>" in page.inner_text("main")  # as typed, and nothing more

    # the log of the fridge, with its warm night
    page.get_by_role("link", name="A log came").click()
    page.set_input_files("#file", str(tmp_path / "fridge.csv"))
    page.select_option("#batch", code)
    calm(page)
    page.get_by_role("button", name="Look at it").click()
    page.get_by_role("heading", name="Is this right?").wait_for()
    assert "Nothing is kept yet" in page.inner_text("main")
    calm(page)
    page.get_by_role("button", name="Right: keep it in the book").click()
    page.wait_for_url("**kept=new")
    told = page.inner_text("main")
    assert "Stop" in told
    assert "By its log: ready between" in told and "sooner than at 4" in told.replace("\u00a0", " ")

    # the second browser: the deviation stands at hand, and is answered there
    other.goto(server.address)
    other.get_by_role("link", name="Say what was done").first.click()
    other.fill("#act", "Moved to the cellar, judged by its forecast")
    other.get_by_label("it is kept").check()
    calm(other)
    other.get_by_role("button", name="Write it down").click()
    other.wait_for_url(f"**/book/{code}")

    # packed and labelled
    page.goto(leaf_address)
    page.get_by_role("link", name="Pack, label").click()
    page.fill("#count", "4")
    page.fill("#net", "200")
    calm(page)
    page.get_by_role("button", name="Packed").click()
    page.wait_for_url("**fresh=*")
    label = page.get_by_role("link", name="Labels", exact=True).get_attribute("href")
    made = context.request.get(server.address + label)
    assert made.ok and made.body().startswith(b"%PDF")
    record = context.request.get(f"{server.address}/papers/record/{code}.pdf")
    assert record.ok and record.body().startswith(b"%PDF")
    other.goto(f"{server.address}/trace/{code}")
    assert f"{code}-P1" in other.inner_text("main")
    assert not faults
    context.close()
    other_context.close()
