"""Heat, loggers, trail, papers, keeping and the rest in a real browser: axe, thumbs, nothing sideways, and without scripts."""

import pytest
from tests.browser.conftest import AXE, PHONE, TABLE
from tests.browser.test_every_page import LABELS, TARGETS, visit

HOT = "/heat?do=cook&part=collar&weight=1.3kg&thickness=70mm&place=oven&dial=160C&core=71C&rest=20min"
COLD = "/heat?do=cool&part=ham&weight=2kg&thickness=90mm&start=72C&cold=fridge&air=4C"
PLACES = ("/heat", HOT, COLD, "/heat?do=cool&part=ham&weight=x", "/loggers", "/trace", "/papers", "/keeping", "/keeping?part=bacon&since=2026-11-20&low=3C&high=7C&packed=air", "/amiss",
          "/amiss?went=fridge-off&hours=9h&found=14C&room=21C&weight=1.3kg&thickness=50&eaten=cooked&packed=air", "/phone", "/back", "{leaf}/pack")  # fmt: skip
SHORT = [p.partition("?")[0] + ("?" if "?" in p else "") for p in PLACES]


@pytest.mark.parametrize(("size", "scheme"), [(PHONE, "light"), (TABLE, "dark")], ids=["phone", "table-dark"])
@pytest.mark.parametrize("place", PLACES, ids=SHORT)
def test_axe_finds_nothing_serious(browser, kitchen, place, size, scheme):
    context, page = visit(browser, kitchen, size, place, scheme, bypass_csp=True)
    page.add_style_tag(content=".top,.outcome,.outbox{position:static!important}")
    page.evaluate(AXE.read_text())
    found = page.evaluate("() => axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})")
    told = [(v["id"], v["impact"], [n["html"][:160] for n in v["nodes"][:3]]) for v in found["violations"] if v["impact"] in ("serious", "critical")]
    context.close()
    assert len(found["passes"]) > 10 and not told, told


@pytest.mark.parametrize("size", [PHONE, TABLE, {"width": 320, "height": 640}], ids=["phone", "table", "narrow"])
@pytest.mark.parametrize("place", PLACES, ids=SHORT)
def test_nothing_runs_sideways_and_targets_fit_a_thumb(browser, kitchen, place, size):
    context, page = visit(browser, kitchen, size, place)
    wide = page.evaluate("document.documentElement.scrollWidth")
    small, labels = page.evaluate(TARGETS), page.evaluate(LABELS)
    elsewhere = list(context.elsewhere)
    context.close()
    assert wide <= size["width"] and not small and not labels and not elsewhere, (wide, small, labels, elsewhere)


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
