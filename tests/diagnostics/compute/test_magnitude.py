"""A number that would be right in another unit is asked about, and nothing else is."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnostics.compute.magnitude import unit_doubt
from shop.units import UnitError, from_si, kind_of, to_si, units_of

KILO_OHM = (1300.0, 1700.0)
RELIEF = (9.653e6, 10.549e6)  # 1,400 to 1,530 psi, read on a maker's page [R]


def test_ohms_for_kilohms_are_asked_about() -> None:
    doubt = unit_doubt(1.4, "ohm", *KILO_OHM)

    assert doubt is not None
    assert doubt.likely_unit == "kohm"
    assert doubt.likely_value == 1400.0
    assert doubt.sentence == (
        "1.4\u00a0Ω is a thousandth of what is usual here (1.3 to 1.7\u00a0kΩ). "
        "Did the meter show 1.4\u00a0kΩ? Choose the unit it showed; "
        "if it really was 1.4\u00a0Ω, say so."
    )


def test_the_published_slip_of_a_factor_of_ten_is_asked_about() -> None:
    # A published page prints "960 kPa (1400 psi)" where 9,653 kPa is right [R, C].
    doubt = unit_doubt(to_si(965.3, "kPa"), "kPa", *RELIEF)

    assert doubt is not None
    assert doubt.likely_unit == "kPa"
    assert doubt.likely_value == pytest.approx(9.653e6)
    assert "is a tenth of what is usual here" in doubt.sentence
    assert "Type what it showed" in doubt.sentence


@pytest.mark.parametrize(
    ("typed", "unit", "low", "high", "likely"),
    [
        (1400, "kPa", 9.0e6, 1.1e7, "psi"),
        (1450, "bar", 9.0e6, 1.1e7, "psi"),
        (100, "psi", 9.0e6, 1.1e7, "bar"),
        (85, "V", None, 0.1, "mV"),
        (5, "kohm", 1e6, None, "Mohm"),
        (0.9, "ohm", *KILO_OHM, "kohm"),
        (60, "mm", None, 6e-5, "um"),
        (4.4, "kohm", 4.0, 4.8, "ohm"),
        (22, "in", 0.020, 0.024, "mm"),
        (0.7, "%", 0.58, 0.8, "ratio"),
        (-1.2, "rad", -0.03, -0.01, "deg"),
        (3, "rad", -0.06, 0.05, "deg"),
    ],
)
def test_the_likely_unit(
    typed: float, unit: str, low: float | None, high: float | None, likely: str
) -> None:
    doubt = unit_doubt(to_si(typed, unit), unit, low, high)

    assert doubt is not None
    assert doubt.likely_unit == likely
    assert doubt.likely_value == to_si(typed, likely)


@pytest.mark.parametrize(
    ("value", "unit", "low", "high"),
    [
        (0.0, "ohm", *KILO_OHM),  # a dead short
        (math.inf, "ohm", *KILO_OHM),  # an open circuit
        (math.nan, "ohm", *KILO_OHM),
        (1500.0, "ohm", *KILO_OHM),  # inside
        (900.0, "ohm", *KILO_OHM),  # merely outside
        (40.0, "ohm", *KILO_OHM),  # far outside, and no unit makes it right
        (2.0, "ohm", None, 10.0),  # small is no doubt where small is good
        (0.5, "V", None, 0.1),  # a bad ground
        (350.0, "degC", 320.0, 333.0),  # temperatures have no common nought
        (-1.4, "ohm", *KILO_OHM),  # nothing makes the sign right
        (1.4, "ohm", None, None),
        (1.0, "V", None, -0.0),
    ],
)
def test_no_doubt(value: float, unit: str, low: float | None, high: float | None) -> None:
    assert unit_doubt(value, unit, low, high) is None


def test_it_refuses_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="above its high end"):
        unit_doubt(1.0, "ohm", 2.0, 1.0)
    with pytest.raises(ValueError, match="finite"):
        unit_doubt(1.0, "ohm", math.nan, 1.0)
    with pytest.raises(UnitError):
        unit_doubt(1.0, "cubits", 5.0, 6.0)


@given(
    typed=st.floats(1e-3, 1e4),
    unit=st.sampled_from(["ohm", "kohm", "V", "mV", "bar", "kPa", "psi", "MPa", "mm", "in"]),
    low=st.floats(1e-4, 1e7),
    wide=st.floats(1.0, 50.0),
)
def test_a_doubt_names_a_unit_that_would_explain_it(
    typed: float, unit: str, low: float, wide: float
) -> None:
    value, high = to_si(typed, unit), low * wide

    doubt = unit_doubt(value, unit, low, high)

    if low / 2 <= value <= high * 2:
        assert doubt is None
    assume(doubt is not None)
    assert doubt is not None
    assert doubt.likely_unit in units_of(kind_of(unit))
    assert low / 2.001 <= doubt.likely_value <= high * 2.001
    same_number = from_si(doubt.likely_value, doubt.likely_unit) == pytest.approx(typed)
    tenfold = max(doubt.likely_value / value, value / doubt.likely_value)
    assert same_number or (doubt.likely_unit == unit and tenfold == pytest.approx(10.0))
