"""Copper both ways, a wire and a joint, against published values."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.electrics import (
    celsius_of_winding,
    joint,
    resistance_at,
    resistance_at_20c,
    wire_resistance,
)
from tests.reference import named, rows

PINT = pint.UnitRegistry()
RHO = PINT.Quantity(1 / 58, "ohm * mm**2 / m")
COPPER = [row for row in rows("copper") if row["reference_celsius"] == "20"]


@pytest.mark.parametrize("row", COPPER, ids=lambda row: named(row, "ohms_at_reference", "celsius"))
def test_the_law_runs_both_ways(row: dict[str, str]) -> None:
    cold, warm, celsius = (float(row[k]) for k in ("ohms_at_reference", "ohms", "celsius"))
    tolerance = float(row["tolerance"])

    assert resistance_at(cold, celsius) == pytest.approx(
        warm, abs=tolerance * warm / cold + tolerance
    )
    # A tolerance in ohms is one in kelvin through the slope of the law.
    slope = cold * 0.00393
    assert celsius_of_winding(warm, cold) == pytest.approx(celsius, abs=2 * tolerance / slope)


@given(ohms=st.floats(1e-3, 1e6), celsius=st.floats(-60, 200))
def test_there_and_back(ohms: float, celsius: float) -> None:
    warm = resistance_at(ohms, celsius)

    assert resistance_at_20c(warm, celsius) == pytest.approx(ohms, rel=1e-12)
    inside = min(max(celsius, -59.9), 199.9)
    assert celsius_of_winding(resistance_at(ohms, inside), ohms) == pytest.approx(inside, abs=1e-6)


@given(ohms=st.floats(1e-3, 1e6), one=st.floats(-60, 200), other=st.floats(-60, 200))
def test_warmer_copper_resists_more(ohms: float, one: float, other: float) -> None:
    cooler, warmer = sorted((one, other))
    assert resistance_at(ohms, cooler) <= resistance_at(ohms, warmer)
    assert resistance_at_20c(ohms, cooler) >= resistance_at_20c(ohms, warmer)


def test_a_resistance_that_no_temperature_explains_is_refused() -> None:
    with pytest.raises(ValueError, match="explains"):
        celsius_of_winding(10.0, 4.2)
    with pytest.raises(ValueError, match="no resistance"):
        celsius_of_winding(10.0, 0.0)


@pytest.mark.parametrize("row", rows("wire"), ids=lambda row: named(row, "metres", "mm2"))
def test_a_wire_has_the_resistance_of_its_copper(row: dict[str, str]) -> None:
    found = wire_resistance(float(row["metres"]), float(row["mm2"]) * 1e-6)

    assert found == pytest.approx(float(row["ohms"]), abs=float(row["tolerance"]))


@given(metres=st.floats(0, 100), mm2=st.floats(0.1, 100))
def test_a_wire_agrees_with_pint(metres: float, mm2: float) -> None:
    theirs = RHO * PINT.Quantity(metres, "m") / PINT.Quantity(mm2, "mm**2")

    assert wire_resistance(metres, mm2 * 1e-6) == pytest.approx(theirs.to("ohm").magnitude)


@pytest.mark.parametrize(
    ("metres", "square", "celsius"),
    [(-1, 1e-6, 20), (math.nan, 1e-6, 20), (1, 0, 20), (1, math.inf, 20), (1, 1e-6, 300)],
)
def test_a_wire_that_cannot_be_is_refused(metres: float, square: float, celsius: float) -> None:
    with pytest.raises(ValueError, match=r"wire|temperature"):
        wire_resistance(metres, square, celsius)


@pytest.mark.parametrize("row", rows("joint"), ids=lambda row: named(row, "volts", "amps"))
def test_a_joint_by_its_drop_and_current(row: dict[str, str]) -> None:
    found = joint(float(row["volts"]), float(row["amps"]))

    assert found.ohms == float(row["ohms"])
    assert found.watts == found.amps**2 * found.ohms == pytest.approx(400.0)


@pytest.mark.parametrize(
    ("drop", "amps", "says"),
    [(-0.1, 5, "leads"), (math.nan, 5, "leads"), (0.1, 0, "load"), (0.1, math.inf, "load")],
)
def test_a_joint_without_load_is_refused(drop: float, amps: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        joint(drop, amps)
