"""Voltage drops against the figures of the trade, a circuit added up, grounds compared."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.electrics_drop import (
    FAULT,
    METER_RESOLUTION,
    RULES,
    GroundPoint,
    Place,
    budget,
    compare_grounds,
    judge_drop,
)
from tests.reference import named, rows

LIMITS = rows("voltage_drop_limits")
SORTS = sorted(RULES)


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: named(row, "rule"))
def test_a_figure_is_the_published_one(row: dict[str, str]) -> None:
    if row["rule"] == "fault":
        assert float(row["volts"]) == FAULT
        return
    rule = RULES[row["rule"]]

    assert rule.high == float(row["volts"])
    assert rule.mark == row["mark"]


def test_every_figure_has_its_published_row() -> None:
    assert {row["rule"] for row in LIMITS} == {*RULES, "fault"}


@pytest.mark.parametrize("key", SORTS)
def test_on_the_figure_is_good_and_above_it_is_not(key: str) -> None:
    found = RULES[key]
    edge = found.high or METER_RESOLUTION

    assert judge_drop(edge, found).state == "good"
    bad = judge_drop(edge + 0.001, found)
    assert bad.state == "bad"
    assert bad.excess == pytest.approx(edge + 0.001 - found.high)
    assert judge_drop(1.0, found).state == "bad"
    fault = judge_drop(1.001, found)
    assert fault.state == "fault"
    assert "fault in any circuit" in fault.reason


@pytest.mark.parametrize("volts", [-0.001, math.nan, math.inf])
def test_a_drop_below_nought_is_refused(volts: float) -> None:
    with pytest.raises(ValueError, match="leads"):
        judge_drop(volts, RULES["cable"])
    with pytest.raises(ValueError, match="leads"):
        budget([Place("Wire", "cable", volts)])
    with pytest.raises(ValueError, match="leads"):
        compare_grounds([GroundPoint("Stud", volts)])


def test_a_circuit_adds_up_and_its_greatest_loss_is_named() -> None:
    places = [
        Place("Fuse", "heavy_connection", 0.05),
        Place("Relay contacts", "contacts", 0.62),
        Place("Ground stud", "ground", 0.08),
    ]

    found = budget(places, source_volts=12.6, load_volts=11.6)

    assert found.supply == pytest.approx(0.67)
    assert found.ground == pytest.approx(0.08)
    assert found.total == pytest.approx(0.75)
    assert found.shares[0][0].name == "Relay contacts"
    assert found.shares[0][1] == pytest.approx(0.62 / 0.75)
    assert found.missing == pytest.approx(0.25)
    assert found.reason == (
        "0.750\u00a0V is lost in all, most of it here: Relay contacts, 0.620\u00a0V or 83\u00a0%."
    )


def test_nothing_lost_has_no_greatest_share() -> None:
    found = budget([Place("Wire", "cable", 0.0)])

    assert (found.total, found.shares, found.missing) == (0.0, (), None)
    assert found.reason == "Nothing is lost along the circuit."


def test_a_circuit_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one place"):
        budget([])
    with pytest.raises(ValueError, match="not a sort"):
        budget([Place("Wire", "string", 0.1)])


DROPS = st.lists(
    st.builds(Place, st.just("A place"), st.sampled_from(SORTS), st.floats(0, 5)),
    min_size=1,
    max_size=9,
)


@given(places=DROPS, load=st.floats(0, 14))
def test_a_closed_circuit_leaves_nothing_missing(places: list[Place], load: float) -> None:
    whole = math.fsum(place.drop for place in places)

    found = budget(places, source_volts=load + whole, load_volts=load)

    assert found.total == pytest.approx(whole)
    assert found.missing == pytest.approx(0.0, abs=1e-9)
    if found.shares:
        assert math.fsum(share for _place, share in found.shares) == pytest.approx(1.0)
        assert [share for _p, share in found.shares] == sorted(
            (share for _p, share in found.shares), reverse=True
        )


def test_grounds_are_put_in_order_and_the_step_is_found() -> None:
    found = compare_grounds(
        [
            GroundPoint("Module pin", 0.240),
            GroundPoint("Engine block", 0.020),
            GroundPoint("Body stud", 0.035),
        ],
        amps=20.0,
    )

    assert [point.name for point in found.points] == ["Engine block", "Body stud", "Module pin"]
    assert found.spread == pytest.approx(0.220)
    assert found.step is not None
    assert (found.step.better.name, found.step.worse.name) == ("Body stud", "Module pin")
    assert found.step.drop == pytest.approx(0.205)
    assert found.step.ohms == pytest.approx(0.01025)


def test_one_ground_has_nothing_to_be_compared_with() -> None:
    found = compare_grounds([GroundPoint("Stud", 0.05)])

    assert found.step is None
    assert found.spread == 0.0


@pytest.mark.parametrize("amps", [0.0, -1.0, math.nan])
def test_grounds_need_a_load(amps: float) -> None:
    with pytest.raises(ValueError, match="load"):
        compare_grounds([GroundPoint("Stud", 0.05)], amps)
    with pytest.raises(ValueError, match="at least one"):
        compare_grounds([])
