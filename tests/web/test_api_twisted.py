"""Requests that are right but for one field: every answer is one of ours, an error says field and remedy, and nothing bursts."""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.app import create_app
from ingle.faces.web.config import Config

RIGHT = {
    "weigh": {"weight": ["1.38kg"], "thickness": ["50mm"], "salt": "2.5%", "nitrite": "118", "curing_salt": "6.25%", "sugar": "1%", "scale": "0.1g", "rules": "gb", "on": "2026-11-04"},
    "judge": {"weight": ["1kg"], "add": ["salt=50g", "curing-salt@6.25%=2.5g"], "thickness": ["50mm"], "days": "6", "temperature": "4C", "wish": "2.5%"},
    "cure": {"weight": ["1.38kg"], "thickness": ["40mm"], "add": ["salt=34g"], "temperature": "4C", "days": "7", "chance": "95%"},
    "cook": {"part": "collar", "weight": "1.3kg", "thickness": "70mm", "oven": "160C", "core": "71C", "rest": "20min", "start": "4C", "probe_depth": "20mm", "humidity": "30%"},
    "chill": {"part": "ham", "weight": "2kg", "thickness": "90mm", "start": "72C", "air": "4C", "nitrite": "100", "brine": "3%", "aw": "0.97", "first": ["ice-bath=0C,1h"]},
    "keep": {"part": "bacon", "fridge": "3C..7C", "since": "2026-11-19", "on": "2026-11-25", "aw": "0.97", "ph": "5.8", "salt_in_water": "3.5%"},
    "mishap": {"weight": ["1kg"], "thickness": ["40mm"], "fridge_off": "9h", "found": "14C", "room": "21C", "aw": "0.97", "ph": "5.8"},
    "crackle": {"weight": "180g", "thickness": "3mm", "fridge": "12h", "salt": "3g", "oven": ["220C,20min"], "oven_offset": "5K", "recrisp": "200C,5min"},
    "smoke": {"kind": "meat", "run": ["8h,18C"], "fuel": "tray"},
    "brine": {"salt": "500g", "water": "4kg", "temperature": "4C", "to": "12%"},
    "butter": {"cream": "1kg", "fat": "36%", "salt": "1.5%", "standardise": "30%", "with_fat": "3.5%", "cream_temperature": "12C", "churned": "25min", "ripen": "20C",
               "weighed": "430g", "butter_fat": "82%", "buttermilk_fat": "0.5%", "use": "sale"},
    "bread": {"loaf": "800g", "pieces": "2", "hydration": "68%", "salt": "2%", "also": ["yeast=1%"], "preferment": "20%", "preferment_hydration": "100%", "baked": "500g,440g"},
    "dough": {"flour": "1kg", "flour_temperature": "22C", "water": "650g", "tap": "15C", "to": "24C", "room": "22C", "preferment": "300g,22C,100%", "friction": "6K", "rise": "2K",
              "last": "26C,20C", "piece": "900g", "fridge": "4C", "in": "24C", "head_start": "-1h"},
    "sauce": {"part": ["2kg,12%"], "to": "30%", "vinegar": "150g,5%", "sauce": "900g", "ph": "3.9", "titration": "10g,12ml,0.1", "syrup": "500g,500g", "gravity": "1.2",
              "temperature": "20C"},
    "record/reading": {"about": "TK-1", "weight": "1.33kg", "temperature": "4C", "ph": "5.6", "water_activity": "0.93", "humidity": "78%", "salt": "2.6%", "depth": "25mm",
                       "note": "seen", "place": "fridge", "at": "2026-11-04 18:05", "uid": "3b0c3a52-5a1e-4d53-9d0f-1d6f0a4f7e11", "who": "A"},
    "record/lot": {"item": "pork", "supplier": "Hill", "amount": "5kg", "received": "2026-11-04", "use_by": "2026-12-10", "allergens": "milk,gluten", "note": "x"},
    "record/pack": {"batches": ["TK-1"], "count": 3, "net": "200g", "use_by": "2026-12-10", "storage": "cold"},
}  # fmt: skip
TWISTED = (
    "", " ", "0", "0g", "-1kg", "1e308kg", "1e-320kg", "nan", "nan kg", "inf", "-infC", "\u0663kg", "1,38,0kg", "9" * 400 + "g", "=cmd()", "\x00", "1kg\n2kg", "\U0001f9c2", "../../etc/passwd",
    "99999999999mm", "1e400C", "-273.16C", "400C", "100%", "1e9%", "0%", "1e9d", "0h", "0001-01-01", "9999-12-31", "2026-02-30", "a=b=c", "=", "salt=", "@=1g", "curing-salt@0%=1g", "TK-1; DROP TABLE",
    "<script>alert(1)</script>", "%s%n", "\ufeff1kg", "\u202e1kg", "1kg" * 300,
)  # fmt: skip


@pytest.fixture(scope="module")
def client(tmp_path_factory):
    place = tmp_path_factory.mktemp("page")
    with TestClient(create_app(Config(str(place / "k.notebook"), place / "page"), OFFERED), raise_server_exceptions=False) as made:
        made.post("/api/record/kitchen", json={"name": "Test", "zone": "Europe/London", "prefix": "TK"})
        yield made


@pytest.mark.parametrize("name", RIGHT)
def test_one_twisted_field_is_answered_in_words(client, name):
    fields = sorted(RIGHT[name])

    @given(field=st.sampled_from(fields), value=st.sampled_from(TWISTED))
    @settings(max_examples=45, derandomize=True, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    def ask(field, value):
        given_ = RIGHT[name][field]
        body = RIGHT[name] | {field: [value] if isinstance(given_, list) else value}
        answer = client.post(f"/api/{name}", json=body)
        assert answer.status_code < 500, (body, answer.text[:400])
        told = answer.json()
        if answer.status_code >= 400:
            assert told["message"] and set(told) >= {"field", "value", "limit", "remedy"}, body
        else:
            assert all(math.isfinite(x) for x in _numbers(told))

    ask()


def _numbers(told):
    if isinstance(told, dict):
        for v in told.values():
            yield from _numbers(v)
    elif isinstance(told, list):
        for v in told:
            yield from _numbers(v)
    elif isinstance(told, float):
        yield told
