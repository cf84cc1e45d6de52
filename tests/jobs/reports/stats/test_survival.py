"""Survival against three libraries, what must always hold, and the edges that a shop has."""

from __future__ import annotations

import math
import warnings
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter, NelsonAalenFitter
from lifelines.exceptions import StatError
from scipy.stats import CensoredData, ecdf
from statsmodels.duration.survfunc import SurvfuncRight

from jobs.reports.stats.counts import Counts, at_risk, counts_of, from_lives, merged
from jobs.reports.stats.exposure import exposure
from jobs.reports.stats.life_table import LifeTable, NoTable, life_table
from tests.jobs.reports.stats.lives_drawn import Lives, lives

CLOSE = 1e-9


def table_of(counts: Counts, at_least: int = 1) -> LifeTable:
    table = life_table(counts, at_least=at_least)
    assert isinstance(table, LifeTable)
    return table


def same(one: LifeTable | NoTable, other: LifeTable | NoTable) -> bool:
    if isinstance(one, NoTable) or isinstance(other, NoTable):
        return isinstance(one, NoTable) and isinstance(other, NoTable)
    return (
        one.starts_at == other.starts_at
        and np.array_equal(one.steps, other.steps)
        and np.allclose(one.survival, other.survival, rtol=CLOSE)
        and np.allclose(one.low, other.low, rtol=CLOSE)
        and np.allclose(one.high, other.high, rtol=CLOSE)
    )


# ------------------------------------------------------------------ against libraries


def by_lifelines(some: Lives, fitter: Any) -> Any:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of small risk sets, which are meant here
        try:
            return fitter.fit(some.exit, some.failed, entry=some.entry)
        except StatError:
            return None  # it refuses a curve that falls to nought before the end


@given(lives())
@settings(deadline=None, max_examples=25)
def test_lifelines_has_the_same_curve_with_late_entries(some: Lives) -> None:
    """lifelines 0.30: KaplanMeierFitter and NelsonAalenFitter with `entry`."""
    found = by_lifelines(some, KaplanMeierFitter())
    assume(found is not None)
    # Its own way with ties sums 1/n + 1/(n - 1); d/n is what the published tables have.
    hazards = by_lifelines(some, NelsonAalenFitter(nelson_aalen_smoothing=False))
    table = table_of(some.counts)
    for step, share, hazard in zip(table.steps, table.survival, table.hazard, strict=True):
        assert math.isclose(found.predict(step), share, rel_tol=CLOSE, abs_tol=1e-12)
        assert math.isclose(hazards.cumulative_hazard_at_times(step).iloc[0], hazard, rel_tol=CLOSE)


@given(lives())
@settings(deadline=None, max_examples=25)
def test_statsmodels_has_the_same_curve_and_error(some: Lives) -> None:
    """statsmodels 0.15: SurvfuncRight with `entry`."""
    assume(any(some.failed))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it divides by nought where all at risk fail
        found = SurvfuncRight(some.exit, some.failed, entry=np.array(some.entry))
    table = table_of(some.counts)
    kept = np.isin(found.surv_times, table.steps) & (found.n_events > 0)
    assert np.allclose(found.surv_prob[kept], table.survival, rtol=CLOSE, atol=1e-12)
    inner = table.survival > 0
    assert np.allclose(found.surv_prob_se[kept][inner], table.greenwood[inner], rtol=1e-6)


@given(lives(least=2))
@settings(deadline=None, max_examples=25)
def test_scipy_has_the_same_curve_from_the_first_day(some: Lives) -> None:
    """scipy.stats.ecdf with right-censored data; it knows no late entry."""
    assume(any(some.failed))
    ends = np.array(some.exit, dtype=float)
    failed = np.array(some.failed)
    data = CensoredData(uncensored=ends[failed], right=ends[~failed])
    table = table_of(from_lives(np.zeros(len(ends)), ends, failed))
    assert np.allclose(ecdf(data).sf.evaluate(table.steps), table.survival, rtol=CLOSE, atol=1e-12)


# ------------------------------------------------------------------ what must always hold


@given(lives(), st.randoms())
def test_the_order_of_rows_changes_nothing(some: Lives, chance: Any) -> None:
    order = list(range(len(some.entry)))
    chance.shuffle(order)
    assert same(life_table(some.counts), life_table(some.in_order(order).counts))


@given(lives(), st.data())
def test_a_life_told_in_two_parts_changes_nothing(some: Lives, data: st.DataObject) -> None:
    at = data.draw(st.sampled_from(range(len(some.entry))))
    assume(some.exit[at] - some.entry[at] > 1)
    when = data.draw(st.integers(some.entry[at] + 1, some.exit[at] - 1))
    parts = some.split(at, when).counts
    assert same(life_table(some.counts, at_least=2), life_table(parts, at_least=2))
    assert math.isclose(exposure(some.counts), exposure(parts))


@given(lives(), lives())
def test_counts_put_together_are_the_counts_of_all(some: Lives, others: Lives) -> None:
    every = Lives(some.entry + others.entry, some.exit + others.exit, some.failed + others.failed)
    both = merged([some.counts, others.counts])
    for name in ("t", "entered", "left", "failed"):
        assert np.array_equal(getattr(both, name), getattr(every.counts, name))


