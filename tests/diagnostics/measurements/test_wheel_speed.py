"""The kinds of wheel speed and brake fluid from what is typed to what is said."""

from __future__ import annotations

import pytest

from diagnostics.compute.verdict import Limit
from diagnostics.measurements.fluids import BRAKE_FLUID
from diagnostics.measurements.four_wheels import BY_FREQUENCY, BY_SPEED
from diagnostics.measurements.given import InputError
from diagnostics.measurements.hand_spin import KIND as HAND_SPIN
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownLimit
from diagnostics.measurements.outcome import Outcome
from diagnostics.measurements.reading_in import InputErrors, read_typed
from diagnostics.measurements.wheel_speed import CONVERT, KINDS
from shop.charting import Bars, Level, Line
from shop.units import from_si
from tests.reference import named, rows

WHEELS = ("LF", "RF", "LR", "RR")
PASSENGER = {"tyre": "195/65 R15", "teeth": "48"}


def worked(kind: MeasurementKind, known: Known | None = None, /, **typed: str) -> Outcome:
    fields = {name.replace("__", "-"): text for name, text in typed.items()}
    return kind.work_out(read_typed(kind.fields, fields), known or Known())


def four(kind: MeasurementKind, *sets: str, **typed: str) -> Outcome:
    """Each set is the four values, a dash for a wheel left out."""
    return four_knowing(Known(), kind, *sets, **typed)


def four_knowing(known: Known, kind: MeasurementKind, /, *sets: str, **typed: str) -> Outcome:
    for name, values in zip(("first", "second", "third"), sets, strict=False):
        for wheel, value in zip(WHEELS, values.split(), strict=True):
            if value != "-":
                typed[f"wheels__{wheel}__{name}"] = value
    return worked(kind, known, **typed)


def shown(outcome: Outcome, quantity: str, position: str = "") -> float:
    found = [f for f in outcome.figures if (f.quantity, f.position) == (quantity, position)]
    return from_si(found[0].value, found[0].unit)


def says(outcome: Outcome) -> str:
    return " ".join(finding.says for finding in outcome.findings)


# ---------------------------------------------------------------- conversion


@pytest.mark.parametrize("row", rows("wheel_frequency")[:6], ids=lambda row: named(row, "hertz"))
def test_a_road_speed_becomes_its_frequency_and_back(row: dict[str, str]) -> None:
    wheel = {
        "circumference": row["circumference_m"],
        "circumference__unit": "m",
        "teeth": row["teeth"],
    }
    there = worked(CONVERT, speed=row["speed_kmh"], **wheel)
    back = worked(CONVERT, frequency=row["hertz"], **wheel)
    assert shown(there, "wheel_frequency") == pytest.approx(float(row["hertz"]), abs=0.01)
    assert shown(back, "wheel_road_speed") == pytest.approx(float(row["speed_kmh"]), rel=5e-4)


@pytest.mark.parametrize("row", rows("tyre_sizes")[:5], ids=lambda row: named(row, "size"))
def test_both_circumferences_of_a_published_size(row: dict[str, str]) -> None:
    found = worked(CONVERT, tyre=row["size"], teeth="48", speed="100")
    rolling, plain = float(row["rolling_circumference_mm"]), float(row["circumference_mm"])
    assert shown(found, "rolled_in_one_turn") == pytest.approx(rolling, abs=0.06)
    assert shown(found, "plain_circumference") == pytest.approx(plain, abs=0.06)
    assert shown(found, "rolls_shorter") == pytest.approx(2.9, abs=0.03)
    assert "2.9\u00a0% less than the plain circle" in found.notes[0]


def test_a_measured_pair_is_compared() -> None:
    good = worked(CONVERT, circumference="2000", teeth="48", speed="72", frequency="485")
    bad = worked(CONVERT, circumference="2000", teeth="48", speed="72", frequency="440")
    assert [one.tone for one in good.findings] == ["good"]
    assert [one.tone for one in bad.findings] == ["bad"]
    assert shown(bad, "teeth_implied") == pytest.approx(44)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"tyre": "195/65 R15", "teeth": "48"}, "speed"),
        ({"teeth": "48", "speed": "50"}, "tyre"),
        ({"tyre": "195-65-15", "teeth": "48", "speed": "50"}, "tyre"),
        ({"tyre": "195/65 R15", "teeth": "48", "speed": "0"}, "speed"),
        ({"tyre": "195/65 R15", "teeth": "48", "speed": "50", "frequency": "0"}, "frequency"),
    ],
)
def test_what_does_not_suffice_is_said_beside_its_field(typed: dict[str, str], field: str) -> None:
    with pytest.raises(InputError) as caught:
        worked(CONVERT, **typed)
    assert caught.value.field == field


