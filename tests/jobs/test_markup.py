"""Selling prices from cost and bands: the rule in words, and what holds whatever the bands are."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from jobs.markup import Band, BandError, band_for, check_bands, dips, selling_price
from shop.money import CENT

D = Decimal

FALLING = (Band(D(0), D(100)), Band(D(50), D(60)), Band(D(500), D(30)))
GENTLE = (Band(D(0), D(50)), Band(D("50.00"), D("50.5")), Band(D(500), D(60)))

amounts = st.decimals(0, 9999, places=2)
percents = st.decimals(0, 1000, places=2)


def the_bands(costs: dict[D, D]) -> tuple[Band, ...]:
    return tuple(Band(cost, percent) for cost, percent in costs.items())


band_sets = st.dictionaries(amounts, percents, max_size=8).map(
    lambda rows: the_bands({D(0): D(40)} | rows)
)


@pytest.mark.parametrize(
    ("cost", "price"),
    [
        ("0.00", "0.00"),
        ("49.99", "99.98"),
        ("50.00", "80.00"),
        ("0.01", "0.02"),
        ("499.99", "799.98"),  # 799.984
        ("500.00", "650.00"),
        ("623.35", "810.36"),  # 810.355: a half cent goes up
    ],
)  # worked by hand
def test_the_cost_chooses_the_band_and_is_rounded_once(cost: str, price: str) -> None:
    assert selling_price(D("700.00"), D(cost), FALLING) == D(price)


def test_without_a_cost_or_without_bands_the_list_price_is_asked() -> None:
    assert selling_price(D("44.50"), None, FALLING) == D("44.50")
    assert selling_price(D("44.50"), D("27.00"), ()) == D("44.50")
    assert band_for(D("27.00"), ()) is None


def test_the_markup_counts_whether_it_is_more_or_less_than_the_list_price() -> None:
    assert selling_price(D("10.00"), D("27.00"), FALLING) == D("54.00")
    assert selling_price(D("99.00"), D("27.00"), FALLING) == D("54.00")


def test_a_dip_is_told_with_both_parts() -> None:
    [first, second] = dips(FALLING)
    assert (first.cheaper_cost, first.cheaper_price) == (D("49.99"), D("99.98"))
    assert (first.cost, first.price) == (D(50), D("80.00"))
    assert second.cost == D(500)
    assert dips(GENTLE) == ()
    assert dips(()) == ()


@pytest.mark.parametrize(
    ("rows", "says", "row"),
    [
        ([("10", "50")], "Let it begin at 0.00", 0),
        ([("0", "50"), ("10", "40"), ("10.00", "30")], "Two bands begin at 10.00", 2),
        ([("0", "50"), ("-1", "40")], "below zero", 1),
        ([("0", "-5")], "sell at a loss", 0),
        ([("0", "4000")], "4000 % is more than 1000 %", 0),
    ],
)
def test_bands_that_cannot_hold_are_refused_with_their_row(
    rows: list[tuple[str, str]], says: str, row: int
) -> None:
    with pytest.raises(BandError) as refused:
        check_bands([Band(D(cost), D(percent)) for cost, percent in rows])
    assert says in refused.value.sentence
    assert refused.value.row == row


def test_bands_may_be_typed_in_any_order() -> None:
    assert check_bands(FALLING[::-1]) == FALLING
    assert check_bands(()) == ()


@given(band_sets, amounts, amounts)
def test_where_nothing_dips_a_dearer_part_never_sells_for_less(
    bands: tuple[Band, ...], one: D, other: D
) -> None:
    assume(not dips(bands))
    low, high = sorted((one, other))
    assert selling_price(D(0), low, bands) <= selling_price(D(0), high, bands)


@given(band_sets)
def test_what_is_called_a_dip_is_one(bands: tuple[Band, ...]) -> None:
    for dip in dips(bands):
        assert dip.cost - dip.cheaper_cost == CENT
        assert selling_price(D(0), dip.cost, bands) < selling_price(D(0), dip.cheaper_cost, bands)


@given(band_sets, amounts)
def test_a_part_is_never_sold_below_its_cost_nor_off_by_more_than_half_a_cent(
    bands: tuple[Band, ...], cost: D
) -> None:
    price = selling_price(D(0), cost, bands)
    assert price >= cost
    band = band_for(cost, bands)
    assert band is not None
    assert abs(price - cost * (100 + band.percent) / 100) <= CENT / 2


@given(st.permutations(FALLING), amounts)
def test_the_order_of_the_bands_does_not_matter(bands: list[Band], cost: D) -> None:
    assert selling_price(D(0), cost, bands) == selling_price(D(0), cost, FALLING)
