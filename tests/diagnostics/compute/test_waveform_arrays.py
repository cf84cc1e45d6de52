"""The array tools, against numpy's and scipy's own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.lib.stride_tricks import sliding_window_view
from scipy import signal

from diagnostics.compute.waveform_arrays import (
    noise_level,
    running_median,
    smoothed,
    thinned,
    turning_points,
)

SEEDS = st.integers(0, 10_000)


@given(SEEDS, st.integers(9, 200))
def test_the_running_median_is_numpys(seed: int, count: int) -> None:
    values = np.random.default_rng(seed).normal(size=count)

    padded = np.pad(values, 4, mode="reflect")

    assert np.array_equal(running_median(values), np.median(sliding_window_view(padded, 9), axis=1))


def test_few_values_share_one_median() -> None:
    assert running_median(np.array([3.0, 1.0, 2.0])).tolist() == [2.0, 2.0, 2.0]
    assert running_median(np.zeros(0)).size == 0


@pytest.mark.parametrize("sigma", [0.01, 1.0, 30.0])
def test_the_noise_comes_out(sigma: float) -> None:
    values = np.random.default_rng(1).normal(0, sigma, 400_000)

    assert noise_level(values) == pytest.approx(sigma, rel=0.03)


@pytest.mark.parametrize("shape", [np.sin, lambda angle: np.sign(np.sin(angle))])
def test_the_noise_comes_out_under_a_signal(shape: np.ufunc) -> None:
    angle = np.arange(100_000) * 2 * np.pi / 20.3
    noise = np.random.default_rng(1).normal(0, 0.1, angle.size)

    assert noise_level(shape(angle) + noise) == pytest.approx(0.1, rel=0.2)


@given(SEEDS)
def test_turning_points_are_the_peaks_that_stand_out(seed: int) -> None:
    """The tops are scipy's peaks of the same prominence; the ends of the record apart."""
    random = np.random.default_rng(seed)
    values = np.cumsum(random.normal(size=300))
    least = float(random.uniform(0.5, 4))

    places = turning_points(values, np.full(values.size, least))

    kept = set(places[1:-1].tolist())
    tops = {
        int(k)
        for k in signal.find_peaks(values, prominence=least)[0]
        if values[: k + 1].max() - values[: k + 1].min() >= least
    }
    bottoms = {int(k) for k in signal.find_peaks(-values, prominence=least)[0]}
    assert kept <= tops | bottoms
    ups = np.diff(values[places]) > 0
    assert np.all(ups[1:] != ups[:-1])
    inner = np.abs(np.diff(values[places[1:-1]]))
    assert np.all(inner >= least)


def test_smoothing_is_a_plain_mean() -> None:
    values = np.random.default_rng(2).normal(size=100)

    found = smoothed(values, np.full(100, 3, dtype=np.intp))

    assert found[3:-3] == pytest.approx(np.convolve(values, np.ones(7) / 7, mode="valid"))
    assert found[0] == pytest.approx(values[0])


@given(SEEDS, st.integers(1, 20_000), st.sampled_from([10, 300, 1500]))
def test_thinning_keeps_the_extremes(seed: int, count: int, most: int) -> None:
    values = np.random.default_rng(seed).normal(size=count)

    points = thinned(np.arange(count, dtype=np.float64), values, most)

    assert len(points) <= most
    kept = [y for _x, y in points]
    assert max(kept) == values.max()
    assert min(kept) == values.min()
    assert [x for x, _y in points] == sorted({x for x, _y in points})