# ---------------------------------------------------------------- four wheels


def test_one_reading_names_the_wheel_and_draws_four_bars() -> None:
    found = four(BY_SPEED, "50.0 50.1 52.4 50.2", **PASSENGER)

    assert found.says == "Left rear shows 4.6\u00a0% more than the other three."
    assert [one.position for one in found.findings] == ["LR"]
    # The page sets the place before it.
    assert says(found).startswith("Shows 4.6\u00a0% more than the others.")
    kept = {one.position: one for one in found.figures if one.keep}
    assert set(kept) == set(WHEELS)
    assert kept["LR"].value == pytest.approx(52.4 / 50.1 - 1)
    assert kept["LR"].allowed is not None
    assert kept["LR"].allowed.high == pytest.approx(0.015)
    bars = found.charts[0].layers[0]
    assert isinstance(bars, Bars)
    assert bars.roles == ("good", "good", "bad", "good")
    assert any("A second reading at another speed" in note for note in found.notes)


def test_a_smaller_tyre_is_named_with_the_diameter_that_explains_it() -> None:
    # 195/60 R15 is 615.0 mm across, 195/65 R15 634.5 mm: 3.17 % faster.
    found = four(BY_SPEED, "50.0 50.0 51.59 50.0", "80.0 80.0 82.54 80.0", **PASSENGER)
    assert "A tyre 3.1\u00a0% smaller would do it: 615\u00a0mm across" in says(found)
    assert "195/60 R15" in says(found)
    assert "at each speed" in says(found)


def test_the_size_fitted_explains_it_or_does_not() -> None:
    readings = "50.0 50.0 51.59 50.0"
    right = four(BY_SPEED, readings, fitted__LR__tyre="195/60 R15", **PASSENGER)
    wrong = four(BY_SPEED, readings, fitted__LR__tyre="195/50 R15", **PASSENGER)
    assert "which explains it" in says(right)
    assert "does not explain it alone" in says(wrong)


def test_a_ring_with_the_wrong_teeth_is_named_beside_the_tyre() -> None:
    found = four(BY_SPEED, "48.0 48.0 47.0 48.0", "96.0 96.0 94.0 96.0", **PASSENGER)
    assert "a ring of 47 teeth for 48, or one tooth not counted" in says(found)
    assert "do not tell the two apart" in says(found)


def test_a_sensor_that_fails_at_low_speed() -> None:
    weak = four(BY_SPEED, "10.0 10.0 8.0 10.0", "50.0 50.0 50.0 50.0")
    lost = four(BY_SPEED, "6.0 6.0 0 6.0", "50.0 50.0 50.0 50.0")
    assert "Pulses are left out at low speed" in says(weak)
    assert "Shows nothing at 6.00\u00a0km/h and works at higher speed" in says(lost)
    assert shown(lost, "speed_deviation", "LR") == -100


def test_a_silent_wheel() -> None:
    found = four(BY_SPEED, "50.0 50.1 0 50.2")
    assert found.says == "Left rear shows no speed while the others turn."
    assert "It does not show which" in says(found)


def test_more_readings_draw_a_line_for_each_wheel() -> None:
    found = four(BY_SPEED, "80.0 80.0 80.0 80.0", "20.0 20.1 20.0 20.0", "50.0 50.0 50.0 50.0")
    lines = [layer for layer in found.charts[0].layers if isinstance(layer, Line)]
    levels = [layer for layer in found.charts[0].layers if isinstance(layer, Level)]
    assert [line.name for line in lines] == ["Left front", "Right front", "Left rear", "Right rear"]
    assert all([x for x, _ in line.points] == sorted(x for x, _ in line.points) for line in lines)
    assert len(levels) == 2
    assert found.table is not None
    assert all(len(row) == len(found.table.heads) for row in found.table.rows)


def test_a_bend_proves_nothing_and_keeps_nothing() -> None:
    found = four(BY_SPEED, "50.0 52.0 50.1 52.1")
    assert [one.tone for one in found.findings] == ["unknown"]
    assert "in a bend" in says(found)
    assert not any(one.keep for one in found.figures)


def test_an_axle_is_not_decided() -> None:
    found = four(BY_SPEED, "50.0 50.0 52.5 52.5", **PASSENGER)
    assert "The rear wheels show 5.0\u00a0% more than the front ones" in says(found)
    assert "604\u00a0mm across against 635\u00a0mm" in says(found)
    assert "do not tell which axle is right" in says(found)


