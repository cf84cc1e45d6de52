"""Brake forces against the boundary cases of the rules, as published and worked by hand."""

from __future__ import annotations

import math
from datetime import date

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.braking import (
    GB_TOO_LIGHT,
    Rule,
    Standing,
    System,
    WheelForce,
    efficiency,
    gb_required,
    gb_standing,
    imbalance,
    is_newer,
    share_of_weight,
    side_difference,
    tidy,
    variation_in_a_turn,
    worst,
)
from shop.units import to_si
from tests.reference import named, rows

PINT = pint.UnitRegistry()
force = st.floats(0, 1e5)


def _kgf(value: float, *, locked: bool = False) -> WheelForce:
    return WheelForce(to_si(value, "kgf"), locked)


@pytest.mark.parametrize(
    "row", rows("brake_sides"), ids=lambda row: named(row, "one_kgf", "other_kgf", "steered")
)
def test_a_published_boundary_of_imbalance_falls_on_its_side(row: dict[str, str]) -> None:
    one, other = _kgf(float(row["one_kgf"])), _kgf(float(row["other_kgf"]))
    steered = row["steered"] == "yes"
    decimals = len(row["percent"].partition(".")[2])

    found = imbalance(one, other, Rule.GB, steered=steered)

    assert round(found.value * 100, decimals) == float(row["percent"])
    assert found.standing == row["standing"]
    assert found.lower == "right"
    mirrored = imbalance(other, one, Rule.GB, steered=steered)
    assert (mirrored.value, mirrored.standing, mirrored.lower) == (
        found.value,
        found.standing,
        "left",
    )


@pytest.mark.parametrize("unit", ["N", "daN", "kN", "kgf", "lbf"])
def test_exactly_70_per_cent_passes_in_every_unit(unit: str) -> None:
    one, other = (WheelForce(to_si(value, unit)) for value in (900.0, 630.0))
    found = imbalance(one, other, Rule.GB, steered=True)
    assert found.value == 0.3
    assert found.standing is Standing.MET
    just_less = WheelForce(to_si(629.9, unit))
    assert imbalance(one, just_less, Rule.GB, steered=True).standing is Standing.MAJOR


def test_imbalance_is_not_over_the_mean() -> None:
    """300 and 210: 30.0 % of the higher, 35.3 % of the mean."""
    assert side_difference(300, 210) == 0.3
    assert round(90 / 255, 3) == 0.353


def test_a_locked_lower_wheel_leaves_the_imbalance_out_and_a_locked_higher_one_does_not() -> None:
    locked = imbalance(_kgf(300), _kgf(100, locked=True), Rule.GB, steered=True)
    assert locked.standing is Standing.DISREGARDED
    assert "right wheel" in locked.reason
    higher = imbalance(_kgf(300, locked=True), _kgf(100), Rule.GB, steered=True)
    assert higher.standing is Standing.DANGEROUS


def test_forces_up_to_40_kgf_are_left_out_and_above_it_judged() -> None:
    assert imbalance(_kgf(40), _kgf(10), Rule.GB, steered=True).standing is Standing.DISREGARDED
    assert imbalance(_kgf(0), _kgf(0), Rule.GB, steered=True).standing is Standing.DISREGARDED
    assert imbalance(_kgf(40.1), _kgf(10), Rule.GB, steered=True).standing is Standing.DANGEROUS
    assert PINT("40 kilogram_force").to("N").magnitude == pytest.approx(GB_TOO_LIGHT)


@pytest.mark.parametrize(
    ("one", "other", "standing"),
    [(400, 300, Standing.MET), (400, 299, Standing.FAILED), (30, 10, Standing.FAILED)],
)
def test_the_american_rule_allows_25_per_cent(one: float, other: float, standing: Standing) -> None:
    """49 CFR 570.5(d)(1), from memory; it knows no force too small to judge."""
    assert imbalance(_kgf(one), _kgf(other), Rule.US, steered=False).standing is standing


def test_without_a_rule_the_figures_are_worked_out_and_not_judged() -> None:
    sides = imbalance(_kgf(300), _kgf(100), None, steered=True)
    whole = efficiency([_kgf(300), _kgf(100)], 1000, None)
    assert sides.standing is whole.standing is Standing.NOT_JUDGED
    assert sides.allowed is whole.required is None
    assert whole.value == 0.4


