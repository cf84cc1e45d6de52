"""Brake fluid against the grades as quoted, and against pint for their Fahrenheit figures."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.fluids import GRADES, judge_boiling, judge_water
from shop.units import to_si
from tests.reference import named, rows

PINT = pint.UnitRegistry()


@pytest.mark.parametrize("row", rows("brake_fluid_grades"), ids=lambda row: named(row, "name"))
def test_the_grades_as_quoted(row: dict[str, str]) -> None:
    grade = GRADES[row["grade"]]
    assert grade.name == row["name"]
    assert grade.silicone == (row["silicone"] == "yes")
    for which, kelvin in (("dry", grade.dry), ("wet", grade.wet)):
        assert kelvin == to_si(float(row[f"{which}_celsius"]), "degC")
        fahrenheit = PINT.Quantity(float(row[f"{which}_fahrenheit"]), "degF").to("kelvin")
        assert kelvin == pytest.approx(fahrenheit.magnitude, abs=1e-9)


@pytest.mark.parametrize("grade", GRADES.values(), ids=lambda grade: grade.name)
def test_just_below_on_and_above_each_minimum(grade: object) -> None:
    assert isinstance(grade, type(GRADES["dot3"]))
    assert judge_boiling(grade.wet - 0.1, grade).state == "below_wet"
    assert judge_boiling(grade.wet, grade).state == "in_wear"
    assert judge_boiling(grade.dry - 0.1, grade).state == "in_wear"
    assert judge_boiling(grade.dry, grade).state == "as_new"


def test_only_dot_4_has_a_field_figure() -> None:
    assert judge_boiling(to_si(170, "degC"), GRADES["dot4"]).early
    assert not judge_boiling(to_si(180, "degC"), GRADES["dot4"]).early
    assert not judge_boiling(to_si(170, "degC"), GRADES["dot3"]).early


@given(kelvin=st.floats(300, 700), key=st.sampled_from(sorted(GRADES)))
def test_the_share_runs_from_dry_to_wet(kelvin: float, key: str) -> None:
    judged = judge_boiling(kelvin, GRADES[key])
    assert (judged.state == "below_wet") == (judged.share > 1)
    assert (judged.state == "as_new") == (judged.share <= 0)


@pytest.mark.parametrize(
    ("per_cent", "state"),
    [(0.0, "low"), (2.9, "low"), (3.0, "change"), (3.69, "change"), (3.7, "as_wet"), (8, "as_wet")],
)
def test_water_against_the_field_figure_and_the_wet_test(per_cent: float, state: str) -> None:
    assert judge_water(to_si(per_cent, "%")) == state


@pytest.mark.parametrize("bad", [math.nan, math.inf, -0.01, 1.01])
def test_water_that_cannot_be(bad: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 100"):
        judge_water(bad)


@pytest.mark.parametrize("bad", [math.nan, math.inf, 0.0])
def test_a_boiling_point_that_cannot_be(bad: float) -> None:
    with pytest.raises(ValueError, match="absolute nought"):
        judge_boiling(bad, GRADES["dot4"])
