"""Prices add up on paper: every line to the cent once, totals of lines only."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.pricing import answered, assembly_line, hours, labour_line, price

D = Decimal


def test_it_adds_each_complaint_and_the_whole_job_up() -> None:
    """Worked by hand: 184.60 + 1.4 h at 92.50 (129.50) = 314.10; 0.8 h = 74.00; 388.10."""
    lines = [
        assembly_line(1, "hub", D("184.60")),
        labour_line(1, "replace hub", 14, D("92.50")),
        labour_line(2, "diagnose", 8, D("92.50")),
    ]
    found = price([1, 2, 3], lines)
    assert found.of(1).total == D("314.10")
    assert (found.of(2).assemblies, found.of(2).labour) == (D("0.00"), D("74.00"))
    assert found.of(3).total == D("0.00")
    assert (found.assemblies, found.labour, found.total) == (D("184.60"), D("203.50"), D("388.10"))


def test_half_a_cent_goes_up_once_in_the_line_and_not_again_in_the_total() -> None:
    """0.1 h at 92.45 is 9.245, so 9.25 a line; two lines are 18.50, not the 18.49 of one sum."""
    lines = [labour_line(1, "look", 1, D("92.45")), labour_line(1, "look", 1, D("92.45"))]
    assert [line.amount for line in lines] == [D("9.25"), D("9.25")]
    assert price([1], lines).total == D("18.50")


def test_the_hours_stand_in_the_words_of_a_labour_line() -> None:
    assert labour_line(1, "Bleed the brakes", 12, D("90")).text == "Bleed the brakes, 1.2 h"
    assert [hours(tenths) for tenths in (1, 10, 105)] == ["0.1", "1.0", "10.5"]


def test_it_refuses_a_line_of_a_complaint_that_is_not_priced() -> None:
    line = assembly_line(9, "hub", D("1"))
    with pytest.raises(ValueError, match="9"):
        price([1], [line])
    assert price([9], [line]).total == D("1.00")


def test_it_refuses_a_float_because_it_has_lost_its_cents() -> None:
    with pytest.raises(TypeError):
        assembly_line(1, "hub", 184.6)  # type: ignore[arg-type]
    assert assembly_line(1, "hub", D("184.6")).amount == D("184.60")


def test_an_answer_says_what_it_adds_and_the_total_after_it() -> None:
    prices = {1: D("314.10"), 2: D("74.00")}
    first = answered(prices, {1}, D("0"))
    assert (first.amount, first.total_after) == (D("314.10"), D("314.10"))
    second = answered(prices, {1, 2}, first.total_after)
    assert (second.amount, second.total_after) == (D("74.00"), D("388.10"))
    third = answered({1: D("300.00"), 2: D("74.00")}, {1, 2}, second.total_after)
    assert (third.amount, third.total_after) == (D("-14.10"), D("374.00"))


amounts = st.decimals(min_value=0, max_value=99_999, places=2)


@given(st.lists(st.tuples(st.integers(1, 4), amounts), max_size=20))
def test_the_total_is_the_sum_of_its_parts_however_they_are_looked_at(
    lines: list[tuple[int, Decimal]],
) -> None:
    found = price([1, 2, 3, 4], [assembly_line(key, "x", amount) for key, amount in lines])
    assert found.total == sum((amount for _, amount in lines), D(0))
    assert found.total == sum((one.total for one in found.complaints), D(0))
    assert found.total == found.assemblies + found.labour
