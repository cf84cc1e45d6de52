"""The base-stock level against printed figures, scipy and what must hold for every level."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from jobs import poisson
from jobs.base_stock import Level, at_level, base_stock, clumping_of, lead_demand
from tests.reference import named, rows

MEANS = (0.003, 0.5, 4.0, 37.5, 1_000.0, 100_000.0)
means = st.floats(0.0, 300.0)
targets = st.floats(0.5, 0.9999)
clumpings = st.floats(1.0, 6.0)


@pytest.mark.parametrize("row", rows("base_stock"), ids=lambda r: named(r, "mean", "target"))
def test_the_level_is_the_one_in_print(row: dict[str, str]) -> None:
    found = base_stock(float(row["mean"]), float(row["target"]))
    assert found.level == int(row["level"])
    if row["lasts"]:
        places = len(row["lasts"].split(".")[1])
        assert round(found.lasts, places) == float(row["lasts"])


@pytest.mark.parametrize("row", rows("poisson_sums"), ids=lambda r: named(r, "mean", "count"))
def test_the_sums_are_those_in_print(row: dict[str, str]) -> None:
    mean, count = float(row["mean"]), int(row["count"])
    assert poisson.cdf(count, mean) == pytest.approx(float(row["at_most"]), abs=0.0005)
    if row["missing"]:
        missing = at_level(count, mean, 0.9).missing
        assert missing == pytest.approx(float(row["missing"]), abs=0.00005)
        assert missing == pytest.approx(  # m P(D >= S) - S P(D > S)
            mean * poisson.more_than(count - 1, mean) - count * poisson.more_than(count, mean)
        )


@pytest.mark.parametrize("row", rows("poisson_limits"), ids=lambda r: named(r, "count"))
def test_the_exact_limits_are_those_in_print(row: dict[str, str]) -> None:
    low, high = poisson.limits(int(row["count"]))
    assert low == pytest.approx(float(row["lower"]), abs=0.00005)
    assert high == pytest.approx(float(row["upper"]), abs=0.00005)


def test_the_time_to_look_is_added_to_the_time_to_come() -> None:
    """1.5 a day, 3 days to come, looked at every day: 6 are expected, and 8 last with .8472."""
    mean = lead_demand(1.5, 3, review_days=1)
    assert mean == 6
    assert at_level(8, mean, 0.9).runs_out == pytest.approx(0.1528, abs=0.00005)


@pytest.mark.parametrize("mean", MEANS)
def test_sums_agree_with_scipy_over_the_whole_range(mean: float) -> None:
    spread = math.sqrt(mean)
    for count in {0, 1, *(int(max(0, mean + k * spread)) for k in (-5, -1, 0, 1, 3, 8))}:
        assert poisson.pmf(count, mean) == pytest.approx(stats.poisson.pmf(count, mean), rel=1e-9)
        assert poisson.cdf(count, mean) == pytest.approx(stats.poisson.cdf(count, mean), rel=1e-9)
        beyond = stats.poisson.sf(count, mean)
        assert poisson.more_than(count, mean) == pytest.approx(beyond, rel=1e-8)
    for probability in (0.5, 0.9, 0.99, 0.9999):
        assert poisson.quantile(probability, mean) == stats.poisson.ppf(probability, mean)


@pytest.mark.parametrize(("mean", "clumping"), list(product(MEANS[:-1], (1.3, 2.0, 5.0))))
def test_the_wider_law_agrees_with_scipy(mean: float, clumping: float) -> None:
    law = stats.nbinom(mean / (clumping - 1), 1 / clumping)
    assert law.var() == pytest.approx(clumping * mean)
    for count in (0, 1, int(mean), int(mean + 2 * math.sqrt(clumping * mean))):
        assert poisson.cdf(count, mean, clumping) == pytest.approx(law.cdf(count), rel=1e-8)
    assert poisson.quantile(0.95, mean, clumping) == law.ppf(0.95)


@pytest.mark.parametrize("count", [0, 1, 7, 60, 2_000])
def test_limits_agree_with_the_chi_square_form(count: int) -> None:
    low, high = poisson.limits(count, 0.9)
    assert high == pytest.approx(stats.chi2.ppf(0.95, 2 * count + 2) / 2, rel=1e-9)
    assert low == pytest.approx(stats.chi2.ppf(0.05, 2 * count) / 2 if count else 0, rel=1e-9)


@given(means, targets, clumpings)
def test_the_level_meets_the_target_and_one_less_does_not(
    mean: float, target: float, clumping: float
) -> None:
    found = base_stock(mean, target, clumping)
    assert found.lasts >= target
    if found.level:
        assert at_level(found.level - 1, mean, target, clumping).lasts < target
    assert found.served <= found.lasts
    assert found.runs_out == pytest.approx(1 - found.lasts, abs=1e-12)


@given(means, means, targets, targets)
def test_more_demand_or_a_higher_target_never_asks_for_less(
    mean: float, other: float, target: float, higher: float
) -> None:
    few, many = sorted((mean, other))
    low, high = sorted((target, higher))
    assert base_stock(few, low).level <= base_stock(many, low).level
    assert base_stock(few, low).level <= base_stock(few, high).level


@given(st.integers(0, 60), means, clumpings)
def test_what_is_missing_falls_by_the_chance_to_run_out(
    level: int, mean: float, clumping: float
) -> None:
    here, more = (at_level(n, mean, 0.9, clumping) for n in (level, level + 1))
    assert here.missing - more.missing == pytest.approx(here.runs_out, abs=1e-9)


@pytest.mark.parametrize("mean", [5e-324, 1e-310, 1e-300])
@pytest.mark.parametrize("clumping", [1.0, 2.0, 9.5])
def test_a_mean_next_to_nothing_comes_to_an_end(mean: float, clumping: float) -> None:
    here = at_level(0, mean, 0.9, clumping)
    assert (here.level, here.lasts) == (0, 1.0)
    assert here.runs_out == pytest.approx(0, abs=1e-290)


def test_nothing_wanted_needs_nothing_and_none_is_served_from_an_empty_shelf() -> None:
    assert base_stock(0.0, 0.999).level == 0
    rare = base_stock(0.04, 0.95)
    assert (rare.level, rare.served) == (0, 0.0)  # the target is met, yet whoever comes waits
    assert rare.lasts == pytest.approx(math.exp(-0.04))


def test_clumping_is_variance_over_mean_and_chance_below_one() -> None:
    assert clumping_of([0, 0, 4, 0, 0, 4]) == pytest.approx(
        stats.tvar([0, 0, 4, 0, 0, 4]) / (8 / 6)
    )
    assert clumping_of([1, 1, 1, 1]) == 1.0
    assert clumping_of([0, 0, 0]) == 1.0
    assert clumping_of([7]) == 1.0


def test_the_reason_says_the_law_and_the_probability() -> None:
    assert "(Poisson), at most 4 are asked for with probability 0.629" in base_stock(4, 0.6).reason
    assert "variance 2.0 times the mean" in base_stock(4, 0.6, 2.0).reason
    assert "less than 0.900" in at_level(1, 4, 0.9).reason


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: base_stock(1, 1.0),
        lambda: base_stock(-1, 0.9),
        lambda: base_stock(2e5, 0.9),
        lambda: base_stock(1, 0.9, 0.5),
        lambda: base_stock(math.nan, 0.9),
        lambda: at_level(-1, 1, 0.9),
        lambda: lead_demand(-1, 3),
        lambda: poisson.limits(-1),
    ],
)
def test_what_cannot_be_is_refused(wrong: object) -> None:
    assert callable(wrong)
    with pytest.raises(ValueError, match=r"\w"):
        wrong()


def test_a_level_is_frozen() -> None:
    assert isinstance(hash(base_stock(1, 0.9)), int)
    assert Level.__dataclass_params__.frozen  # type: ignore[attr-defined]
