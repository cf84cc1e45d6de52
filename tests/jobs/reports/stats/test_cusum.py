"""The watch: its path, its run lengths, and the height at which it calls."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from jobs.reports.stats.cusum import reference, run, threshold
from jobs.reports.stats.run_lengths import average_run_length, call_gap

steps = some.lists(some.tuples(some.integers(0, 8), some.floats(0, 50)), max_size=60)


@settings(deadline=None)
@given(steps=steps, h=some.floats(0.5, 12))
def test_the_path_is_never_below_nought_and_calls_where_it_reaches_h(
    steps: list[tuple[int, float]], h: float
) -> None:
    counts, exposures = [c for c, _ in steps], [e for _, e in steps]
    watch = run(counts, exposures, 0.05, 0.12, h)
    assert len(watch.path) == len(steps)
    assert all(level >= 0 for level in watch.path)
    reached = [step for step, level in enumerate(watch.path) if level >= h - 1e-9]
    assert watch.alarm_at == (reached[0] if reached else None)
    assert set(watch.alarms) <= set(reached)
    assert watch.over == (bool(reached) and reached[-1] == len(steps) - 1)
    if watch.began_at is not None:
        assert watch.alarm_at is not None
        assert watch.began_at <= watch.alarm_at
        assert all(level > 0 for level in watch.path[watch.began_at : watch.alarm_at + 1])
        assert watch.began_at == 0 or watch.path[watch.began_at - 1] == 0


@settings(deadline=None)
@given(steps=steps, factor=some.floats(0.01, 100))
def test_the_unit_of_exposure_changes_nothing(
    steps: list[tuple[int, float]], factor: float
) -> None:
    counts, exposures = [c for c, _ in steps], [e for _, e in steps]
    one = run(counts, exposures, 0.05, 0.12, 4)
    other = run(counts, [e * factor for e in exposures], 0.05 / factor, 0.12 / factor, 4)
    assert other.path == pytest.approx(one.path, abs=1e-8)


def test_a_path_by_hand() -> None:
    """k = (2 - 1) / ln 2 = 1.442695 per unit of exposure."""
    watch = run([0, 3, 0, 4, 5, 0, 0, 0], [1, 1, 2, 1, 1, 3, 3, 1], 1, 2, 6)
    k = 1.4426950408889634
    assert watch.path[1] == pytest.approx(3 - k)
    assert watch.path[2] == 0
    assert watch.path[4] == pytest.approx(9 - 2 * k)
    assert watch.path[5] == pytest.approx(9 - 5 * k)
    assert (watch.alarm_at, watch.began_at, watch.over) == (4, 3, False)
    assert watch.reference == pytest.approx(k)


def test_it_may_call_again_and_a_head_start_calls_sooner() -> None:
    counts = [5, 0, 0, 0, 0, 5]
    watch = run(counts, [1.0] * 6, 1, 2, 3)
    assert watch.alarms == (0, 5)
    assert (watch.began_at, watch.over) == (0, True)
    slow, head = (run([2, 2, 2, 2], [1.0] * 4, 1, 2, 2.2, start) for start in (0.0, 1.1))
    assert head.alarm_at == 1
    assert slow.alarm_at == 3


@pytest.mark.parametrize(
    ("k", "h", "mean"), [(1.5, 4, 1.0), (1.5, 4, 2.5), (0.3, 2.5, 0.2), (0.37, 3, 0.37)]
)
def test_the_run_length_is_that_of_simulated_charts(k: float, h: float, mean: float) -> None:
    random = np.random.default_rng(1985)
    level, lengths = np.zeros(20_000), np.zeros(20_000)
    alive = np.ones(20_000, dtype=bool)
    while alive.any():
        level[alive] = np.maximum(0, level[alive] + random.poisson(mean, alive.sum()) - k)
        lengths[alive] += 1
        alive &= level < h - 1e-9
    error = lengths.std() / np.sqrt(lengths.size)
    assert average_run_length(k, h, mean) == pytest.approx(lengths.mean(), abs=4 * error)


def simulated_gaps(ratio: float, h: float, charts: int) -> np.ndarray:
    """Failures until the call, in many watches looked at after every failure."""
    random = np.random.default_rng(29)
    level, counts = np.zeros(charts), np.zeros(charts)
    alive = np.ones(charts, dtype=bool)
    while alive.any():
        fallen = level[alive] - ratio * random.exponential(size=alive.sum())
        level[alive] = np.maximum(0, fallen) + 1
        counts[alive] += 1
        alive &= level < h
    return counts


@pytest.mark.parametrize(
    ("ratio", "h"), [(1.44, 1.5), (1.44, 2.5), (1.44, 4.0), (1.8, 3.0), (0.72, 4.0), (0.6, 8.0)]
)
def test_the_failures_between_calls_are_those_of_simulated_watches(ratio: float, h: float) -> None:
    counts = simulated_gaps(ratio, h, 40_000)
    error = counts.std() / np.sqrt(counts.size)
    assert call_gap(ratio, h) == pytest.approx(counts.mean(), abs=4 * error)


def test_with_fine_steps_the_chart_is_the_watch_after_every_failure() -> None:
    """Two ways to the same law: the chain of equal steps as they shrink, and the integral."""
    for step in (60, 240):
        mean = 1 / step
        chart = average_run_length(1.5 / step, 3.0, mean) * mean
        assert chart == pytest.approx(call_gap(1.5, 3.0), rel=3 / step)


@pytest.mark.parametrize("growth", [1.0, 4.0])
@pytest.mark.parametrize("days", [1, 30])
def test_false_calls_come_no_more_often_than_promised_however_the_fleet_grows(
    growth: float, days: int
) -> None:
    """Simulated shops at the acceptable rate, by the day and by the month, with a fleet of the
    same size or one that grows fourfold: calls per unit of exposure stay below one in what the
    threshold says, and by the day they are near it."""
    acceptable, detectable, fleet = 0.01, 0.02, 60.0
    wanted = threshold(acceptable, detectable, fleet, 60)
    random = np.random.default_rng(5)
    spans = 30 * 60 // days
    exposures = np.linspace(fleet, growth * fleet, spans) * days / 30
    calls = passed = 0.0
    for _ in range(250):
        counts = random.poisson(acceptable * exposures)
        done = 0
        while done < spans:
            watch = run(
                counts[done:].tolist(), exposures[done:].tolist(), acceptable, detectable, wanted.h
            )
            at = watch.alarm_at
            passed += (
                exposures[done:].sum() if at is None else exposures[done : done + at + 1].sum()
            )
            calls += at is not None
            done = spans if at is None else done + at + 1
    promised = wanted.months_between * fleet
    assert passed / calls > 0.93 * promised
    if days == 1:
        assert passed / calls < 1.15 * promised


@settings(deadline=None, max_examples=30)
@given(
    acceptable=some.floats(0.001, 0.2),
    times=some.floats(1.3, 5),
    fleet=some.floats(5, 400),
    months=some.floats(12, 240),
)
def test_a_threshold_keeps_its_promise_and_no_lower_one_would(
    acceptable: float, times: float, fleet: float, months: float
) -> None:
    found = threshold(acceptable, times * acceptable, fleet, months)
    assert found.h >= 1.5
    assert found.months_between >= months or found.h == 60
    if found.h > 1.5:
        lower = call_gap(round((times - 1) / np.log(times), 6), round(found.h - 0.05, 2))
        assert lower / (acceptable * fleet) < months
    assert found.months_to_call < found.months_between
    assert found.failures_to_call >= 2


def test_rarer_false_calls_and_smaller_changes_take_longer_to_see() -> None:
    rare, often = (threshold(0.01, 0.02, 50, months) for months in (240, 24))
    assert rare.h > often.h
    assert rare.months_to_call > often.months_to_call
    small, large = (threshold(0.01, rate, 50, 120) for rate in (0.015, 0.04))
    assert small.months_to_call > large.months_to_call


def test_what_cannot_be_is_said() -> None:
    for bad in (
        lambda: reference(2, 2),
        lambda: reference(0, 2),
        lambda: run([1], [1.0], 1, 2, 0),
        lambda: run([1], [1.0], 1, 2, 3, start=3),
        lambda: run([-1], [1.0], 1, 2, 3),
        lambda: run([1], [-1.0], 1, 2, 3),
        lambda: average_run_length(0, 3, 1),
        lambda: average_run_length(1, 3, 1, start=4),
        lambda: call_gap(0, 3),
        lambda: threshold(1, 2, 0, 12),
        lambda: threshold(1, 2, 5, 0),
    ):
        with pytest.raises(ValueError, match=r"[A-Z].*\."):
            bad()
    assert run([], [], 1, 2, 3).alarm_at is None
    with pytest.raises(ValueError, match="argument"):
        run([1, 2], [1.0], 1, 2, 3)
