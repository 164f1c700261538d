"""A seller's label in a real browser: asked, filled in by hand, seen as it will be printed; fit for hands and eyes before and after."""

from __future__ import annotations

import pytest
from tests.browser.conftest import PHONE, TABLE, Served, open_at, send
from tests.browser.test_more_pages import is_fit
from tests.web.test_labels import packed
from tests.web.visitor import Visitor


@pytest.fixture
def seller(tmp_path):
    """A page whose kitchen sells, and the code of a pack in its book."""
    visitor = Visitor(tmp_path).begin(use="sale")
    pack = packed(visitor)
    running = Served(tmp_path, visitor.config)
    yield running, pack
    running.stop()


def test_a_label_for_canada_is_asked_for_filled_in_and_seen(browser, seller):
    served, pack = seller
    context, page = open_at(browser, served, PHONE, bypass_csp=True)
    page.goto(f"/papers/label/{pack}")
    page.select_option("#rules", "ca")
    page.fill("#operator", "Fernhollow Society, 1 Mill Lane, Fernhollow")
    page.fill("#exempt", "sold at a farmers' market by the maker")
    send(page, "text=Keep it")
    assert "French is missing of: name, storage, Collar" in page.inner_text("main")
    told = is_fit(page, PHONE, "asks", seen=True)
    for field, words in (("#name_fr", "Échine salée"), ("#storage_fr", "Garder réfrigéré."), ("#french-1", "échine de porc"), ("#face", "100 x 70")):
        page.fill(field, words)
    send(page, "text=Keep it")
    picture = page.locator("figure.label img")
    assert picture.evaluate("e => e.complete && e.naturalWidth > 300") and picture.bounding_box()["width"] <= PHONE["width"]
    told += is_fit(page, PHONE, "made", seen=True)
    page.set_viewport_size(TABLE)
    told += is_fit(page, TABLE, "made", seen=False)
    href = page.locator("a.btn.big").get_attribute("href")
    answer = context.request.get(f"{served.url}{href}")
    printed, elsewhere = answer.body(), list(context.elsewhere)
    context.close()
    assert answer.status == 200 and printed.startswith(b"%PDF") and not told and not elsewhere, (told, elsewhere)
