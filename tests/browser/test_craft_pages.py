"""Brine, smoke, crackling, bread, dough, butter, sauce in a real browser: form and answer together, everything folded open; and a baker without scripts."""

import pytest
from tests.browser.conftest import AXE, PHONE, TABLE, Served, begin, open_at
from tests.browser.test_every_page import LABELS, TARGETS

PLACES = (
    "/brine?strength=10&volume=5&to=12", "/brine?salt=500", "/smoke?hours_1=8h&chamber_1=18C&hours_2=6h&chamber_2=12C", "/crackle?weight=180g&fridge=12h&oven_1=220C&time_1=20min",
    "/bread?loaf=800g&pieces=2&hydration=68&preferment=20&preferment_hydration=100", "/formula?flour=800g&water=500g&salt_weight=18g", "/proof?piece=900g&fridge=6C&in=24.5C",
    "/dough?to=24C&flour=1kg&flour_temperature=22C&water=650g&tap=24C", "/butter?cream=1kg&fat=36&salt=1.5&cream_temperature=20C&use=sale&ripen=20C",
    "/sauce?mass_1=2kg&solids_1=6&to=30&ph=4.4", "/mixed?weight=1kg&salt=50&curing=2.5&packet=6.25&thickness=50&days=6",
)  # fmt: skip
NARROW = {"width": 320, "height": 640}


@pytest.fixture(scope="module")
def bare(tmp_path_factory, browser):
    """A kitchen that is set up and has nothing in it: these pages need no more."""
    running = Served(tmp_path_factory.mktemp("bare"))
    context, page = open_at(browser, running, TABLE)
    begin(page)
    context.close()
    yield running
    running.stop()


@pytest.mark.parametrize(("size", "scheme", "seen"), [(PHONE, "light", True), (TABLE, "dark", True), (NARROW, "light", False)], ids=["phone", "table-dark", "narrow"])
def test_form_and_answer_are_fit_for_hands_and_eyes(browser, bare, size, scheme, seen):
    context, page = open_at(browser, bare, size, color_scheme=scheme, bypass_csp=True)
    told = []
    for place in PLACES if seen else (p for p in PLACES if not p.startswith("/crackle")):
        assert page.goto(place).status == (422 if place == "/brine?salt=500" else 200)
        page.evaluate("() => document.querySelectorAll('details').forEach(d => { d.open = true })")
        wide = page.evaluate("document.documentElement.scrollWidth")
        told += [(place, what) for what in (*page.evaluate(TARGETS), *page.evaluate(LABELS))] + ([(place, wide)] if wide > size["width"] else [])
        if seen:
            page.add_style_tag(content=".top,.outcome,.outbox{position:static!important}")
            page.evaluate(AXE.read_text())
            found = page.evaluate("() => axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})")
            assert len(found["passes"]) > 10
            told += [(place, v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in found["violations"] if v["impact"] in ("serious", "critical")]
    elsewhere = list(context.elsewhere)
    context.close()
    assert not told and not elsewhere, (told, elsewhere)


def test_a_baker_comes_from_the_drawer_by_keys_alone_without_scripts(browser, bare):
    context, page = open_at(browser, bare, PHONE, java_script_enabled=False)
    page.goto("/drawer")
    page.focus("a[href='/bread']")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.focus("#loaf")
    for figure in ("1 kg", "3"):
        page.keyboard.press("Control+A")
        page.keyboard.type(figure)
        page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    told = page.inner_text("main").replace("\u00a0", " ")
    with page.expect_navigation():
        page.click(".figures >> text=common practice >> nth=0")
    ground = page.inner_text("main")
    context.close()
    assert "3 loaves of 1.00 kg" in told and "1,136 g" in told  # 1000 g at 12 % loss
    assert "per weight of all flour" in ground and "common practice" in ground