@given(lives())
def test_those_at_risk_are_those_who_entered_before_and_left_later(some: Lives) -> None:
    counts = some.counts
    pairs = list(zip(some.entry, some.exit, strict=True))
    slowly = [sum(1 for begin, end in pairs if begin < t <= end) for t in counts.t]
    assert list(at_risk(counts)) == slowly
    assert math.isclose(exposure(counts), sum(end - begin for begin, end in pairs))


@given(lives(), st.sampled_from([0.5, 0.9, 0.95, 0.99]))
def test_limits_hold_the_curve_and_never_claim_certainty(some: Lives, confidence: float) -> None:
    table = life_table(some.counts, at_least=1, confidence=confidence)
    assert isinstance(table, LifeTable)
    assert np.all(table.low <= table.survival + 1e-12)
    assert np.all(table.survival <= table.high + 1e-12)
    assert np.all((table.low >= 0) & (table.high <= 1))
    for t in {*some.exit, table.starts_at}:
        found = table.at(float(t))
        assert found is None or found.low < found.high


# ------------------------------------------------------------------ edges


def test_nothing_failed_gives_a_lower_limit_that_is_not_one() -> None:
    """Thirty watched without a failure: the exact one-sided limit, 0.05 to the thirtieth root."""
    found = table_of(from_lives([0] * 30, [400] * 30, [False] * 30), 10).at(365)
    assert found is not None
    assert (found.survival, found.high, found.at_risk) == (1.0, 1.0, 30)
    assert math.isclose(found.low, 0.05 ** (1 / 30), rel_tol=1e-12)


def test_one_failure_and_all_failed_have_limits_on_both_sides() -> None:
    one = table_of(from_lives([0] * 12, [100] * 12, [True] + [False] * 11), 10).at(100)
    assert one is not None
    assert 0 < one.low < one.survival < one.high < 1
    gone = table_of(from_lives([0] * 12, [100] * 12, [True] * 12), 10).at(100)
    assert gone is not None
    assert (gone.survival, gone.low) == (0.0, 0.0)
    assert 0 < gone.high < 1


def test_no_unit_and_too_few_give_a_sentence() -> None:
    nothing = life_table(counts_of([], [], [], []))
    assert isinstance(nothing, NoTable)
    assert nothing.reason.endswith("yet.")
    few = life_table(from_lives([0] * 9, [50] * 9, [True] * 9))
    assert isinstance(few, NoTable)
    assert "10" in few.reason


def test_it_starts_where_ten_are_at_risk_and_says_where() -> None:
    """Two old hands, of whom one fails at once; the other twenty come at a hundred days."""
    counts = from_lives([0, 0] + [100] * 20, [10, 400] + [400] * 20, [True] + [False] * 21)
    table = table_of(counts, 10)
    assert table.starts_at == 100
    assert not len(table.steps)
    assert table.at(50) is None
    assert table_of(counts).survival[0] == 0.5


def test_it_ends_where_nobody_is_at_risk_though_others_come_later() -> None:
    """Twelve to a hundred days, twelve more from two hundred on: nothing is known in between."""
    counts = from_lives([0] * 12 + [200] * 12, [100] * 12 + [300] * 12, ([True] + [False] * 11) * 2)
    table = table_of(counts, 10)
    assert (table.ends_at, list(table.steps)) == (100, [100])
    assert table.at(250) is None
    assert table.reached(0.15) is None


def test_a_life_of_no_time_is_left_out_but_for_half_a_day_of_a_new_unit() -> None:
    counts = from_lives([0, 40, 0], [0, 40, 30], [True, True, False])
    assert (counts.lives, counts.failures) == (2, 1)
    assert list(counts.t) == [0, 0.5, 30]
    assert exposure(counts) == 30.5


def test_two_failures_at_one_time_and_a_leap_day_are_days_like_others() -> None:
    table = table_of(from_lives([0] * 10, [60, 60] + [61] * 8, [True, True] + [False] * 8), 10)
    assert list(table.failed) == [2]
    assert table.survival[0] == 0.8


def test_the_time_by_which_a_tenth_failed_is_said_only_when_it_is_reached() -> None:
    table = table_of(from_lives([0] * 20, [*range(10, 30)], [True, True] + [False] * 18), 10)
    assert table.reached(0.1) == 11
    assert table.reached(0.2) is None
    assert table.at(40) is None


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (([1], [1], [1], [2]), "More failed"),
        (([1, 2], [0, 1], [1, 0], [0, 0]), "not before it enters"),
        (([-1], [1], [1], [0]), "not below nought"),
        (([math.nan], [1], [1], [0]), "finite"),
        (([1, 2], [1], [1], [0]), "different lengths"),
    ],
)
def test_counts_that_cannot_be_are_refused(columns: tuple[list[float], ...], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        counts_of(*columns)


def test_a_life_that_leaves_before_it_enters_is_refused() -> None:
    with pytest.raises(ValueError, match="before it enters"):
        from_lives([5], [4], [False])
