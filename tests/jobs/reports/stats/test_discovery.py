"""Adjusting for having looked at many."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from jobs.reports.stats.discovery import benjamini_hochberg

ps = some.lists(some.floats(0, 1), max_size=40)


@settings(deadline=None)
@given(ps=ps.filter(bool))
def test_it_is_that_of_scipy(ps: list[float]) -> None:
    expected = stats.false_discovery_control(ps, method="bh")
    assert benjamini_hochberg(ps) == pytest.approx(list(expected), abs=1e-12)


@settings(deadline=None)
@given(ps=ps)
def test_it_keeps_the_order_of_the_ps_and_never_helps_one(ps: list[float]) -> None:
    adjusted = benjamini_hochberg(ps)
    assert all(p <= fair <= 1 for p, fair in zip(ps, adjusted, strict=True))
    by_p = [fair for _, fair in sorted(zip(ps, adjusted, strict=True))]
    assert by_p == sorted(by_p)


@settings(deadline=None)
@given(data=some.data(), ps=ps)
def test_the_order_in_which_they_are_given_changes_nothing(
    data: some.DataObject, ps: list[float]
) -> None:
    order = data.draw(some.permutations(range(len(ps))))
    adjusted = benjamini_hochberg(ps)
    assert benjamini_hochberg([ps[one] for one in order]) == tuple(adjusted[one] for one in order)


def test_none_and_one() -> None:
    assert benjamini_hochberg([]) == ()
    assert benjamini_hochberg([0.03]) == (0.03,)
    with pytest.raises(ValueError, match="between 0 and 1"):
        benjamini_hochberg([0.2, 1.2])
