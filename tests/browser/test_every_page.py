"""Every page in a real browser: no serious finding by axe, nothing sideways, targets for a thumb, nothing asked elsewhere."""

import pytest
from tests.browser.conftest import AXE, PHONE, TABLE, open_at, send

PLACES = ("/", "/doors", "/meal", "/meal/new", "/meal/fernhollow", "/salt", "/salt?nitrite=170&salt=5", "/salt?thickness=x", "/book", "/book/begun", "/drawer", "/grounds",
          "/grounds?find=nitrite", "/grounds/us-nitrite-whole-dry", "/house", "/parts", "/nowhere", "{leaf}", "{leaf}/weigh", "{leaf}/dose", "{leaf}/read", "{leaf}/again")  # fmt: skip
BENCH = ("{leaf}/weigh",)
# a link inside a sentence is as tall as its line (WCAG 2.5.8 allows it); radio and tick boxes are pressed by their label
TARGETS = """() => [...document.querySelectorAll('a,button,select,summary,input:not([type=hidden])')].filter(e => e.getClientRects().length && !e.closest('[hidden]'))
  .filter(e => !(e.tagName === 'A' && getComputedStyle(e).display === 'inline') && !(e.matches('[type=radio],[type=checkbox]') && e.closest('label')))
  .filter(e => !e.classList.contains('skip'))
  .map(e => [e.tagName + '.' + e.className + ' ' + (e.textContent || e.name).trim().slice(0, 30), e.getBoundingClientRect()])
  .filter(([, b]) => b.height < 43.5 || b.width < 24).map(([n, b]) => n + ' ' + Math.round(b.width) + 'x' + Math.round(b.height))"""
LABELS = "() => [...document.querySelectorAll('label')].filter(e => e.querySelector('input') && e.getBoundingClientRect().height < 43.5).map(e => e.textContent)"


def visit(browser, kitchen, size, place, scheme="light", **more):
    """The page of the demonstration's session."""
    context, page = open_at(browser, kitchen, size, color_scheme=scheme, **more)
    context.add_cookies(kitchen.cookies)
    if "{leaf}" in place:
        page.goto("/book?state=done")
        place = place.replace("{leaf}", page.locator(".batches a").first.get_attribute("href"))
    page.goto(place)
    return context, page


@pytest.mark.parametrize(("size", "scheme"), [(PHONE, "light"), (TABLE, "light"), (TABLE, "dark")], ids=["phone", "table", "table-dark"])
@pytest.mark.parametrize("place", PLACES)
def test_axe_finds_nothing_serious(browser, kitchen, place, size, scheme):
    context, page = visit(browser, kitchen, size, place, scheme, bypass_csp=True)  # the check itself is a script of another
    page.add_style_tag(content=".top,.outcome{position:static!important}")  # it looks from one place: what a bar covers there is scrolled free
    page.evaluate(AXE.read_text())
    found = page.evaluate("() => axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})")
    told = [(v["id"], v["impact"], [n["html"][:160] for n in v["nodes"][:3]]) for v in found["violations"] if v["impact"] in ("serious", "critical")]
    context.close()
    assert len(found["passes"]) > 10 and not told, told


@pytest.mark.parametrize("place", PLACES)
def test_nothing_runs_sideways_and_targets_fit_a_thumb(browser, kitchen, place, size):
    context, page = visit(browser, kitchen, size, place)
    wide = page.evaluate("document.documentElement.scrollWidth")
    small, labels = page.evaluate(TARGETS), page.evaluate(LABELS)
    elsewhere = list(context.elsewhere)
    context.close()
    assert wide <= size["width"] and not small and not labels and not elsewhere, (wide, small, labels, elsewhere)


@pytest.mark.parametrize("place", PLACES)
def test_it_reflows_at_320_and_says_nothing_to_the_console(browser, kitchen, place):
    context, page = open_at(browser, kitchen, {"width": 320, "height": 640})
    context.add_cookies(kitchen.cookies)
    said = []
    page.on("console", lambda m: said.append(m.text) if m.type in ("error", "warning") and "status of 4" not in m.text else None)
    page.on("pageerror", lambda e: said.append(str(e)))
    if "{leaf}" in place:
        page.goto("/book?state=done")
        place = place.replace("{leaf}", page.locator(".batches a").first.get_attribute("href"))
    page.goto(place)
    page.wait_for_timeout(60)
    wide = page.evaluate("document.documentElement.scrollWidth")
    context.close()
    assert wide <= 320 and not said, (wide, said)


def test_the_next_step_and_its_button_are_in_view_on_a_phone(browser, kitchen):
    context, page = visit(browser, kitchen, PHONE, "/")
    box, bar = page.locator(".next .big").bounding_box(), page.locator("nav.bar").bounding_box()
    context.close()
    assert box["y"] + box["height"] <= bar["y"] and box["height"] >= 72


def test_the_bench_fits_a_phone_with_keys_for_wet_hands(browser, kitchen):
    context, page = visit(browser, kitchen, PHONE, BENCH[0])
    keys = [k.bounding_box() for k in page.locator(".key").all()]
    button = page.locator("#record").bounding_box()
    figure = page.eval_on_selector("#figure", "e => parseFloat(getComputedStyle(e).fontSize)")
    context.close()
    assert len(keys) == 12 and min(k["height"] for k in keys) >= 76 and min(k["width"] for k in keys) >= 100
    assert button["height"] >= 100 and button["y"] + button["height"] <= 844 and figure >= 90


@pytest.mark.parametrize("place", ["/meal/fernhollow", "/salt", "/"])
def test_print_drops_bar_and_buttons_and_is_black(browser, kitchen, place):
    context, page = visit(browser, kitchen, TABLE, place, "dark")
    page.emulate_media(media="print")
    seen = page.evaluate("() => [...document.querySelectorAll('.bar,.btn')].filter(e => e.getClientRects().length).length")
    ink = page.evaluate("() => [getComputedStyle(document.body).color, getComputedStyle(document.body).backgroundColor, getComputedStyle(document.documentElement).getPropertyValue('--over').trim()]")
    paper = page.pdf(format="A4")
    context.close()
    assert seen == 0 and ink == ["rgb(0, 0, 0)", "rgb(255, 255, 255)", "#000000"] and paper.startswith(b"%PDF")


def test_the_chosen_ground_is_kept(browser, kitchen):
    context, page = visit(browser, kitchen, PHONE, "/drawer")
    page.click("text=black only")
    send(page, "form[action='/theme'] button")
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    context.close()
    assert ground == "rgb(255, 255, 255)"
