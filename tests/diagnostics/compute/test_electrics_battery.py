"""Rest voltage to charge against two published tables."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.electrics_battery import (
    BCI_TABLE,
    CHARGE_FIRST,
    OTHER_TABLE,
    charge_from_rest_voltage,
)
from tests.reference import named, rows

TABLES = rows("battery_rest")
VOLTS = st.floats(10, 14)


@pytest.mark.parametrize("row", TABLES, ids=lambda row: named(row, "table", "volts"))
def test_a_printed_voltage_gives_its_printed_charge(row: dict[str, str]) -> None:
    found = charge_from_rest_voltage(float(row["volts"]))

    share = found.share if row["table"] == "bci" else found.other
    assert share == pytest.approx(float(row["charge_percent"]) / 100)


def test_no_row_is_missing() -> None:
    assert len(TABLES) == len(BCI_TABLE) + len(OTHER_TABLE)
    assert (CHARGE_FIRST, 0.75) in BCI_TABLE


@given(volts=VOLTS)
def test_between_the_rows_it_is_numpy_s_interpolation(volts: float) -> None:
    found = charge_from_rest_voltage(volts)

    for mine, table in ((found.share, BCI_TABLE), (found.other, OTHER_TABLE)):
        across, up = zip(*table, strict=True)
        assert mine == pytest.approx(float(np.interp(volts, across, up)), abs=1e-12)
    assert found.low == found.high == found.share


@given(one=VOLTS, other=VOLTS)
def test_more_volts_never_mean_less_charge(one: float, other: float) -> None:
    low, high = sorted((one, other))
    for mat in (False, True):
        less = charge_from_rest_voltage(low, absorbed_mat=mat)
        more = charge_from_rest_voltage(high, absorbed_mat=mat)
        assert less.share <= more.share
        assert less.other <= more.other
        assert 0 <= less.low <= less.share <= less.high <= 1


def test_an_absorbed_mat_battery_is_a_range() -> None:
    found = charge_from_rest_voltage(12.60, absorbed_mat=True)

    # 12.60 - 0.2 = 12.40 and 12.60 - 0.1 = 12.50 on the flooded table, by hand.
    assert found.low == pytest.approx(0.5 + 0.25 * 0.16 / 0.21)
    assert found.high == pytest.approx(0.75 + 0.25 * 0.05 / 0.20)
    assert charge_from_rest_voltage(12.60).share > found.share


@pytest.mark.parametrize(
    ("volts", "ends"), [(11.5, "below"), (11.89, ""), (12.65, ""), (13, "above")]
)
def test_off_the_table_is_said(volts: float, ends: str) -> None:
    assert charge_from_rest_voltage(volts).ends == ends


@pytest.mark.parametrize("volts", [-0.1, 20.1, math.nan])
def test_no_12_volt_battery_rests_there(volts: float) -> None:
    with pytest.raises(ValueError, match="12 V battery"):
        charge_from_rest_voltage(volts)
