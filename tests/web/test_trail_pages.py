"""A trail that is longer than a page: all of it counted, every thing listed once, the pages linked."""

import re

from tests.web.visitor import text

from ingle.faces.web.pages import trail
from ingle.jobs import kitchen as k
from ingle.notebook.store import open_notebook


def test_a_long_trail_is_told_in_pages(visitor, monkeypatch):
    monkeypatch.setattr(trail, "MOST", 4)
    visitor.begin()
    with open_notebook(visitor.config.notebook) as book:
        salt = k.receive(book, "salt")
        codes = [k.lay_in(book, f"Batch {n}", part="x", craft="cure", takes=[salt.code]).code for n in range(10)]
    pages = [visitor.get(f"/trace/{salt.code}", page=n).text for n in (1, 2, 3)]
    listed = [re.findall(r'<li class="d1">.*?/book/([^"]+)"', page) for page in pages]
    assert [len(x) for x in listed] == [4, 4, 2] and [code for page in listed for code in page] == codes
    for n, page in enumerate(pages, 1):
        assert "10 batches are not packed" in text(page) and f"Page {n} of 3" in text(page) and "10 things" in text(page)
    assert ['rel="prev"' in p for p in pages] == [False, True, True] and ['rel="next"' in p for p in pages] == [True, True, False]
    assert text(visitor.get(f"/trace/{salt.code}", page=77).text) == text(pages[2])
    assert visitor.get(f"/trace/{salt.code}", page=0).status_code in (400, 422)
