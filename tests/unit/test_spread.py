"""Marks of an ensemble against numpy's own quantiles."""

import numpy as np
import pytest

from ingle.ground import spread


@pytest.mark.parametrize("members", [1, 2, 7, 96, 512])
def test_marks_are_numpys(members):
    values = np.random.default_rng(members).normal(size=(3, members, 5))
    told = spread.quantiles(values, (0.0, 0.05, 0.5, 0.95, 1.0), axis=1)
    assert np.array(told) == pytest.approx(
        np.quantile(values, (0.0, 0.05, 0.5, 0.95, 1.0), axis=1), rel=1e-13, abs=1e-15
    )
    assert spread.median(values[0], axis=1) == pytest.approx(np.median(values[0], axis=1), rel=1e-13, abs=1e-15)
    assert spread.band(values[0, :, 0]).high == pytest.approx(np.quantile(values[0, :, 0], 0.95), rel=1e-13)
