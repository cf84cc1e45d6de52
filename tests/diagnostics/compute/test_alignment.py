"""Toe, thrust, caster and side slip: printed values, the code's own table, and a turned axis."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from diagnostics.compute import alignment
from tests.reference import named, rows

VALUES = rows("alignment")
UNITS = pint.UnitRegistry()
toes = st.floats(math.radians(-3), math.radians(3))
diameters = st.floats(0.25, 0.9)


def value_rows(quantity: str) -> list[dict[str, str]]:
    return [row for row in VALUES if row["quantity"].startswith(quantity)]


def degrees(row: dict[str, str], column: str) -> float:
    return math.radians(float(row[column]))


def in_pint(value: str, unit: str, wanted: str) -> float:
    return float(UNITS.Quantity(float(value), unit).to(wanted).magnitude)


@pytest.mark.parametrize("row", rows("toe"), ids=lambda row: named(row, "degrees", "diameter"))
def test_toe_is_the_printed_length_and_angle(row: dict[str, str]) -> None:
    diameter = in_pint(row["diameter"], row["diameter_unit"], "m")
    length = in_pint(row["length"], row["length_unit"], "m")
    angle = in_pint(row["degrees"], "degree", "radian")
    off = float(row["tolerance"])

    if row["length_unit"] == "mm":
        assert alignment.toe_length(angle, diameter) * 1000 == pytest.approx(length * 1000, abs=off)
    else:
        found = math.degrees(alignment.toe_angle(length, diameter))
        assert found == pytest.approx(float(row["degrees"]), abs=off)


@given(angle=toes, diameter=diameters)
def test_toe_as_a_length_and_back_is_the_same_angle(angle: float, diameter: float) -> None:
    length = alignment.toe_length(angle, diameter)
    assert alignment.toe_angle(length, diameter) == pytest.approx(angle, abs=1e-12)


@given(left=toes, right=toes, turned=toes)
def test_turning_the_steering_wheel_leaves_the_total_toe(
    left: float, right: float, turned: float
) -> None:
    straight = alignment.total_toe(left, right)
    assert alignment.total_toe(left + turned, right - turned) == pytest.approx(straight, abs=1e-12)


@given(toe=toes, diameter=diameters)
def test_the_gap_between_two_wheels_alike_gives_their_total(toe: float, diameter: float) -> None:
    gap = 2 * alignment.toe_length(toe, diameter)
    found = alignment.total_toe_of_gap(gap, diameter)
    assert found == pytest.approx(alignment.total_toe(toe, toe), abs=1e-12)


@pytest.mark.parametrize("row", value_rows("thrust"), ids=lambda row: named(row, "quantity"))
def test_the_thrust_angle_has_the_sign_of_its_convention(row: dict[str, str]) -> None:
    found = alignment.thrust(degrees(row, "first"), degrees(row, "second"))
    by_sign = found.by("right" if row["quantity"].endswith("right") else "left")
    assert math.degrees(by_sign) == pytest.approx(float(row["result"]), abs=1e-9)
    assert "to the right" in found.reason


def test_the_thrust_line_is_where_the_two_wheels_point_between_them() -> None:
    """Each wheel's own heading from a rotation; the mean direction is the bisector."""
    left, right = math.radians(0.20), math.radians(0.06)
    ahead = np.array([1.0, 0.0, 0.0])  # x ahead, y left, z up
    headings = [Rotation.from_euler("z", turn).apply(ahead) for turn in (-left, right)]
    bisector = np.sum(headings, axis=0)

    to_right = -math.atan2(bisector[1], bisector[0])

    assert alignment.thrust(left, right).to_right == pytest.approx(to_right, abs=1e-12)


@given(left=toes, right=toes)
def test_changing_sides_turns_the_thrust_angle_round(left: float, right: float) -> None:
    one, other = alignment.thrust(left, right), alignment.thrust(right, left)
    assert one.to_right == -other.to_right
    assert one.by("left") == -one.by("right") or one.to_right == 0


@pytest.mark.parametrize("row", value_rows("included"), ids=lambda row: named(row, "quantity"))
def test_the_included_angle_adds_the_camber_with_its_sign(row: dict[str, str]) -> None:
    found = alignment.included_angle(degrees(row, "first"), degrees(row, "second"))
    assert math.degrees(found) == pytest.approx(float(row["result"]))


@given(inclination=toes, one=toes, other=toes)
def test_the_included_angle_is_additive(inclination: float, one: float, other: float) -> None:
    whole = alignment.included_angle(inclination, one + other)
    assert whole == pytest.approx(alignment.included_angle(inclination, one) + other, abs=1e-12)


@pytest.mark.parametrize("row", value_rows("caster"), ids=lambda row: named(row, "first", "second"))
def test_caster_by_a_sweep_is_the_worked_value(row: dict[str, str]) -> None:
    found = alignment.caster_of_sweep(degrees(row, "first"), 0.0, degrees(row, "second"))
    off = float(row["tolerance"])
    assert math.degrees(found) == pytest.approx(float(row["result"]), abs=off)