def test_nothing_agrees_keeps_only_the_silent_wheel() -> None:
    found = four(BY_SPEED, "50.0 54.0 58.0 0")
    assert [one.position for one in found.figures if one.keep] == ["RR"]
    assert found.findings[0].tone == "unknown"


def test_whole_kilometres_an_hour_excuse_one_step() -> None:
    found = four(BY_SPEED, "30 30 31 30")
    assert found.says.startswith("All four wheels agree within 3.3")
    assert any("steps of 1\u00a0km/h" in note for note in found.notes)
    assert found.figures[0].uncertainty == pytest.approx(1 / 30)


def test_miles_an_hour_are_shown_as_typed() -> None:
    found = four(BY_SPEED, "60 60 66 60", wheels__first__unit="mph")
    assert found.table is not None
    assert found.table.rows[2][1] == "66\u00a0mph"


def test_the_catalogues_limit_goes_before_the_rule() -> None:
    limit = KnownLimit(Limit(-0.05, 0.05, "%"), "a page")
    limits = {f"speed_deviation/{wheel}": limit for wheel in WHEELS}
    found = four_knowing(Known(limits=limits), BY_SPEED, "50.0 50.1 52.4 50.2")
    assert all(one.allowed is None for one in found.figures if one.keep)
    bars = found.charts[0].layers[0]
    assert isinstance(bars, Bars)
    assert bars.roles == ("good",) * 4


def test_frequencies_with_other_teeth_at_the_rear() -> None:
    odd = {"fitted__LR__teeth": "44", "fitted__RR__teeth": "44"}
    even = four(BY_FREQUENCY, "480 480 440 440", **odd, **PASSENGER)
    plain = four(BY_FREQUENCY, "480 480 480 430")
    assert even.says.startswith("All four wheels agree")
    # 480 Hz with 48 teeth is ten turns of 1935.2 mm (195/65 R15) in a second.
    assert shown(even, "wheel_road_speed") == pytest.approx(19.352 * 3.6, abs=0.01)
    assert plain.charts[0].x.unit == ""
    with pytest.raises(InputError, match="teeth of the other rings"):
        four(BY_FREQUENCY, "480 480 440 440", **odd)


def test_a_gap_in_a_reading_is_named() -> None:
    with pytest.raises(InputError) as caught:
        four(BY_SPEED, "50 50 50 50", "80 80 - 80")
    assert caught.value.field == "wheels-LR-second"


def test_three_wheels_are_enough_and_two_are_not() -> None:
    assert "less sure" in " ".join(four(BY_SPEED, "50 50 - 55").notes)
    with pytest.raises((InputError, InputErrors)):
        four(BY_SPEED, "50 50 - -")


def test_nothing_that_turns_is_refused() -> None:
    with pytest.raises(InputError, match="nothing to compare"):
        four(BY_SPEED, "0 0 0 0")


# ---------------------------------------------------------------- by hand

SPUN = {"teeth": "48", "turns": "10", "seconds": "10"}


@pytest.mark.parametrize("row", rows("hand_spin"), ids=lambda row: named(row, "millivolts"))
def test_the_printed_ends_are_judged(row: dict[str, str]) -> None:
    found = worked(HAND_SPIN, volts=row["millivolts"], measured_as=row["measured_as"], **SPUN)
    kept = [one for one in found.figures if one.keep]
    assert len(kept) == 1
    assert kept[0].allowed is not None
    assert found.findings[0].tone == ("good" if row["side"] == "within" else "bad")


def test_a_slower_turn_is_brought_to_one_turn_a_second() -> None:
    found = worked(HAND_SPIN, teeth="48", turns="5", seconds="10", volts="150", measured_as="ac")
    assert shown(found, "sensor_output") == pytest.approx(300)
    assert found.findings[0].tone == "good"


def test_the_catalogues_limit_judges_the_voltage() -> None:
    limits = {"sensor_output": KnownLimit(Limit(0.5, None, "mV"), "a page")}
    found = worked(HAND_SPIN, Known(limits=limits), volts="400", measured_as="ac", **SPUN)
    assert found.findings[0].tone == "bad"
    assert next(one for one in found.figures if one.keep).allowed is None


def test_the_frequency_by_hand_is_held_against_the_teeth() -> None:
    assert shown(worked(HAND_SPIN, **SPUN), "wheel_frequency") == pytest.approx(48)
    assert worked(HAND_SPIN, frequency="47", **SPUN).findings[0].tone == "good"
    assert "43.0 teeth a turn" in says(worked(HAND_SPIN, frequency="43", **SPUN))
    assert "no frequency" in says(worked(HAND_SPIN, frequency="0", **SPUN))


