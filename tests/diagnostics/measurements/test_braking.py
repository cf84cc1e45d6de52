"""Brake forces as they are typed: which rule, its classes, and what is left out of account."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import pytest

from diagnostics.compute.verdict import Limit, VerdictKind, judge
from diagnostics.measurements.braking import BRAKE_FORCES, KINDS, PARKING_BRAKE_FORCES
from diagnostics.measurements.known import Known, KnownFigure
from diagnostics.measurements.outcome import Figure, Outcome
from shop.charting import Bars
from tests.diagnostics.measurements.brakes_typed import (
    Typed,
    figure,
    refusal,
    says,
    tones,
    worked,
)
from tests.reference import named, rows

GB = Known(brake_rule="gb", first_used=date(2014, 3, 2))
US = Known(brake_rule="us")
FOUR = {"LF": 280, "RF": 270, "LR": 160, "RR": 150}


def _forces(forces: Mapping[str, float], *, unit: str = "kgf", locked: str = "") -> Typed:
    typed = {"forces-force-unit": unit, "system": "service", "steered": "front", "weight": "1450"}
    for wheel, force in forces.items():
        typed[f"forces-{wheel}-force"] = f"{force:g}"
    for wheel in ("LF", "RF", "LR", "RR"):
        typed[f"forces-{wheel}-locked"] = "yes" if wheel in locked.split() else "no"
    return typed


def _verdict(found: Figure) -> VerdictKind:
    assert found.allowed is not None
    limit = Limit(found.allowed.low, found.allowed.high, found.allowed.unit)
    return judge(found.value, limit).kind


def _standing(outcome: Outcome, row: str) -> str:
    assert outcome.table is not None
    (found,) = [cells[3] for cells in outcome.table.rows if cells[0].startswith(row)]
    return found


def test_all_are_made_on_the_whole_car_and_carry_cautions() -> None:
    assert {kind.place for kind in KINDS} == {"car"}
    assert all(kind.cautions for kind in KINDS)


# ---- the rule ----


def test_the_published_efficiency_comes_out_and_meets_58_per_cent() -> None:
    found = worked(BRAKE_FORCES, _forces(FOUR), GB)
    whole = figure(found, "brake_efficiency")

    assert round(whole.value * 100, 2) == 59.31
    assert whole.keep
    assert whole.allowed is not None
    assert whole.allowed.low == 0.58
    assert "inspection manual" in whole.allowed.source
    assert tones(found) == ["good"] * 3
    assert "860 kgf" in whole.reason.replace("\u00a0", " ")


@pytest.mark.parametrize(
    "row", rows("brake_sides"), ids=lambda row: named(row, "percent", "steered")
)
def test_the_published_boundaries_of_imbalance_come_out_as_typed(row: dict[str, str]) -> None:
    axle, pair = ("front", ("LF", "RF")) if row["steered"] == "yes" else ("rear", ("LR", "RR"))
    forces = dict(zip(pair, (float(row["one_kgf"]), float(row["other_kgf"])), strict=True))

    found = worked(BRAKE_FORCES, _forces(forces), GB)
    side = figure(found, "brake_imbalance", axle)

    decimals = len(row["percent"].partition(".")[2])
    assert round(side.value * 100, decimals) == float(row["percent"])
    words = {"disregarded": "left out of account"}
    assert _standing(found, axle.capitalize()) == words.get(row["standing"], row["standing"])
    fails = row["standing"] in {"major", "dangerous"}
    assert (_verdict(side) is VerdictKind.OUTSIDE) is fails
    assert ("By the rule this is dangerous" in says(found)) is (row["standing"] == "dangerous")


def test_a_rear_axle_that_steers_is_judged_as_one() -> None:
    forces = _forces({"LR": 200, "RR": 99})
    assert "dangerous" not in says(worked(BRAKE_FORCES, forces, GB))
    assert "dangerous" in says(worked(BRAKE_FORCES, forces | {"steered": "both"}, GB))


@pytest.mark.parametrize(
    ("first_used", "choice", "needed"),
    [
        (date(2010, 9, 1), "", 0.58),
        (date(2010, 8, 31), "", 0.50),
        (None, "new", 0.58),
        (None, "old", 0.50),
        (date(2014, 3, 2), "old", 0.50),
    ],
)
def test_the_required_figure_goes_by_the_first_use(
    first_used: date | None, choice: str, needed: float
) -> None:
    known = replace(GB, first_used=first_used)
    found = worked(BRAKE_FORCES, _forces(FOUR) | {"first_used": choice}, known)
    allowed = figure(found, "brake_efficiency").allowed
    assert allowed is not None
    assert allowed.low == needed


def test_a_choice_that_the_record_speaks_against_is_said() -> None:
    known = replace(GB, first_used=date(2008, 5, 1))
    found = worked(BRAKE_FORCES, _forces(FOUR) | {"first_used": "new"}, known)
    assert "first used on 1 May 2008" in says(found)


def test_the_gb_rule_asks_for_the_first_use_when_nobody_knows_it() -> None:
    known = Known(brake_rule="gb")
    assert "first_used" in refusal(BRAKE_FORCES, _forces(FOUR), known)
    assert worked(BRAKE_FORCES, _forces(FOUR) | {"first_used": "new"}, known).figures


def test_the_choice_on_the_form_goes_before_the_workshops() -> None:
    forces = _forces({"LF": 300, "RF": 215, "LR": 160, "RR": 150})
    assert _standing(worked(BRAKE_FORCES, forces, GB), "Front") == "met"
    by_us = worked(BRAKE_FORCES, forces | {"rule": "us"}, GB)
    assert _standing(by_us, "Front") == "more than allowed"
    assert "from memory" in says(by_us)
    by_none = worked(BRAKE_FORCES, forces | {"rule": "none"}, GB)
    assert _standing(by_none, "Front") == "not judged"


def test_without_a_rule_it_asks_to_choose_one_and_judges_nothing() -> None:
    found = worked(BRAKE_FORCES, _forces(FOUR, unit="daN"), Known())
    assert set(tones(found)) == {"unknown"}
    assert "in its settings" in says(found)
    assert all(one.allowed is None for one in found.figures)
    assert "N" in {chart.y.unit for chart in found.charts}


def test_the_american_rule_judges_the_sides_and_no_efficiency() -> None:
    found = worked(BRAKE_FORCES, _forces({"LF": 400, "RF": 300, "LR": 200, "RR": 149}), US)
    assert _standing(found, "Front") == "met"
    assert _standing(found, "Rear") == "more than allowed"
    assert figure(found, "brake_efficiency").allowed is None
    assert {chart.y.unit for chart in found.charts} == {"lbf"}


# ---- efficiency ----


@pytest.mark.parametrize(
    ("each", "standing", "verdict"),
    [
        (145.0, "met", VerdictKind.NEAR),
        (144.9, "major", VerdictKind.OUTSIDE),
        (72.5, "major", VerdictKind.OUTSIDE),
        (72.4, "dangerous", VerdictKind.OUTSIDE),
    ],
)
def test_efficiency_exactly_on_58_and_on_29_per_cent(
    each: float, standing: str, verdict: VerdictKind
) -> None:
    """Four equal wheels on 1000 kg."""
    forces = _forces(dict.fromkeys(FOUR, each)) | {"weight": "1000"}
    found = worked(BRAKE_FORCES, forces, GB)
    assert _standing(found, "Efficiency") == standing
    assert _verdict(figure(found, "brake_efficiency")) is verdict


def test_more_than_half_of_the_wheels_locked_is_taken_as_met() -> None:
    weak = dict.fromkeys(FOUR, 60.0)
    three = worked(BRAKE_FORCES, _forces(weak, locked="LF RF LR"), GB)
    assert _standing(three, "Efficiency") == "met"
    assert _verdict(figure(three, "brake_efficiency")) is VerdictKind.WITHIN
    assert "more than half" in says(three)
    two = worked(BRAKE_FORCES, _forces(weak, locked="LF RF"), GB)
    assert _standing(two, "Efficiency") == "dangerous"


def test_a_locked_lower_wheel_leaves_its_axle_out() -> None:
    found = worked(BRAKE_FORCES, _forces({"LF": 300, "RF": 100}, locked="RF"), GB)
    assert _standing(found, "Front") == "left out of account"
    assert "the right wheel, the lower one, locked" in says(found)
    assert "locked" in str(found.charts[0].layers[0])


def test_without_a_weight_or_with_one_axle_only_the_sides_are_told() -> None:
    no_weight = worked(BRAKE_FORCES, _forces(FOUR) | {"weight": ""}, GB)
    assert "Without the test weight" in says(no_weight)
    one_axle = worked(BRAKE_FORCES, _forces({"LF": 280, "RF": 270}), GB)
    assert "all four wheels" in says(one_axle)
    for found in (no_weight, one_axle):
        assert {one.quantity for one in found.figures} == {"brake_imbalance"}


def test_pounds_and_kilograms_are_one_efficiency() -> None:
    in_lb = {"weight": "3196.7", "weight-unit": "lb"}
    found = worked(BRAKE_FORCES, _forces(FOUR) | in_lb, GB)
    assert figure(found, "brake_efficiency").value == pytest.approx(0.5931, abs=1e-4)


def test_the_swing_within_a_turn_is_told_by_wheel() -> None:
    least = {"forces-LF-least": "210", "forces-least-unit": "kgf"}
    found = worked(BRAKE_FORCES, _forces(FOUR) | least, GB)
    assert figure(found, "brake_force_variation", "LF").value == 0.25
    assert "forces-LF-least" in refusal(
        BRAKE_FORCES, _forces(FOUR) | {**least, "forces-LF-least": "300"}, GB
    )


def test_the_low_wheel_of_an_axle_that_is_out_is_marked() -> None:
    found = worked(BRAKE_FORCES, _forces({"LF": 320, "RF": 220, "LR": 160, "RR": 150}), GB)
    (bars,) = [layer for layer in found.charts[0].layers if isinstance(layer, Bars)]
    assert bars.roles == ("value", "bad", "value", "value")
    assert found.findings[0].position == "front"
    assert "does not show which" in found.findings[0].says


def test_what_is_dangerous_is_said_before_what_is_major() -> None:
    found = worked(BRAKE_FORCES, _forces({"LF": 300, "RF": 140, "LR": 160, "RR": 150}), GB)
    assert tones(found) == ["bad", "bad", "good"]
    assert found.findings[0].position == "front"
    assert "dangerous" in found.findings[0].says
    assert "major" in found.findings[1].says


def test_a_single_wheel_of_an_axle_is_refused_beside_the_other() -> None:
    found = refusal(BRAKE_FORCES, _forces({"LF": 300, "RF": 300, "LR": 10}), GB)
    assert "forces-RR-force" in found
    both = _forces({"LF": 300, "RF": 300, "LR": 10, "RR": 0})
    assert worked(BRAKE_FORCES, both, GB).figures


def test_the_secondary_brake_needs_a_quarter() -> None:
    """25 % [R]."""
    typed = _forces({"LF": 182, "RF": 182}) | {"system": "secondary"}
    found = worked(BRAKE_FORCES, typed, GB)
    assert _standing(found, "Efficiency") == "met"
    weak = _forces({"LF": 180, "RF": 180}) | {"system": "secondary"}
    assert _standing(worked(BRAKE_FORCES, weak, GB), "Efficiency") == "major"
    # It asks for no first use: the figure does not depend on it.
    assert worked(BRAKE_FORCES, typed, replace(GB, first_used=None)).figures


# ---- parking brake ----


@pytest.mark.parametrize(
    ("each", "standing"), [(80.0, "met"), (79.9, "major"), (40.0, "major"), (39.9, "dangerous")]
)
def test_the_parking_brake_needs_16_per_cent(each: float, standing: str) -> None:
    typed = _forces({"LR": each, "RR": each}) | {"weight": "1000"}
    found = worked(PARKING_BRAKE_FORCES, typed, GB)
    assert _standing(found, "Efficiency") == standing
    assert figure(found, "parking_efficiency").keep


def test_a_parking_brake_that_locks_both_wheels_is_taken_as_met() -> None:
    typed = _forces({"LR": 60, "RR": 55}, locked="LR RR")
    assert _standing(worked(PARKING_BRAKE_FORCES, typed, GB), "Efficiency") == "met"


def test_a_parking_brake_on_one_side_only_is_said_and_not_judged() -> None:
    found = worked(PARKING_BRAKE_FORCES, _forces({"LR": 240, "RR": 0}), GB)
    assert "The right wheel does not brake" in says(found)
    side = figure(found, "parking_imbalance", "rear")
    assert side.allowed is None
    assert not side.keep


def test_no_force_at_all_is_dangerous_and_divides_nothing_by_nought() -> None:
    found = worked(BRAKE_FORCES, _forces(dict.fromkeys(FOUR, 0.0)), GB)
    assert _standing(found, "Efficiency") == "dangerous"
    assert figure(found, "brake_imbalance", "front").value == 0


def test_the_platforms_weight_fills_the_field_in() -> None:
    (weight,) = [one for one in BRAKE_FORCES.fields if one.name == "weight"]
    assert getattr(weight, "known", "") == "test_weight"
    assert KnownFigure(1450, "kg", "demo").value