def camber_when_turned(caster: float, inclination: float, turned_out: float) -> float:
    """Camber of a left wheel, upright when straight, turned about its axis. x ahead, y left, z up.

    The axis leans back by the caster and inwards by the inclination; a right-handed turn about z
    points the left wheel out. Camber: the top of the wheel leans outwards, to the left.
    """
    axis = np.array([-math.tan(caster), -math.tan(inclination), 1.0])
    axis /= np.linalg.norm(axis)
    spindle = Rotation.from_rotvec(axis * turned_out).apply(np.array([0.0, 1.0, 0.0]))
    return -math.asin(spindle[2])


@pytest.mark.parametrize("caster", [-2.0, 0.0, 1.0, 3.5, 7.0])
@pytest.mark.parametrize("inclination", [0.0, 8.0, 13.0])
@pytest.mark.parametrize("sweep", [10.0, 20.0])
def test_a_sweep_finds_the_caster_of_an_axis_turned_in_space(
    caster: float, inclination: float, sweep: float
) -> None:
    lean, inwards, turn = (math.radians(angle) for angle in (caster, inclination, sweep))

    found = alignment.caster_of_sweep(
        camber_when_turned(lean, inwards, turn), camber_when_turned(lean, inwards, -turn), turn
    )

    # The formula is for small angles: 4 % at 13 degrees of inclination.
    assert math.degrees(found) == pytest.approx(caster, rel=0.04, abs=1e-9)


@pytest.mark.parametrize("row", rows("side_slip"), ids=lambda row: named(row, "wheel_in", "toe_in"))
def test_side_slip_is_the_code_s_own_table(row: dict[str, str]) -> None:
    sixteenths = Fraction(row["toe_in"])
    total = alignment.total_toe_of_gap(float(sixteenths), float(row["tyre_in"]))

    feet_per_mile = alignment.side_slip_of(total) * 5280

    # The columns are multiples of a first one that is rounded or cut to a tenth.
    assert feet_per_mile == pytest.approx(float(row["ft_per_mi"]), abs=0.1 * float(16 * sixteenths))


@given(total=toes)
def test_side_slip_and_back_is_the_same_toe(total: float) -> None:
    slip = alignment.side_slip_of(total)
    assert alignment.toe_of_side_slip(slip) == pytest.approx(total, abs=1e-12)


@pytest.mark.parametrize("row", value_rows("minutes"), ids=lambda row: named(row, "first"))
def test_degrees_are_written_in_minutes(row: dict[str, str]) -> None:
    found = alignment.degrees_minutes(degrees(row, "first"))
    assert (found.negative, found.degrees, found.minutes) == (False, 0, int(row["result"]))


@given(minutes=st.integers(-6000, 6000))
def test_every_whole_minute_is_found_again(minutes: int) -> None:
    found = alignment.degrees_minutes(math.radians(minutes / 60))
    assert (60 * found.degrees + found.minutes) * (-1 if found.negative else 1) == minutes
    assert 0 <= found.minutes < 60


def test_toe_in_service_is_half_as_much_again() -> None:
    (row,) = value_rows("toe in service")
    most = alignment.most_toe_in_service(-degrees(row, "first"))
    assert math.degrees(most) == pytest.approx(float(row["result"]))


@pytest.mark.parametrize(
    ("inclinations", "cambers", "kind"),
    [
        ((13.0, 13.0), (-0.5, -0.4), "alike"),
        ((13.0, 13.0), (-0.5, 0.5), "bent"),
        ((13.0, 12.0), (-0.5, 0.5), "moved"),
        ((13.5, 13.0), (-0.5, -0.5), "alike"),
    ],
)
def test_included_angles_part_a_bent_upright_from_a_moved_mounting(
    inclinations: tuple[float, float], cambers: tuple[float, float], kind: str
) -> None:
    def in_radians(pair: tuple[float, float]) -> tuple[float, float]:
        return math.radians(pair[0]), math.radians(pair[1])

    found = alignment.compare_uprights(in_radians(inclinations), in_radians(cambers))
    assert found.kind == kind


@pytest.mark.parametrize("nonsense", [0.0, -0.4, math.nan, math.inf])
def test_it_refuses_a_diameter_that_cannot_be(nonsense: float) -> None:
    refusals: tuple[Callable[[], object], ...] = (
        lambda: alignment.toe_length(0.01, nonsense),
        lambda: alignment.toe_angle(0.001, nonsense),
        lambda: alignment.total_toe_of_gap(0.001, nonsense),
    )
    for refuse in refusals:
        with pytest.raises(ValueError, match="diameter"):
            refuse()


@pytest.mark.parametrize("nonsense", [math.nan, 2.0, -2.0])
def test_it_refuses_angles_and_lengths_that_cannot_be(nonsense: float) -> None:
    refusals: tuple[Callable[[], object], ...] = (
        lambda: alignment.toe_length(nonsense, 0.4),
        lambda: alignment.toe_angle(nonsense, 0.4),
        lambda: alignment.side_slip_of(nonsense),
        lambda: alignment.toe_of_side_slip(nonsense),
        lambda: alignment.caster_of_sweep(0.01, 0.0, nonsense),
    )
    for refuse in refusals:
        with pytest.raises(ValueError, match="must"):
            refuse()
