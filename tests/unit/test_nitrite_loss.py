"""Loss of nitrite: direction, exactness along a record, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx
from scipy.integrate import quad

from ingle.crafts.cure import laws
from ingle.ground.errors import OutOfRange
from ingle.physics import nitrite_loss as loss

LAW = laws.nitrite_half_life()
temperatures = st.floats(272.15, 298.15)


@given(temperatures, temperatures, st.floats(5.2, 6.6), st.floats(5.2, 6.6))
def test_warm_and_sour_is_faster(T1, T2, ph1, ph2):
    cold, warm = sorted((T1, T2))
    sour, mild = sorted((ph1, ph2))
    assert loss.loss_rate(warm, sour, LAW) >= loss.loss_rate(cold, sour, LAW)
    assert loss.loss_rate(cold, sour, LAW) >= loss.loss_rate(cold, mild, LAW)


@given(temperatures, st.floats(5.2, 6.6), st.floats(1.0, 10.0))
def test_the_accelerator_divides_the_half_life(T, ph, factor):
    plain, quick = loss.half_life(T, ph, LAW), loss.half_life(T, ph, LAW, accelerated=factor)
    assert quick * factor == approx(float(plain), rel=1e-12)
    assert loss.loss_rate(T, ph, LAW, accelerated=factor) * quick == approx(np.log(2), rel=1e-12)


def test_half_is_left_after_a_half_life():
    half = float(loss.half_life(278.15, 5.7, LAW))
    left = loss.share_left([0.0, half, 3 * half], [278.15] * 3, 5.7, LAW)
    assert left == approx([1.0, 0.5, 0.125], rel=1e-12)


@given(st.floats(272.15, 298.15), st.floats(272.15, 298.15))
def test_a_straight_line_of_temperature_is_summed_exactly(start, end):
    week = 7 * 86400.0
    k = quad(lambda x: float(loss.loss_rate(start + x * (end - start), 5.6, LAW, accelerated=3.0)), 0, 1)[0]
    left = loss.share_left([0.0, week], [start, end], 5.6, LAW, accelerated=3.0)
    assert left[-1] == approx(np.exp(-k * week), rel=1e-9)


def test_splitting_a_record_changes_nothing():
    times, T = np.array([0.0, 1e5, 4e5]), np.array([275.0, 290.0, 276.0])
    fine = np.linspace(0.0, 4e5, 41)
    split = loss.share_left(fine, np.interp(fine, times, T), 5.8, LAW)
    assert split[-1] == approx(loss.share_left(times, T, 5.8, LAW)[-1], rel=1e-12)
    assert np.all(np.diff(split) < 0)


def test_arrays_broadcast():
    assert loss.half_life([[275.0], [285.0]], [5.5, 5.7, 6.0], LAW).shape == (2, 3)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: loss.half_life(330.0, 5.7, LAW), "temperature 330 K is not within 272.15 to 298.15 K"),
        (lambda: loss.half_life(278.0, 4.6, LAW), "pH 4.6 is not within 5.2 to 6.6"),
        (lambda: loss.half_life(278.0, 5.7, LAW, accelerated=0.5), "accelerating factor 0.5 is not within 1 to 10"),
        (lambda: loss.loss_rate([278.0, np.nan], 5.7, LAW), "temperature nan"),
        (lambda: loss.share_left([0.0, -1.0], [278.0, 278.0], 5.7, LAW), "rising times"),
        (lambda: loss.share_left([0.0, 1.0], [278.0], 5.7, LAW), "2 times and 1 temperatures"),
        (lambda: loss.share_left([], [], 5.7, LAW), "0 times"),
    ],
)
def test_refused_with_numbers(ask, words):
    with pytest.raises(OutOfRange) as told:
        ask()
    assert words in told.value.text and told.value.remedy


def test_the_mask_shows_which_are_outside():
    with pytest.raises(OutOfRange) as told:
        loss.half_life([278.0, 320.0, 279.0], 5.7, LAW)
    assert told.value.mask.tolist() == [False, True, False]
