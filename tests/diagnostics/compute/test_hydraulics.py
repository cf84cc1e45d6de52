"""Power, flow, force and two scales of one gauge against published values."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute import hydraulics
from diagnostics.compute.hydraulics import (
    compared,
    hydraulic_power,
    piston_force,
    pump_flow,
    shaft_power,
    two_scales,
    volumetric_efficiency,
)
from shop.units import convert, from_si, to_si
from tests.reference import named, rows

PINT = pint.UnitRegistry()
FACTS = {row["fact"]: row for row in rows("pump_test_facts")}
BAR, LITRES = st.floats(0, 300), st.floats(0, 200)


@pytest.mark.parametrize(
    "row", rows("pump_power"), ids=lambda row: named(row, "pressure", "flow", "power_unit")
)
def test_power_is_the_published_one(row: dict[str, str]) -> None:
    power = hydraulic_power(
        to_si(float(row["pressure"]), row["pressure_unit"]),
        to_si(float(row["flow"]), row["flow_unit"]),
    )

    shaft = shaft_power(power, float(row["efficiency"]))

    assert from_si(shaft, row["power_unit"]) == pytest.approx(
        float(row["power"]), abs=float(row["tolerance"])
    )


@pytest.mark.parametrize("row", rows("pump_other"), ids=lambda row: named(row, "what"))
def test_flow_force_and_cylinder(row: dict[str, str]) -> None:
    first, share = to_si(float(row["first"]), row["first_unit"]), float(row["share"])
    second = to_si(float(row["second"]), row["second_unit"]) if row["second"] else 0.0
    found = {
        "flow": lambda: pump_flow(first, second, share),
        "force": lambda: piston_force(first, second),
        # Backwards through the shaft: what goes in is what comes out over the efficiency.
        "cylinder": lambda: first * share,
    }[row["what"]]()

    assert from_si(found, row["result_unit"]) == pytest.approx(
        float(row["result"]), abs=float(row["tolerance"])
    )
    if row["what"] == "cylinder":
        assert shaft_power(found, share) == pytest.approx(first)


@pytest.mark.parametrize(
    "row", rows("pump_pressures"), ids=lambda row: named(row, "psi", "other_unit")
)
def test_the_two_scales_of_a_relief_pressure_agree(row: dict[str, str]) -> None:
    psi, other = float(row["psi"]), float(row["other"])

    assert convert(psi, "psi", row["other_unit"]) == pytest.approx(
        other, abs=float(row["tolerance"])
    )
    check = two_scales(to_si(psi, "psi"), to_si(other, row["other_unit"]))
    assert check.agrees
    assert check.tenfold is None


def test_the_published_misprint_is_found_as_a_slipped_digit() -> None:
    # "960 kPa (1400 psi)" as printed on a page [R]; 9,653 kPa is right [C].
    check = two_scales(to_si(960, "kPa"), to_si(1400, "psi"))

    assert not check.agrees
    assert check.tenfold == 10.0
    assert check.apart == pytest.approx(10.055, abs=0.001)


def test_two_different_pressures_are_neither() -> None:
    check = two_scales(to_si(90, "bar"), to_si(90, "psi"))

    assert not check.agrees
    assert check.tenfold is None


@pytest.mark.parametrize(
    ("fact", "found"),
    [
        ("closed_careful", hydraulics.LONGEST_CLOSED),
        ("closed_others", hydraulics.LONGEST_CLOSED_BY_ANY),
        ("fluid_low", hydraulics.WARM_FLUID[0]),
        ("fluid_high", hydraulics.WARM_FLUID[1]),
        ("speed_low", hydraulics.TEST_SPEED[0]),
        ("speed_high", hydraulics.TEST_SPEED[1]),
        ("relief_low", hydraulics.USUAL_RELIEF[0] / 1e5),
        ("relief_high", hydraulics.USUAL_RELIEF[1] / 1e5),
        ("flow_low", hydraulics.USUAL_FLOW[0]),
        ("flow_high", hydraulics.USUAL_FLOW[1]),
        ("hottest", hydraulics.HOTTEST_FLUID),
    ],
)
def test_what_is_said_about_the_test_is_what_was_read(fact: str, found: float) -> None:
    assert found == float(FACTS[fact]["value"])


@given(bar=BAR, litres=LITRES)
def test_power_agrees_with_pint(bar: float, litres: float) -> None:
    theirs = (PINT.Quantity(bar, "bar") * PINT.Quantity(litres, "l/min")).to("watt").magnitude

    found = hydraulic_power(to_si(bar, "bar"), to_si(litres, "l/min"))

    assert found == pytest.approx(theirs, rel=1e-9, abs=1e-9)
    # The rule of thumb rounds its divisor: 550 ft lbf/s is psi gpm / 1714.29.
    psi, gpm = convert(bar, "bar", "psi"), convert(litres, "l/min", "gpm")
    assert from_si(found, "hp") == pytest.approx(psi * gpm / 1714, rel=2e-4, abs=1e-9)


@given(ml=st.floats(0.5, 50), rpm=st.floats(300, 4000), share=st.floats(0.05, 1))
def test_an_efficiency_comes_back(ml: float, rpm: float, share: float) -> None:
    displacement, turning = to_si(ml, "ml"), to_si(rpm, "rpm")
    flow = pump_flow(displacement, turning, share)

    assert volumetric_efficiency(flow, displacement, turning) == pytest.approx(share)
    assert from_si(flow, "l/min") == pytest.approx(ml * rpm / 1000 * share)


def test_sides_are_compared_in_parts_of_the_higher() -> None:
    # 300 and 210: 30.0 % of the higher, 35.3 % of the mean [C].
    found = compared({"LF": 300.0, "RF": 210.0})

    assert found.share == pytest.approx(0.30)
    assert found.of_mean == pytest.approx(0.353, abs=0.0005)
    assert (found.lowest, found.highest) == ("RF", "LF")


@given(one=st.floats(0, 1e8), other=st.floats(0, 1e8))
def test_the_order_of_the_sides_does_not_matter(one: float, other: float) -> None:
    found = compared({"L": one, "R": other})

    assert found.share == compared({"R": other, "L": one}).share
    assert 0 <= found.share <= 1


def test_what_cannot_be_is_refused() -> None:
    for call in (
        lambda: hydraulic_power(-1, 1),
        lambda: hydraulic_power(1, math.nan),
        lambda: shaft_power(-1, 0.5),
        lambda: pump_flow(-1, 1),
        lambda: pump_flow(1, math.inf),
        lambda: piston_force(1, -1),
        lambda: compared({"L": -1, "R": 1}),
    ):
        with pytest.raises(ValueError, match="not below zero"):
            call()
    for share in (0.0, 1.01, math.nan):
        with pytest.raises(ValueError, match="efficiency"):
            shaft_power(100, share)
    with pytest.raises(ValueError, match="above zero"):
        volumetric_efficiency(1, 0, 1)
    with pytest.raises(ValueError, match="above zero"):
        two_scales(0, 1)
    with pytest.raises(ValueError, match="two places"):
        compared({"L": 1.0})
