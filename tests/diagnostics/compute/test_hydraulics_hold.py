"""A held pressure against independent fits, and series whose truth is known."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit
from scipy.stats import linregress
from scipy.stats import t as student

from diagnostics.compute.hydraulics_hold import (
    Hold,
    fit_decay,
    fit_line,
    fit_settling,
    left_after,
    student95,
    watch,
)

BAR = 1e5
GAUGE = 0.5 * BAR
TIMES = np.array([0.0, 5, 10, 15, 20, 30, 45, 60])


@pytest.mark.parametrize("freedom", [*range(1, 60), 100, 1000])
def test_student_agrees_with_scipy(freedom: int) -> None:
    assert student95(freedom) == pytest.approx(float(student.ppf(0.975, freedom)), abs=0.001)


def test_a_line_agrees_with_two_other_libraries() -> None:
    pressures = np.array([60.0, 59.3, 58.9, 58.1, 57.6, 56.2, 54.4, 52.1]) * BAR

    found = fit_line(TIMES, pressures)

    theirs = linregress(TIMES, pressures)
    slope, start = np.polyfit(TIMES, pressures, 1)
    assert found.slope == pytest.approx(theirs.slope) == pytest.approx(slope)
    assert found.start == pytest.approx(theirs.intercept) == pytest.approx(start)
    assert found.slope_u == pytest.approx(theirs.stderr * float(student.ppf(0.975, 6)), rel=1e-3)


def test_a_decay_agrees_with_numpy_s_weighted_fit() -> None:
    pressures = 60 * BAR * np.exp(-TIMES / 90) + np.array([0, 3, -4, 2, 5, -3, 1, -2]) * 1e4

    found = fit_decay(TIMES, pressures)

    (rate, log), covariance = np.polyfit(TIMES, np.log(pressures), 1, w=pressures, cov=True)
    assert found is not None
    assert found.tau == pytest.approx(-1 / rate)
    assert found.start == pytest.approx(math.exp(log))
    rate_u = math.sqrt(covariance[0, 0]) * float(student.ppf(0.975, 6))
    assert found.tau_low == pytest.approx(1 / (-rate + rate_u), rel=1e-4)
    assert found.tau_high == pytest.approx(1 / (-rate - rate_u), rel=1e-4)
    # And it is close to a fit of the curve itself.
    (start, tau), _ = curve_fit(lambda t, a, b: a * np.exp(-t / b), TIMES, pressures, (6e6, 80))
    assert found.tau == pytest.approx(tau, rel=0.01)
    assert found.start == pytest.approx(start, rel=0.001)


def test_settling_agrees_with_scipy_s_curve_fit() -> None:
    noise = np.array([0, 4, -3, 2, -1, 3, -2, 1]) * 1e3
    pressures = 57 * BAR + 3 * BAR * np.exp(-TIMES / 8) + noise

    found = fit_settling(TIMES, pressures)

    best, covariance = curve_fit(
        lambda t, rest, fall, tau: rest + fall * np.exp(-t / tau),
        TIMES,
        pressures,
        (5.7e6, 3e5, 10),
    )
    assert found is not None
    assert (found.rest, found.fall, found.tau) == pytest.approx(tuple(best), rel=1e-4)
    theirs = math.sqrt(covariance[0, 0]) * float(student.ppf(0.975, 5))
    assert found.rest_u == pytest.approx(theirs, rel=0.01)


def _watched(*bars: float) -> Hold:
    return watch(list(TIMES[: len(bars)]), [one * BAR for one in bars], GAUGE)


@pytest.mark.parametrize(
    ("bars", "shape"),
    [
        ((60, 60, 60, 60, 60, 60, 60, 60), "holds"),
        ((60, 60, 59.8, 60, 59.8, 59.7, 59.8, 59.7), "holds"),
        ((60, 58.6, 58.1, 57.9, 57.8, 57.8, 57.8, 57.8), "settles"),
        ((60, 59, 58, 57, 56, 54, 51, 48), "leaks"),
        ((60, 57, 54, 51, 48.5, 44, 37.5, 32), "leaks"),
        ((60, 56, 53.5, 52.2, 51.6, 50.6, 49.1, 47.6), "slows"),
        ((60, 60.4, 61, 61.2, 61.5, 62, 62.5, 63), "rises"),
        ((60, 57), "unclear"),
        ((60, 59.8), "holds"),
        ((60, 59, 58), "leaks"),
        ((60, 57.5, 57.5), "settles"),
    ],
)
def test_a_leak_is_told_from_settling(bars: tuple[float, ...], shape: str) -> None:
    found = _watched(*bars)

    assert found.shape == shape
    assert found.lost == pytest.approx((bars[0] - bars[-1]) * BAR)
    assert found.reason


def test_a_leak_s_rate_is_that_of_its_end() -> None:
    found = _watched(60, 59, 58, 57, 56, 54, 51, 48)

    assert found.fall_per_minute == pytest.approx(12 * BAR)
    # Readings at 30, 45 and 60 s: the squares of their distances to the mean add up to 450.
    assert found.late.slope_u == pytest.approx(GAUGE / math.sqrt(450))


def test_an_exponential_leak_stays_a_leak_however_long_it_is_watched() -> None:
    """It slows as its pressure falls, and no faster: that is what tells it from settling."""
    for tau in (20, 60, 200, 600):
        for last in (30, 60, 120):
            times = np.linspace(0, last, 12)
            pressures = 80 * BAR * np.exp(-times / tau)
            found = watch(list(times), list(pressures), 0.1 * BAR)
            assert found.shape in ("leaks", "slows" if last / tau > 2.5 else "leaks")
            assert found.decay is not None
            assert found.decay.tau == pytest.approx(tau, rel=1e-6)


@given(
    tau=st.floats(3, 8),
    fall=st.floats(1.5, 10),
    rest=st.floats(40, 100),
    noise=st.lists(st.floats(-0.05, 0.05), min_size=8, max_size=8),
)
def test_what_settles_within_the_first_half_is_no_leak(
    tau: float, fall: float, rest: float, noise: list[float]
) -> None:
    bars = rest + fall * np.exp(-TIMES / tau) + np.array(noise)

    assert _watched(*bars.tolist()).shape in ("settles", "slows" if tau > 6 else "settles")


@given(rate=st.floats(1.5, 20), start=st.floats(50, 100))
def test_a_steady_fall_is_always_a_leak(rate: float, start: float) -> None:
    """`rate` in bar a minute."""
    found = _watched(*(start - rate * TIMES / 60).tolist())

    assert found.shape == "leaks"
    assert found.fall_per_minute == pytest.approx(rate * BAR, rel=1e-6)


@given(
    bars=st.lists(st.floats(0, 200), min_size=2, max_size=8),
    shift=st.floats(-1000, 1000),
)
def test_nothing_that_leaves_is_not_a_number(bars: list[float], shift: float) -> None:
    times = [float(one) + shift for one in TIMES[: len(bars)]]
    found = watch(times, [one * BAR for one in bars], GAUGE)

    numbers = [found.lost, found.line.slope_u, found.late.slope, found.early.rms]
    if found.decay:
        numbers += [found.decay.start, found.decay.tau, found.decay.tau_low]
    if found.settling:
        numbers += [found.settling.rest, found.settling.tau, found.settling.rest_u]
    assert all(math.isfinite(number) for number in numbers)


def test_what_remains_is_read_interpolated_or_foretold() -> None:
    seconds, pressures = [10.0, 25.0, 40.0], [60 * BAR, 58 * BAR, 57 * BAR]

    read, between, foretold = (left_after(seconds, pressures, hold) for hold in (15, 22.5, 45))

    assert (read.pascals, read.how) == (58 * BAR, "read")
    assert between.pascals == pytest.approx(57.5 * BAR)
    assert foretold.pascals == pytest.approx(56 * BAR)
    assert (between.how, foretold.how) == ("between", "foretold")
    assert left_after([0, 1], [BAR, 0.5 * BAR], 60).pascals == 0.0


@pytest.mark.parametrize(
    ("seconds", "pascals", "gauge", "says"),
    [
        ([0], [1], 1, "two readings"),
        ([0, 1], [1], 1, "two readings"),
        ([0, 0], [2, 1], 1, "later"),
        ([1, 0], [2, 1], 1, "later"),
        ([0, math.nan], [2, 1], 1, "numbers"),
        ([0, 1], [2, math.inf], 1, "numbers"),
        ([0, 1], [2, -1], 1, "below zero"),
        ([0, 1], [2, 1], 0, "gauge"),
    ],
)
def test_what_cannot_be_is_refused(
    seconds: list[float], pascals: list[float], gauge: float, says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        watch(seconds, pascals, gauge)


def test_a_hold_of_no_time_is_refused() -> None:
    with pytest.raises(ValueError, match="longer than zero"):
        left_after([0, 1], [2, 1], 0)
    with pytest.raises(ValueError, match="spare reading"):
        student95(0)
