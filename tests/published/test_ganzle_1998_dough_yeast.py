"""Ganzle, Ehmann, Hammes 1998, Appl. Environ. Microbiol. 64:2616, author's summary.

Sourdough yeast grows half as fast at 20 degC as at its optimum of 28 degC.
"""

import pytest

from ingle.crafts import dough


def test_half_the_rate_at_20():
    slow = dough.progress([0.0, 1.0], [20.0, 20.0]).mean_rate
    fast = dough.progress([0.0, 1.0], [28.0, 28.0]).mean_rate
    assert slow / fast == pytest.approx(0.5, abs=0.05)  # "half" said in words: one digit


def test_salvado_2011_growth_shape_relative_to_24():
    """Salvado et al. 2011: cardinal temperatures 2.5, 32.3, 45.4 degC; 20 degC is 0.601 / 0.790 of 24."""
    assert dough.progress([0.0, 1.0], [20.0, 20.0], "growth").mean_rate == pytest.approx(0.601 / 0.790, abs=1e-9)
