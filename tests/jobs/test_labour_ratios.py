"""The three ratios against printed examples, and hours shared out without losing a tenth."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.labour_ratios import hours_of, ratios, share_out
from tests.reference import named, rows

PRINTED = rows("labour_ratios")
WHICH = {
    "efficiency": ("sold", "worked"),
    "productivity": ("worked", "available"),
    "overall": ("sold", "available"),
}


def hours(number: str) -> timedelta:
    return timedelta(seconds=int(Decimal(number) * 3600))


@pytest.mark.parametrize("row", PRINTED, ids=[named(r, "ratio", "over", "under") for r in PRINTED])
def test_printed_examples(row: dict[str, str]) -> None:
    times = {"sold": hours("1"), "worked": hours("1"), "available": hours("1")}
    over, under = WHICH[row["ratio"]]
    times |= {over: hours(row["over"]), under: hours(row["under"])}
    found = getattr(ratios(**times), row["ratio"])
    assert found.percent == Decimal(row["percent"])
    assert found.formula == f"{over} ÷ {under}"


times = st.integers(1, 400 * 3600).map(lambda seconds: timedelta(seconds=seconds))


@given(times, times, times)
def test_overall_is_the_product(sold: timedelta, worked: timedelta, there: timedelta) -> None:
    found = ratios(sold=sold, worked=worked, available=there)
    assert isinstance(found.efficiency.share, Fraction)
    assert isinstance(found.productivity.share, Fraction)
    assert found.overall.share == found.efficiency.share * found.productivity.share


def test_nothing_is_made_up_where_nothing_was_clocked_or_set() -> None:
    found = ratios(sold=hours("5"), worked=hours("0"), available=hours("8"))
    assert (found.efficiency.percent, found.efficiency.blank) == (None, "nothing was clocked")
    assert found.productivity.percent == Decimal("0.0")
    assert found.overall.percent == Decimal("62.5")
    found = ratios(sold=hours("5"), worked=hours("4"), available=hours("0"))
    assert found.efficiency.percent == Decimal("125.0")
    assert found.productivity.blank == found.overall.blank == "no working hours are set"


def test_less_than_no_time_is_refused() -> None:
    with pytest.raises(ValueError, match="less than none"):
        ratios(sold=-hours("1"), worked=hours("1"), available=hours("1"))


def test_tenths_go_to_whoever_worked_most_of_the_next() -> None:
    """10 tenths over 1:1:1 are 4, 3, 3; over 2:1 they are 7 and 3 (6.67 and 3.33)."""
    hour = timedelta(hours=1)
    assert share_out(10, {1: hour, 2: hour, 3: hour}) == {1: 4, 2: 3, 3: 3}
    assert share_out(10, {7: 2 * hour, 3: hour}) == {7: 7, 3: 3}
    assert share_out(5, {1: timedelta(), 2: hour}) == {1: 0, 2: 5}


@given(
    st.integers(0, 400),
    st.dictionaries(st.integers(1, 50), st.integers(0, 10**6), min_size=1, max_size=8),
)
def test_no_tenth_is_lost(tenths: int, seconds: dict[int, int]) -> None:
    weights = {key: timedelta(seconds=number) for key, number in seconds.items()}
    whole = sum(seconds.values())
    if not whole:
        with pytest.raises(ValueError, match="no time"):
            share_out(tenths, weights)
        return
    shares = share_out(tenths, weights)
    assert sum(shares.values()) == tenths
    for key, share in shares.items():
        assert abs(share - Fraction(tenths * seconds[key], whole)) < 1


def test_hours_are_rounded_once_for_reading() -> None:
    assert hours_of(timedelta(minutes=83)) == Decimal("1.38")  # 1.3833
    assert hours_of(timedelta(seconds=18)) == Decimal("0.01")  # 0.005
