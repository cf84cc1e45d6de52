"""The coverage that the reports' method page quotes: within the aim, and found again."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jobs.reports.stats.measured_limits import MEASURED, SEED, SHOPS, Coverage
from tests.bench.coverage_of_limits import SIZES, WORN, cases, measured
from tests.bench.simulated_shops import Follow, Law, Size, simulated

AGAIN = 60
SHARES = ("rate", "young", "old", "shape")
ERROR = 1.96 * math.sqrt(0.95 * 0.05 / SHOPS)


def usual(follow: Follow) -> list[Coverage]:
    return [row for row in MEASURED if row.follow == follow and not row.case]


def test_every_case_and_every_way_to_follow_was_measured() -> None:
    assert len(MEASURED) == len(cases()) * len(Follow)
    kept = {(row.case, row.vehicles, row.days, row.follow) for row in MEASURED}
    assert kept == {
        (case.words, case.size.vehicles, case.size.days, follow.value)
        for case in cases()
        for follow in Follow
    }


def test_the_reports_limits_hold_the_truth_as_often_as_they_say() -> None:
    """93 to 97 in a hundred, as far as a thousand shops can tell."""
    for row in usual(Follow.LEVEL):
        for name in SHARES:
            assert 0.93 - ERROR <= getattr(row, name) <= 0.97 + ERROR, (row, name)
        assert row.rate is not None
        assert 0.93 <= row.rate <= 0.97
        assert abs(row.rate_is - 1) < 0.03


def test_the_bracket_holds_the_truth_between_its_ends() -> None:
    for visit, today in zip(usual(Follow.LAST_VISIT), usual(Follow.TODAY), strict=True):
        assert today.rate_is < 1 < visit.rate_is


@pytest.mark.parametrize("at", range(2))
def test_some_shops_drawn_again_say_the_same(at: int) -> None:
    """Others than those that were measured; four standard errors apart at most."""
    case = cases()[at]
    kept = {row.follow: row for row in MEASURED if row.vehicles == case.size.vehicles}
    for row in measured(case, AGAIN, SEED + 10 * SHOPS, processes=1):
        for name in SHARES:
            share = getattr(kept[row.follow], name)
            slack = 4 * math.sqrt(max(share * (1 - share), 0.02) * (1 / AGAIN + 1 / SHOPS))
            assert abs(getattr(row, name) - share) <= slack, (row, name)


def test_shops_are_drawn_from_the_law_that_is_said() -> None:
    """With follow-up known, one large shop shows its law; the seed makes it."""
    shop = simulated(Size(20_000, 1825), WORN, np.random.default_rng(5))
    again = simulated(Size(20_000, 1825), WORN, np.random.default_rng(5))
    assert np.array_equal(shop.exits[Follow.GAP], again.exits[Follow.GAP])
    assert shop.at_first_visit > 0
    assert np.all(shop.exits[Follow.LAST_VISIT] <= shop.exits[Follow.LEVEL])
    assert np.all(shop.exits[Follow.LEVEL] <= shop.exits[Follow.TODAY])
    assert np.all(shop.exits[Follow.KNOWN] <= shop.exits[Follow.TODAY])


def test_vehicles_that_fail_more_than_others_fail_more_often_again() -> None:
    """The factor between vehicles shows in the second failures."""
    size = Size(4000, 1825)
    even = simulated(size, Law(800, 1), np.random.default_rng(3))
    uneven = simulated(size, Law(800, 1, frailty=1.0), np.random.default_rng(3))
    new = [shop.failed[shop.entry == 0].mean() for shop in (even, uneven)]
    assert new[1] > 1.1 * new[0]


def test_sizes_rise() -> None:
    assert list(SIZES) == sorted(SIZES, key=lambda size: size.vehicles)
