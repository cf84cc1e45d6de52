"""Copper against IEC 60028 as published."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.electrics import resistance_at_20c
from tests.reference import named, rows


@pytest.mark.parametrize(
    "row", rows("copper"), ids=lambda row: named(row, "ohms_at_reference", "celsius")
)
def test_both_temperatures_of_a_published_pair_give_one_resistance(row: dict[str, str]) -> None:
    reference = resistance_at_20c(float(row["ohms_at_reference"]), float(row["reference_celsius"]))

    found = resistance_at_20c(float(row["ohms"]), float(row["celsius"]))

    assert found == pytest.approx(reference, abs=float(row["tolerance"]))


@given(ohms=st.floats(0.01, 1e6), celsius=st.floats(-60, 200))
def test_it_agrees_with_the_rule_of_234_and_a_half(ohms: float, celsius: float) -> None:
    # R2 = R1 (234.5 + T2) / (234.5 + T1) for copper [M]: the same line, differently written.
    other = ohms * (234.5 + 20) / (234.5 + celsius)
    assert resistance_at_20c(ohms, celsius) == pytest.approx(other, rel=2e-4)


def test_at_20_degrees_nothing_changes() -> None:
    assert resistance_at_20c(1385.0, 20.0) == 1385.0


@pytest.mark.parametrize(
    ("ohms", "celsius"),
    [(-1.0, 20.0), (math.nan, 20.0), (math.inf, 20.0), (1.0, -61.0), (1.0, 201.0), (1.0, math.nan)],
)
def test_it_refuses_what_cannot_be(ohms: float, celsius: float) -> None:
    with pytest.raises(ValueError, match=r"ohms|temperature"):
        resistance_at_20c(ohms, celsius)
    assert resistance_at_20c(1.0, 200.0) > 0
