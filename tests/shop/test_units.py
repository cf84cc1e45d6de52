"""Conversions against NIST SP 811 and an independent library; numbers as people type them."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.units import (
    Kind,
    UnitError,
    convert,
    decimals_needed,
    format_number,
    format_value,
    from_si,
    kind_of,
    parse_number,
    shows_over_range,
    si_unit_of,
    symbol_of,
    to_si,
    unit,
    units_of,
    with_unit,
)
from tests.reference import named, rows

FACTORS = rows("unit_factors")
VALUES = rows("unit_values")
ALL_UNITS = [key for kind in Kind for key in units_of(kind)]

# Only the units whose key the library reads differently.
IN_PINT = {
    "um": "micrometer",
    "in": "inch",
    "mi": "mile",
    "kohm": "kiloohm",
    "mohm": "milliohm",
    "Mohm": "megaohm",
    "uA": "microampere",
    "%": "percent",
    "ratio": "dimensionless",
    "us": "microsecond",
    "min": "minute",
    "h": "hour",
    "kgf": "kilogram_force",
    "N.m": "newton * meter",
    "lbf.ft": "force_pound * foot",
    "lbf.in": "force_pound * inch",
    "deg": "degree",
    "arcmin": "arcminute",
    "deg/s": "degree / second",
    "rpm": "revolutions_per_minute",
    "rev/s": "revolution / second",
    "km/h": "kilometer / hour",
    "m/km": "meter / kilometer",
    "mm/m": "millimeter / meter",
    "ft/mi": "foot / mile",
    "mph": "mile / hour",
    "m/s2": "meter / second ** 2",
    "gn": "standard_gravity",
    "l/min": "liter / minute",
    "gpm": "gallon / minute",
    "ml/min": "milliliter / minute",
    "m3/s": "meter ** 3 / second",
    "l": "liter",
    "ml": "milliliter",
    "US.gal": "gallon",
    "m3": "meter ** 3",
    "lb": "pound",
    "count": "dimensionless",
    "mm2": "millimeter ** 2",
    "cm2": "centimeter ** 2",
    "in2": "inch ** 2",
    "m2": "meter ** 2",
}


@pytest.fixture(scope="module")
def oracle() -> pint.UnitRegistry:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize("row", FACTORS, ids=lambda row: named(row, "from", "to"))
def test_a_factor_is_the_one_of_sp_811(row: dict[str, str]) -> None:
    exact = row["exact"] == "yes"
    expected = float(row["factor"])

    found = convert(1, row["from"], row["to"])

    assert found == expected if exact else found == pytest.approx(expected, rel=6e-10)


@pytest.mark.parametrize("row", VALUES, ids=lambda row: named(row, "value", "from", "to"))
def test_a_worked_value_comes_out_as_published(row: dict[str, str]) -> None:
    decimals = len(row["result"].partition(".")[2])

    found = convert(float(row["value"]), row["from"], row["to"])

    assert found == pytest.approx(float(row["result"]), abs=0.5 * 10**-decimals + 1e-9)


@pytest.mark.parametrize("key", ALL_UNITS)
@pytest.mark.parametrize("value", [0.0, 1.0, -40.0, 123.456])
def test_every_unit_agrees_with_pint(key: str, value: float, oracle: pint.UnitRegistry) -> None:
    theirs = oracle.Quantity(value, IN_PINT.get(key, key)).to_base_units()

    assert to_si(value, key) == pytest.approx(theirs.magnitude, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_is_stored_in_one_coherent_unit(kind: Kind) -> None:
    stored = si_unit_of(kind)

    assert to_si(7.25, stored) == 7.25
    assert [key for key in units_of(kind) if to_si(1, key) == 1 and to_si(0, key) == 0] == [stored]


@pytest.mark.parametrize("key", ALL_UNITS)
@given(value=st.floats(min_value=-1e6, max_value=1e6).filter(lambda v: v == 0 or abs(v) > 1e-6))
def test_there_and_back_is_the_same_number(key: str, value: float) -> None:
    scale = max(abs(value), 500 if kind_of(key) is Kind.TEMPERATURE else 0)
    assert from_si(to_si(value, key), key) == pytest.approx(value, rel=1e-12, abs=1e-13 * scale)


@given(st.integers(min_value=-(10**9), max_value=10**9))
def test_the_same_length_typed_in_two_units_is_stored_as_the_same_number(micrometres: int) -> None:
    stored = to_si(micrometres, "um")

    assert to_si(micrometres / 1000, "mm") == stored
    assert to_si(micrometres / 10_000, "cm") == stored


def test_a_reading_on_its_limit_stays_on_it_whatever_the_unit() -> None:
    # 4.35 * 100 is 434.99999999999994 in binary.
    assert to_si(4.35, "kohm") == 4350.0
    assert to_si(0.1, "mm") == to_si(100, "um") == 0.0001
    assert to_si(1.1, "%") == 0.011


def test_units_of_different_kinds_do_not_convert() -> None:
    with pytest.raises(UnitError, match="bar measures pressure and mm measures length"):
        convert(1, "bar", "mm")
    assert convert(1, "bar", "kPa") == 100


def test_capitals_matter_and_the_near_miss_is_named() -> None:
    assert to_si(1, "mohm") != to_si(1, "Mohm")
    with pytest.raises(UnitError, match="Did you mean kohm"):
        unit("KOHM")
    with pytest.raises(UnitError, match="not a unit that is known here"):
        unit("furlong")
    with pytest.raises(UnitError, match="not a kind of quantity"):
        units_of("colour")


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("Ω", "ohm"),
        ("\u2126", "ohm"),
        ("kΩ", "kohm"),
        ("°C", "degC"),
        ("N m", "N.m"),
        ("L/min", "l/min"),
    ],
)
def test_the_symbol_itself_is_understood(written: str, key: str) -> None:
    assert unit(written).key == key


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_only_finite_numbers_convert(bad: float) -> None:
    with pytest.raises(UnitError):
        to_si(bad, "mm")
    with pytest.raises(UnitError):
        from_si(bad, "mm")
    with pytest.raises(UnitError):
        format_number(bad)


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("1385", 1385),
        ("1.38", 1.38),
        ("1,38", 1.38),
        (" 0,125 ", 0.125),
        ("0,1234", 0.1234),
        ("12,34", 12.34),
        ("1.234", 1.234),
        (".5", 0.5),
        (",5", 0.5),
        ("5.", 5),
        ("-5", -5),
        ("\u22120,5", -0.5),
        ("+3", 3),
        ("1 234", 1234),
        ("84\u202f210", 84210),
        ("84\u2009210,5", 84210.5),
        ("1'234.5", 1234.5),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234,567", 1234567),
        ("1.234.567", 1234567),
    ],
)
def test_it_reads_a_number_as_people_write_it(typed: str, number: float) -> None:
    assert parse_number(typed) == number


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "Type a number"),
        ("   ", "Type a number"),
        ("1,234", "Type 1.234 for the first or 1234 for the second"),
        ("-12,345", "Type -12.345 for the first or -12345 for the second"),
        ("1.38 kΩ", "Type only the number"),
        ("1e5", "Type only the number"),
        ("OL", "over range"),
        ("nan", "over range"),
        ("inf", "over range"),
        ("-inf", "over range"),
        ("1 2", "not one number"),
        ("1 1/2", "not one number"),
        ("1..2", "not one number"),
        ("1,2,3", "not one number"),
        ("12,345,6", "not one number"),
        ("0,123.5", "not one number"),
        ("1_000", "Type only the number"),
        ("٣", "not a number"),
        ("about", "not a number"),
        ("9" * 400, "too large"),
    ],
)
def test_it_refuses_what_is_no_number_and_says_what_to_type(typed: str, said: str) -> None:
    with pytest.raises(UnitError, match=said) as refused:
        parse_number(typed)
    assert refused.value.sentence.endswith(".")


@given(st.text(max_size=20))
def test_nothing_that_is_typed_breaks_it(text: str) -> None:
    try:
        assert math.isfinite(parse_number(text))
    except UnitError as refused:
        assert refused.sentence


@given(st.decimals(min_value=-(10**7), max_value=10**7, places=3))
def test_what_is_written_can_be_read_again(number: object) -> None:
    value = float(str(number))
    assert parse_number(format_number(value, decimals=3)) == value


@pytest.mark.parametrize(
    "shown", ["OL", "ol", "O.L", "0.L", ".0L", "O L", "∞", "open", "over range"]
)
def test_it_knows_how_a_meter_shows_over_range(shown: str) -> None:
    assert shows_over_range(shown)


@pytest.mark.parametrize("shown", ["", "0", "1.0", "10", "LO", "overt"])
def test_it_takes_nothing_else_for_over_range(shown: str) -> None:
    assert not shows_over_range(shown)


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (0, "0"),
        (1385, "1385"),
        (1.5, "1.5"),
        (0.02, "0.02"),
        (0.000123456, "0.0001235"),
        (123456.7, "123\u202f457"),
        (9999, "9999"),
        (10000, "10\u202f000"),
        (-3, "\u22123"),
        (2.675, "2.675"),
        (0.00005, "0.00005"),
    ],
)
def test_a_number_is_written_with_four_figures_at_most(value: float, shown: str) -> None:
    assert format_number(value) == shown


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [(1.5, 3, "1.50"), (9.996, 3, "10.0"), (0.9996, 3, "1.00"), (1385, 2, "1385"), (2.5, 1, "3")],
)
def test_significant_figures_can_be_fixed(value: float, digits: int, shown: str) -> None:
    assert format_number(value, digits=digits) == shown


@pytest.mark.parametrize(
    ("value", "decimals", "shown"),
    [
        (2.675, 2, "2.68"),
        (-0.001, 2, "0.00"),
        (1e22, 1, "10\u202f000\u202f000\u202f000\u202f000\u202f000\u202f000\u202f000.0"),
        (-0.5, 0, "\u22121"),
    ],
)
def test_decimals_can_be_fixed_and_halves_go_up(value: float, decimals: int, shown: str) -> None:
    assert format_number(value, decimals=decimals) == shown


def test_it_refuses_to_write_no_digits_at_all() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        format_number(1.0, digits=0)
    assert decimals_needed(1.385) == 3
    assert decimals_needed(1700) == 0


def test_the_unit_stands_after_a_space_that_does_not_break() -> None:
    assert format_value(1385, "kohm") == "1.385\u00a0kΩ"
    assert format_value(293.15, "degC") == "20\u00a0°C"
    assert format_value(to_si(2.5, "deg"), "deg") == "2.5°"
    assert format_value(0.031, "%") == "3.1\u00a0%"
    assert format_value(44, "count") == "44"
    assert with_unit("1.380", "kohm") == "1.380\u00a0kΩ"
    assert symbol_of("degF") == "°F"


def test_a_number_that_no_unit_can_hold_is_refused_and_one_that_fits_is_taken() -> None:
    large = parse_number("9" * 308)
    for into, name in ((to_si, "km"), (from_si, "mm")):
        with pytest.raises(UnitError, match="too large to be a measurement"):
            into(large, name)
    with pytest.raises(UnitError, match="too large to be a measurement"):
        convert(large, "km", "mm")
    assert to_si(large, "mm") == pytest.approx(1e305)


def test_what_is_no_number_is_quoted_in_short() -> None:
    with pytest.raises(UnitError) as said:
        parse_number("x" * 100_000)
    assert "…" in said.value.sentence
    assert len(said.value.sentence) < 150
