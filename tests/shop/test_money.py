"""Money: what is typed, what is rounded, what is shown."""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shop.money import (
    AmountError,
    cents,
    format_amount,
    labour_total,
    line_total,
    parse_amount,
    total,
)
from shop.units import format_number

AMOUNTS = st.decimals(min_value=-(10**7) + 1, max_value=10**7 - 1, places=2)


@pytest.mark.parametrize(
    ("exact", "rounded"),
    [
        ("0.005", "0.01"),
        ("0.015", "0.02"),
        ("0.025", "0.03"),
        ("2.675", "2.68"),
        ("1.0049999", "1.00"),
        ("-0.005", "-0.01"),
        ("-0.001", "0.00"),
        ("7", "7.00"),
    ],
)
def test_halves_of_a_cent_go_away_from_zero(exact: str, rounded: str) -> None:
    assert str(cents(Decimal(exact))) == rounded


@given(st.decimals(min_value=0, max_value=10**7, places=6))
def test_rounding_is_floor_of_the_amount_and_a_half_cent(exact: Decimal) -> None:
    # Computed another way, on whole numbers.
    in_half_cents = Fraction(exact) * 100 + Fraction(1, 2)
    assert cents(exact) * 100 == Decimal(in_half_cents.numerator // in_half_cents.denominator)
    assert cents(exact) >= exact.quantize(Decimal("0.01"), rounding=ROUND_FLOOR)


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("84.50", "84.50"),
        ("84,5", "84.50"),
        ("84", "84.00"),
        ("$84.50", "84.50"),
        ("84.50 $", "84.50"),
        ("1 234,50", "1234.50"),
        ("$1,234.50", "1234.50"),
        ("12.500", "12.50"),
        ("0", "0.00"),
    ],
)
def test_it_reads_an_amount_as_people_write_it(typed: str, amount: str) -> None:
    assert str(parse_amount(typed, currency_symbol="$")) == amount


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "Type an amount"),
        ("$", "Type an amount"),
        ("1,234", "Type 1.234 for the first or 1234 for the second"),
        ("84.505", "parts of a cent. Type at most two decimals, for example 84.51"),
        ("-5", "below zero"),
        ("10000000", "more than \\$9\u202f999\u202f999\\.99"),
        ("nan", "not an amount"),
        ("84.50 €", "not an amount"),
        ("free", "not an amount"),
    ],
)
def test_it_refuses_an_amount_and_says_what_to_type(typed: str, said: str) -> None:
    with pytest.raises(AmountError, match=said):
        parse_amount(typed, currency_symbol="$")


def test_a_credit_may_be_below_zero_where_that_is_meant() -> None:
    assert parse_amount("-5", negative=True) == Decimal("-5.00")


@given(st.text(max_size=20))
def test_nothing_that_is_typed_breaks_it(text: str) -> None:
    try:
        assert parse_amount(text) >= 0
    except AmountError as refused:
        assert refused.sentence


@given(AMOUNTS)
def test_what_is_shown_can_be_typed_again(amount: Decimal) -> None:
    shown = format_amount(abs(amount), "£")
    assert parse_amount(shown, currency_symbol="£") == abs(amount)


def test_an_amount_is_shown_with_its_sign_and_thousands() -> None:
    assert format_amount(Decimal("1234.5"), "$") == "$1234.50"
    assert format_amount(Decimal("1234567.5"), "$") == "$1\u202f234\u202f567.50"
    assert format_amount(Decimal(-12), "£") == "\u2212£12.00"
    assert format_amount(Decimal("-0.001"), "£") == "£0.00"
    assert format_amount(Decimal(12), "kr") == "kr\u00a012.00"
    assert format_amount(Decimal(12), "") == "12.00"


@given(AMOUNTS)
@example(Decimal("9999.99"))
@example(Decimal("10000.00"))
def test_amounts_and_other_numbers_write_thousands_alike(amount: Decimal) -> None:
    assert format_amount(amount, "") == format_number(float(amount), decimals=2)


def test_a_line_is_rounded_once() -> None:
    assert line_total(3, Decimal("0.335")) == Decimal("1.01")
    assert line_total(Decimal("1.5"), Decimal("10.01")) == Decimal("15.02")
    assert line_total(0, Decimal(99)) == Decimal("0.00")


def test_labour_is_counted_in_tenths_of_an_hour() -> None:
    assert labour_total(14, Decimal("95.00")) == Decimal("133.00")
    assert labour_total(1, Decimal("95.55")) == Decimal("9.56")
    with pytest.raises(TypeError):
        labour_total(1.4, Decimal("95.00"))  # type: ignore[arg-type]


@given(st.lists(AMOUNTS, max_size=30))
def test_a_total_is_the_sum_of_the_cents(amounts: list[Decimal]) -> None:
    assert total(amounts) * 100 == sum(int(amount * 100) for amount in amounts)
    assert total(reversed(amounts)) == total(amounts)


def test_a_float_is_never_money() -> None:
    with pytest.raises(TypeError):
        cents(0.1)  # type: ignore[arg-type]
    with pytest.raises(TypeError):
        line_total(1, 0.1)  # type: ignore[arg-type]
    for no_amount in ("nan", "inf"):
        with pytest.raises(AmountError):
            cents(Decimal(no_amount))
    assert cents(Decimal("0.1")) == Decimal("0.10")
