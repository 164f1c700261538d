"""How long food in a closed fridge without power stays at 5 C or below, beside what is published.

Hospitality Review 31(2), article 5 (abstract): up to six hours with the door shut. FoodSafety.gov: no more than four hours.
The assumption's band must hold both: its slow end the measured six, its fast end sooner than the agencies' four.
"""

import numpy as np
import pytest

from ingle.crafts.heat import outage
from ingle.ground.things import Piece

HOURS = np.arange(0.0, 24.0, 0.05)
COLD, ROOM = 3.0, 21.0  # a fridge as told to be kept, a heated room


def hours_to_five(pace, film, grams, thick):
    air = outage.failing(HOURS, 24.0, np.full(HOURS.shape, COLD), ROOM, pace)
    core = outage.temperatures(Piece(grams, thick), 180.0, air, [0.0], film, COLD)[0]
    return float(HOURS[(core >= 5.0).argmax()])


@pytest.mark.parametrize(("grams", "thick"), [(500.0, 40.0), (1000.0, 60.0), (1380.0, 50.0)])
def test_six_hours_measured_and_four_advised_lie_in_the_band(grams, thick):
    slow, fast = outage.paces(24.0, COLD, ROOM)
    ends = [hours_to_five(pace, film, grams, thick) for pace in (slow, fast) for film in (5.0, 10.0)]
    assert min(ends) < 4.0 < max(ends)
    assert max(ends) > 5.5 and max(ends) < 8.0  # six hours, to the quarter that size of piece and film make


def test_a_reading_on_return_is_met_by_both_ends_within_its_error():
    for found in (8.0, 14.0, 19.5):
        slow, fast = outage.paces(9.0, 4.0, 21.0, found)
        at = [float(outage.failing(np.array([8.999999]), 9.0, np.array([4.0]), 21.0, p)[0]) for p in (slow, fast)]
        assert at[0] == pytest.approx(found - 1.0, abs=0.01)
        assert at[1] == pytest.approx(min(found + 1.0, 21.0), abs=0.01)
