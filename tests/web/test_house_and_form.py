"""The first forms: what they fill in, what they say beside a field, and that all that is wrong is told at once."""

import re
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from tests.web.visitor import HOUSE, text

from ingle.faces.web.pages import house
from ingle.faces.web.pages.meal import quarter


def test_all_that_is_wrong_with_a_house_is_told_at_once(fresh):
    answer = fresh.post("/house", **(HOUSE | {"name": "", "zone": "London", "scale": "fine", "prefix": "QQ"}))
    assert answer.status_code == 422
    for field in ("name", "zone", "scale", "prefix"):
        assert f'href="#{field}"' in answer.text, field
    assert "Zone 'London' is not known" in text(answer.text)
    assert fresh.get("/").url.path == "/doors"  # nothing was kept


def test_the_zone_of_this_machine_is_filled_in_where_it_names_a_place(fresh, monkeypatch):
    monkeypatch.setenv("TZ", "Europe/Lisbon")
    assert re.search(r'id="zone"[^>]*value="Europe/Lisbon"', fresh.get("/house").text)
    for none in ("UTC", "Etc/UTC", "nowhere/at-all"):  # a server's clock says nothing of the kitchen
        monkeypatch.setenv("TZ", none)
        assert house.this_zone() == ""
        assert re.search(r'id="zone"[^>]*value=""', fresh.get("/house").text)
    assert all(ZoneInfo(z) for z in re.findall(r'<option value="([A-Z]\w+/\w+)">', fresh.get("/house").text)[:20])


def test_a_meals_form_says_what_is_usual_and_ties_pieces_to_their_grams(visitor):
    page = visitor.get("/meal/new").text
    assert "The demonstration serves 60\u00a0g." in page
    assert 'data-opens="g_' in page


@pytest.mark.parametrize(("minute", "second", "told"), [(0, 0, (17, 0)), (0, 1, (17, 15)), (4, 0, (17, 15)), (15, 0, (17, 15)), (59, 0, (18, 0))])
def test_a_plan_begins_on_a_quarter(minute, second, told):
    at = quarter(datetime(2026, 11, 25, 17, minute, second, tzinfo=UTC))
    assert (at.hour, at.minute, at.second) == (*told, 0)
