"""National Center for Home Food Preservation, curing and smoking review, 3.1.2: fire below 85 F."""

import pytest

from ingle.crafts import smoke


@pytest.mark.parametrize(("fahrenheit", "level"), [(80, "within"), (84.9, "near"), (85.1, "over")])
def test_chamber_beside_85_f(fahrenheit, level):
    check = smoke.check("meat", [smoke.steady(1.0, (fahrenheit - 32.0) / 1.8)])
    (verdict,) = (v for v in check.verdicts if v.rule == "smoke.home")
    assert verdict.level == level