def test_an_active_sensor_is_not_judged_by_a_voltage() -> None:
    found = worked(HAND_SPIN, volts="400", sensor="current", **SPUN)
    assert found.findings[0].tone == "unknown"
    assert not any(one.keep for one in found.figures)


def test_volts_without_their_kind_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        worked(HAND_SPIN, volts="400", **SPUN)
    assert caught.value.field == "measured_as"


# ---------------------------------------------------------------- fluid


@pytest.mark.parametrize("row", rows("brake_fluid_grades"), ids=lambda row: named(row, "name"))
def test_each_grade_against_its_own_minimums(row: dict[str, str]) -> None:
    wet, dry = float(row["wet_celsius"]), float(row["dry_celsius"])
    below = worked(BRAKE_FLUID, grade=row["grade"], boiling=f"{wet - 1:g}")
    between = worked(BRAKE_FLUID, grade=row["grade"], boiling=f"{dry - 5:g}")
    new = worked(BRAKE_FLUID, grade=row["grade"], boiling=row["dry_celsius"])
    in_f = worked(
        BRAKE_FLUID, grade=row["grade"], boiling=row["wet_fahrenheit"], boiling__unit="degF"
    )
    assert below.findings[0].tone == "bad"
    assert between.findings[0].tone == ("near" if row["silicone"] == "yes" else "good")
    assert new.findings[0].tone == "good"
    assert in_f.findings[0].tone != "bad"
    assert shown(in_f, "fluid_boiling_point") == pytest.approx(wet)
    assert below.figures[0].allowed is not None
    assert from_si(below.figures[0].allowed.low or 0, "degC") == wet


def test_between_the_two_is_wear_in_service_and_dot_4_has_a_field_figure() -> None:
    found = worked(BRAKE_FLUID, grade="dot4", boiling="170")
    assert found.findings[0].tone == "near"
    assert "80\u00a0% of the way down" in says(found)
    assert "Many shops change DOT 4 below 180\u00a0°C" in says(found)


@pytest.mark.parametrize(
    ("water", "tone"), [("1", "good"), ("3", "near"), ("3.1", "bad"), ("3.7", "bad")]
)
def test_water(water: str, tone: str) -> None:
    found = worked(BRAKE_FLUID, grade="dot4", water=water)
    assert found.findings[0].tone == tone
    assert any("common practice" in source for source in found.sources)


def test_silicone_is_not_judged_by_water() -> None:
    found = worked(BRAKE_FLUID, grade="dot5", water="1")
    assert found.findings[0].tone == "unknown"
    assert not found.figures[0].keep
    assert any("mixes with none" in note for note in found.notes)
    assert any("must not be mixed" in caution for caution in BRAKE_FLUID.cautions)


def test_values_that_do_not_go_together_are_said() -> None:
    found = worked(BRAKE_FLUID, grade="dot4", boiling="240", water="4")
    assert any("do not go together" in note for note in found.notes)


def test_fluid_without_a_value_is_refused() -> None:
    with pytest.raises(InputError, match="boiling point"):
        worked(BRAKE_FLUID, grade="dot4")
    with pytest.raises(InputErrors):
        worked(BRAKE_FLUID, boiling="200")


# ---------------------------------------------------------------- all


def test_every_figure_is_of_a_declared_quantity() -> None:
    outcomes = [
        (CONVERT, worked(CONVERT, speed="50", frequency="400", **PASSENGER)),
        (BY_SPEED, four(BY_SPEED, "50 50 55 50", **PASSENGER)),
        (BY_FREQUENCY, four(BY_FREQUENCY, "480 480 500 480", **PASSENGER)),
        (HAND_SPIN, worked(HAND_SPIN, volts="400", measured_as="ac", tyre="195/65 R15", **SPUN)),
        (HAND_SPIN, worked(HAND_SPIN, volts="400", measured_as="pp", **SPUN)),
        (BRAKE_FLUID, worked(BRAKE_FLUID, grade="dot4", boiling="200", water="2", copper="10")),
    ]
    assert {kind.key for kind, _ in outcomes} == {kind.key for kind in (*KINDS, BRAKE_FLUID)}
    for kind, outcome in outcomes:
        declared = {quantity.key for quantity in kind.quantities}
        assert {figure.quantity for figure in outcome.figures} <= declared
