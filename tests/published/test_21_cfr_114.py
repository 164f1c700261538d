"""21 CFR 114.3(a), (b): acid and acidified foods have a finished equilibrium pH of 4.6 or below."""

import pytest

from ingle.crafts import sauce


@pytest.mark.parametrize(("ph", "level"), [(4.4, "within"), (4.6, "near"), (4.61, "over"), (4.7, "over"), (None, "cannot_say")])
def test_ph_beside_4_6(ph, level):
    verdict = sauce.judge_acid(ph)[0]
    assert (verdict.level, verdict.limit) == (level, 4.6)
    assert bool(verdict.act) == (level != "within")
    assert verdict.not_checked