@given(left=force, right=force)
def test_imbalance_lies_between_nought_and_one_and_knows_no_side(left: float, right: float) -> None:
    found = side_difference(left, right)
    assert 0 <= found <= 1
    assert found == side_difference(right, left)


@pytest.mark.parametrize("row", rows("brake_efficiency"), ids=lambda row: named(row, "percent"))
def test_a_published_efficiency_comes_out(row: dict[str, str]) -> None:
    wheels = [_kgf(float(one)) for one in row["forces_kgf"].split()]
    found = efficiency(wheels, float(row["weight_kg"]), Rule.GB)
    assert round(found.value * 100, 2) == float(row["percent"])
    assert found.standing is Standing.MET
    assert found.total == pytest.approx(to_si(860, "kgf"))


@pytest.mark.parametrize("row", rows("brake_required"), ids=lambda row: named(row, "what"))
def test_a_required_efficiency_is_the_published_one(row: dict[str, str]) -> None:
    system, _, age = row["what"].partition(" ")
    assert gb_required(System(system), newer=age != "older") == float(row["percent"]) / 100


@pytest.mark.parametrize(
    ("percent", "required", "standing"),
    [
        (58, 0.58, Standing.MET),
        (57.99, 0.58, Standing.MAJOR),
        (29, 0.58, Standing.MAJOR),
        (28.99, 0.58, Standing.DANGEROUS),
        (50, 0.50, Standing.MET),
        (49.9, 0.50, Standing.MAJOR),
        (25, 0.50, Standing.MAJOR),
        (24.9, 0.50, Standing.DANGEROUS),
        (16, 0.16, Standing.MET),
        (15.9, 0.16, Standing.MAJOR),
        (7.9, 0.16, Standing.DANGEROUS),
    ],
)
def test_below_the_figure_is_major_and_below_half_of_it_dangerous(
    percent: float, required: float, standing: Standing
) -> None:
    assert gb_standing(percent / 100, required) is standing


def test_more_than_half_of_the_wheels_locked_meets_it_and_exactly_half_does_not() -> None:
    two = [_kgf(100, locked=True)] * 2 + [_kgf(100)] * 2
    three = [_kgf(100, locked=True)] * 3 + [_kgf(100)]
    assert efficiency(two, 1450, Rule.GB).standing is Standing.DANGEROUS
    found = efficiency(three, 1450, Rule.GB)
    assert found.standing is Standing.MET
    assert found.by_lock
    parking = efficiency([_kgf(60, locked=True)] * 2, 1450, Rule.GB, system=System.PARKING)
    assert parking.by_lock
    strong = efficiency([_kgf(300, locked=True)] * 4, 1450, Rule.GB)
    assert not strong.by_lock


def test_the_first_of_september_2010_belongs_to_the_newer_cars() -> None:
    assert is_newer(date(2010, 9, 1))
    assert not is_newer(date(2010, 8, 31))


@given(forces=st.lists(force, min_size=1, max_size=4), mass=st.floats(100, 5000))
def test_efficiency_is_that_of_an_independent_library(forces: list[float], mass: float) -> None:
    weight = (mass * PINT.kilogram * PINT.standard_gravity).to("N").magnitude
    assert share_of_weight(forces, mass) == pytest.approx(sum(forces) / weight, rel=1e-9, abs=1e-12)


def test_the_swing_within_a_turn_is_over_the_greatest_force() -> None:
    assert variation_in_a_turn(200, 150) == 0.25
    with pytest.raises(ValueError, match="least force"):
        variation_in_a_turn(150, 200)


def test_the_worst_standing_is_named() -> None:
    found = {"front": Standing.MAJOR, "rear": Standing.DANGEROUS, "whole": Standing.MET}
    assert worst(found) == ("rear", Standing.DANGEROUS)
    assert worst({}) is None


@pytest.mark.parametrize(
    ("forces", "mass"), [([], 1000), ([-1.0], 1000), ([math.nan], 1000), ([100.0], 0)]
)
def test_efficiency_refuses_what_cannot_be(forces: list[float], mass: float) -> None:
    with pytest.raises(ValueError, match=r"force|weight"):
        share_of_weight(forces, mass)
    assert share_of_weight([0.0], 1000) == 0


def test_noise_of_the_last_digit_is_taken_off() -> None:
    assert tidy(0.1 + 0.2) == 0.3
