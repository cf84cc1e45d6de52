"""Funnel limits and screening: chance held against chance, and nobody ranked."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from jobs.reports.stats.funnel import (
    LEAST_EXPECTED,
    Counted,
    Part,
    overdispersion,
    poisson_limits,
    screen,
    share_limits,
    widened,
)

counted = some.lists(
    some.tuples(some.integers(0, 40), some.floats(0.5, 500)), min_size=0, max_size=14
)


@settings(deadline=None)
@given(expected=some.floats(0.05, 300), p=some.sampled_from([0.001, 0.025, 0.5, 0.975, 0.999]))
def test_a_limit_of_counts_lies_on_the_last_step_of_the_law(expected: float, p: float) -> None:
    count = int(stats.poisson.ppf(p, expected))
    limit = poisson_limits(expected, p) * expected
    assert max(0, count - 1) - 1e-9 <= limit <= count + 1e-9
    if limit > 0:
        own, reached = stats.poisson.pmf(count, expected), stats.poisson.cdf(count, expected)
        assert limit == pytest.approx(count - (reached - p) / own, abs=1e-6)


@settings(deadline=None)
@given(of=some.integers(1, 900), share=some.floats(0.01, 0.99), p=some.floats(0.001, 0.999))
def test_a_limit_of_shares_lies_on_the_last_step_of_the_law(
    of: int, share: float, p: float
) -> None:
    count = int(stats.binom.ppf(p, of, share))
    limit = share_limits(of, share, p) * of
    assert count - 1 - 1e-6 <= limit <= count + 1e-6
    assert limit >= 0


@settings(deadline=None)
@given(expected=some.floats(1, 100), more=some.floats(1.5, 10))
def test_a_smaller_cell_scatters_wider(expected: float, more: float) -> None:
    def width(at: float) -> float:
        return poisson_limits(at, 0.975) - poisson_limits(at, 0.025)

    assert width(expected) > width(expected * more)
    of = round(expected) + 4
    narrow, wide = (share_limits(n, 0.3, 0.975) - share_limits(n, 0.3, 0.025) for n in (of * 3, of))
    assert wide > narrow


def test_chance_lies_above_the_upper_limit_one_time_in_fifty() -> None:
    """S. E. Seaton and B. N. Manktelow (2012), read: 0.0201 of chance lies above the upper exact
    prediction limit of 95 %, for expected counts up to 50. The limit between the steps that is
    drawn lies lower, so a count just above it may well be chance: it is p that judges, and p by
    mid-P calls a row high by chance one time in forty, as it says."""
    expected = np.linspace(0.1, 50, 500)
    above_the_step, called = [], []
    for mean in expected:
        law = stats.poisson(mean)
        count = int(law.ppf(0.975))
        limit = poisson_limits(float(mean), 0.975) * mean
        assert count - 1 - 1e-9 <= limit <= count + 1e-9
        above_the_step.append(law.sf(count))
        counts = np.arange(120)
        mid_p = law.sf(counts) + law.pmf(counts) / 2
        called.append(law.sf(counts[mid_p < 0.025][0] - 1))
    assert np.mean(above_the_step) == pytest.approx(0.0201, abs=0.0005)
    assert np.mean(called) == pytest.approx(0.025, abs=0.001)


@settings(deadline=None)
@given(rows=counted)
def test_each_row_is_held_against_all_the_others(rows: list[tuple[int, float]]) -> None:
    screening = screen([Counted(count, exposure) for count, exposure in rows])
    total, exposure = sum(c for c, _ in rows), sum(e for _, e in rows)
    assert [one.observed for one in screening.rows] == [count for count, _ in rows]
    assert screening.judged == sum(not one.too_small for one in screening.rows)
    for (count, own), one in zip(rows, screening.rows, strict=True):
        assert one.expected == pytest.approx(total * own / exposure)
        assert (one.p is None) == one.too_small == (one.adjusted is None)
        if one.expected < LEAST_EXPECTED or len(rows) == 1:
            assert one.too_small
        if one.outside:
            assert one.adjusted is not None
            assert one.adjusted < 0.05
            assert one.side == ("high" if count > one.expected else "low")
        if one.p is not None and screening.spread == 1:
            law = stats.binom(total, own / exposure)
            tails = (law.sf(count) + law.pmf(count) / 2, law.cdf(count) - law.pmf(count) / 2)
            assert one.p == pytest.approx(min(1, 2 * min(tails)), rel=1e-6, abs=1e-10)


@settings(deadline=None)
@given(data=some.data(), rows=counted)
def test_the_order_given_is_the_order_returned(
    data: some.DataObject, rows: list[tuple[int, float]]
) -> None:
    order = data.draw(some.permutations(range(len(rows))))
    cells = [Counted(count, exposure) for count, exposure in rows]
    one, other = screen(cells).rows, screen([cells[place] for place in order]).rows
    for here, place in zip(other, order, strict=True):
        assert here.observed == one[place].observed
        assert here.side == one[place].side
        assert here.too_small == one[place].too_small
        if not here.too_small:
            assert here.p == pytest.approx(one[place].p, rel=1e-6)


def test_a_bad_batch_stands_out_among_many_and_among_two() -> None:
    many = screen([Counted(3, 100.0), Counted(4, 120.0), Counted(12, 90.0), Counted(2, 80.0)])
    assert [one.side for one in many.rows] == ["", "", "high", ""]
    two = screen([Counted(3, 100.0), Counted(15, 100.0)])
    assert [one.side for one in two.rows] == ["low", "high"]
    assert two.rows[0].p == pytest.approx(two.rows[1].p)


def test_shares_are_held_against_the_whole_they_were_drawn_from() -> None:
    rows = [Part(2, 40), Part(3, 60), Part(14, 50), Part(0, 4), Part(1, 30)]
    screening = screen(rows)
    assert [one.side for one in screening.rows] == ["", "", "high", "", ""]
    assert [one.too_small for one in screening.rows] == [False, False, False, True, False]
    law = stats.hypergeom(184, 20, 50)
    expected = 2 * (law.sf(14) + law.pmf(14) / 2)
    assert screening.rows[2].p == pytest.approx(expected, rel=1e-9)
    assert screening.rows[2].low < 50 * 20 / 184 < screening.rows[2].high < 14


def test_of_equal_people_few_stand_out() -> None:
    """Twelve people of the same skill, over and over: at least one is called outside in at most
    five of a hundred months."""
    random = np.random.default_rng(41)
    of = random.integers(15, 60, size=12)
    wrong = 0
    for _ in range(600):
        counts = random.binomial(of, 0.08)
        rows = [Part(int(c), int(n)) for c, n in zip(counts, of, strict=True)]
        wrong += any(one.outside for one in screen(rows).rows)
    assert wrong / 600 <= 0.05


def test_where_everything_scatters_more_than_by_chance_the_limits_widen() -> None:
    random = np.random.default_rng(3)
    means = 10 * random.gamma(4, 0.25, size=30)
    rows = [Counted(int(count), 100.0) for count in random.poisson(means)]
    screening = screen(rows)
    assert screening.spread > 1.5
    narrow = screen(rows[:9])
    assert narrow.spread == 1.0
    one = screening.rows[0]
    assert one.high - one.low > 1.2 * (narrow.rows[0].high - narrow.rows[0].low)


def test_spread_is_not_made_by_the_rows_that_stand_out() -> None:
    quiet = [0.5, -0.6, 0.4, -0.3, 0.7, -0.8, 0.1, 0.2, -0.4, 0.3]
    assert overdispersion([*quiet, 9.0, 8.0, 7.0]) == 1.0
    assert overdispersion([3.0, -3.0] * 4) == 1.0, "eight are too few to tell"
    assert overdispersion([2.0, -2.0] * 6) == pytest.approx((2 / 0.6744897501960817) ** 2)
    normal = stats.norm.ppf((np.arange(400) + 0.5) / 400)
    assert overdispersion(list(1.5 * normal)) == pytest.approx(2.25, rel=0.01)
    assert widened(0.2, 1.0, 4.0) == 0.0
    assert widened(1.4, 1.0, 4.0) == pytest.approx(1.8)
    assert widened(1.4, 1.0, 0.3) == 1.4


def test_nothing_one_row_and_none_failed_are_not_judged() -> None:
    assert screen([]).rows == ()
    alone = screen([Counted(5, 100.0)])
    assert alone.rows[0].too_small
    assert alone.judged == 0
    quiet = screen([Counted(0, 100.0), Counted(0, 50.0)])
    assert [one.ratio for one in quiet.rows] == [None, None]
    assert all(one.too_small for one in quiet.rows)
    empty = screen([Counted(0, 0.0), Counted(0, 0.0)])
    assert all(one.too_small for one in empty.rows)
    everybody = screen([Part(9, 9), Part(8, 8)])
    assert all(one.too_small for one in everybody.rows), "nothing can differ where all came back"


def test_what_cannot_be_is_said() -> None:
    for bad in (
        lambda: poisson_limits(0.0, 0.975),
        lambda: poisson_limits(1.0, 1.0),
        lambda: share_limits(0, 0.5, 0.975),
        lambda: share_limits(5, 0.0, 0.975),
        lambda: share_limits(5, 0.5, 0.0),
        lambda: screen([Counted(1, 0.0), Counted(1, 3.0)]),
        lambda: screen([Counted(-1, 1.0), Counted(2, 3.0)]),
        lambda: screen([Part(3, 2), Part(1, 9)]),
    ):
        with pytest.raises(ValueError, match=r"[A-Z].*\."):
            bad()


def shops(bad: int, scatter: float, times: int = 300) -> tuple[float, float]:
    """Sixteen batches in so many shops, the first `bad` of them four times as bad, the rates of all
    scattering with that variance: the share of the bad that are said to fail more, and of the
    shops in which any other is."""
    random = np.random.default_rng(1995)
    found = wrong = 0
    for _ in range(times):
        exposures = random.uniform(50, 300, size=16)
        rates = 0.02 * (random.gamma(1 / scatter, scatter, size=16) if scatter else np.ones(16))
        rates[:bad] *= 4
        counts = random.poisson(rates * exposures)
        rows = [Counted(int(c), float(e)) for c, e in zip(counts, exposures, strict=True)]
        high = [place for place, one in enumerate(screen(rows).rows) if one.side == "high"]
        found += sum(place < bad for place in high)
        wrong += any(place >= bad for place in high)
    return found / max(1, bad) / times, wrong / times


def test_bad_batches_are_found_and_few_are_called_wrongly() -> None:
    """Without widening 63 % of three bad ones would be found; by the mean square of winsorised
    values 8 %."""
    found, wrong = shops(bad=3, scatter=0.0)
    assert found > 0.4
    assert wrong < 0.05


def test_where_all_scatter_few_are_called_wrongly() -> None:
    """With rates that scatter by half their mean; without widening in one shop of four."""
    _found, wrong = shops(bad=0, scatter=0.25)
    assert wrong < 0.16
