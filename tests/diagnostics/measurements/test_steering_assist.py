"""Assist by road speed, from what is typed to what it points to."""

from __future__ import annotations

import pytest

from diagnostics.measurements.given import InputError
from diagnostics.measurements.kept import outcome_of, outcome_text
from diagnostics.measurements.known import Known, KnownCurve, KnownFigure
from diagnostics.measurements.outcome import Outcome
from diagnostics.measurements.reading_in import InputErrors, read_typed
from diagnostics.measurements.steering_assist import ASSIST_BY_SPEED
from shop.units import to_si

SPEEDS = (0, 10, 30, 60, 90, 120)
Point = tuple[str, str, str, str]


def curve(key: str, unit: str, values: tuple[float, ...], tolerance: float) -> KnownCurve:
    points = tuple(
        (to_si(speed, "km/h"), to_si(value, unit))
        for speed, value in zip(SPEEDS, values, strict=True)
    )
    return KnownCurve(
        key, "road_speed", points, to_si(tolerance, unit), unit, "km/h", "demo figure"
    )


CURVES = {
    "assist_duty": curve("assist_duty", "%", (0, 0, 15, 35, 50, 60), 5),
    "assist_flow": curve("assist_flow", "l/min", (8.0, 8.0, 7.1, 5.9, 5.1, 4.5), 0.5),
    "assist_pressure": curve("assist_pressure", "bar", (60, 60, 50, 38, 30, 25), 5),
}
WITH_CURVES = Known(curves=CURVES)


def worked(known: Known, *points: Point, **more: str) -> Outcome:
    """Points are (speed, duty, flow, pressure) as typed."""
    typed = {"flag": "none", "fast_turn": "not tried", **more}
    for row, point in enumerate(points, 1):
        for column, text in zip(("speed", "duty", "flow", "pressure"), point, strict=True):
            typed[f"points-{row}-{column}"] = text
    return ASSIST_BY_SPEED.work_out(read_typed(ASSIST_BY_SPEED.fields, typed), known)


def says(outcome: Outcome) -> str:
    return " ".join(finding.says for finding in outcome.findings)


def test_a_car_that_keeps_to_its_curves() -> None:
    found = worked(
        WITH_CURVES, ("0", "0", "8.1", ""), ("60", "36", "5.8", ""), ("120", "58", "4.4", "")
    )

    assert (
        found.says
        == "Duty keeps to its curve at all 3 speeds; flow keeps to its curve at all 3 speeds."
    )
    assert [finding.tone for finding in found.findings] == ["good"]
    assert [(figure.quantity, figure.keep) for figure in found.figures] == [
        ("assist_duty_off", True),
        ("assist_flow_off", True),
    ]
    assert outcome_of(outcome_text(found)) == found


def test_the_function_switched_off_is_told_from_a_stuck_actuator() -> None:
    """The same flow, full at every speed; only the duty and the flag differ."""
    off = worked(
        WITH_CURVES,
        ("0", "0", "8", ""),
        ("60", "0", "8", ""),
        ("120", "0", "8", ""),
        flag="stored",
    )
    stuck = worked(
        WITH_CURVES, ("0", "0", "8", ""), ("60", "35", "8", ""), ("120", "60", "8", ""),
        read_at="plug",
    )  # fmt: skip

    assert "switched off" in says(off)
    assert "do as they are told" in says(off)
    assert "sticks open" in says(stuck)
    assert "switched off" not in says(stuck)


def test_heavy_parking_by_a_weak_pump_is_told_from_heavy_parking_by_a_command() -> None:
    pump = worked(WITH_CURVES, ("0", "0", "5", ""), ("60", "35", "4", ""), felt="heavy_parking")
    command = worked(
        WITH_CURVES, ("0", "35", "5.9", ""), ("60", "35", "5.9", ""), felt="heavy_parking"
    )

    assert "no electrical fault" in says(pump)
    assert "duty at parking speed" in says(command)
    assert "no electrical fault" not in says(command)
    assert "do as they are told" in says(command)


def test_pressure_serves_where_no_flow_was_measured() -> None:
    found = worked(WITH_CURVES, ("5", "0", "", "40"), ("60", "35", "", "30"))
    assert "pressure is still too low" in says(found)
    (duty, pressure) = found.figures
    assert (duty.quantity, pressure.quantity) == ("assist_duty_off", "assist_pressure_off")
    assert pressure.value == to_si(-20, "bar")


def test_the_worst_deviation_is_judged_by_the_tolerance_of_the_curve() -> None:
    (figure,) = worked(WITH_CURVES, ("0", "0", "", ""), ("60", "40", "", "")).figures
    assert figure.allowed is not None
    # Exactly on the edge: the float of 40 % - 35 % must not decide.
    assert figure.value == figure.allowed.high == to_si(5, "%")
    assert figure.allowed.low == -to_si(5, "%")
    said = figure.reason.replace("\u00a0", " ")
    assert said == "At 60 km/h: 40.0 % measured, 35.0 % by the curve."


def test_without_a_curve_it_says_so_and_looks_at_the_way_it_goes() -> None:
    found = worked(Known(), ("0", "0", "8", ""), ("50", "20", "8", ""), ("100", "45", "8", ""))

    assert not found.figures
    assert any("no curve for duty and flow" in note for note in found.notes)
    assert "duty, seen without a curve: it rises" in says(found).lower()
    assert "flow, seen without a curve: it hardly changes" in says(found).lower()
    assert [layer.kind for layer in found.charts[0].layers] == ["line"]


def test_duty_when_parked_is_seen_even_without_a_curve() -> None:
    assert "duty at parking speed" in says(worked(Known(), ("5", "30", "", "")))


def test_the_chart_shows_the_curve_its_band_and_the_points_by_verdict() -> None:
    found = worked(WITH_CURVES, ("0", "0", "8.1", ""), ("60", "35", "8", ""), ("130", "60", "", ""))
    duty, flow = found.charts

    assert [layer.name for layer in flow.layers] == ["Allowed", "Curve", "Within", "Outside"]
    assert [layer.name for layer in duty.layers] == ["Allowed", "Curve", "Within", "Not judged"]
    assert duty.table is not None
    assert duty.table.rows[-1] == ("130", "60.0", "no curve", "not judged")
    assert "60 km/h: 8.00 l/min instead of 5.90 l/min" in flow.says.replace("\u00a0", " ")
    assert any("130" in note for note in found.notes)


def test_the_rate_sensor_is_known_from_the_platform() -> None:
    figure = KnownFigure(None, "", "demo figure", words="fitted")
    known = Known(curves=CURVES, figures={"steering_rate_sensor": figure})
    point = ("60", "35", "", "")

    assert "rate sensor" in says(worked(known, point, fast_turn="same"))
    assert "rate sensor" not in says(worked(WITH_CURVES, point, fast_turn="same"))


def test_fluid_far_from_the_test_temperature_is_noted() -> None:
    found = worked(WITH_CURVES, ("0", "0", "8", ""), fluid="20")
    assert any("20.0" in note and "50 to 60" in note for note in found.notes)
    assert found.temperature_k == to_si(20, "degC")


def test_a_speed_with_nothing_measured_is_refused_beside_its_row() -> None:
    with pytest.raises(InputError) as refused:
        worked(WITH_CURVES, ("0", "0", "", ""), ("60", "", "", ""))
    assert refused.value.field == "points-2-duty"
    assert worked(WITH_CURVES, ("0", "0", "", ""), ("60", "35", "", ""))


def test_a_curve_that_is_none_is_refused_with_a_sentence() -> None:
    broken = curve("assist_duty", "%", (0, 0, 15, 35, 50, 60), 5)
    single = KnownCurve(
        broken.quantity, "road_speed", broken.points[:1], 0.05, "%", "km/h", "demo figure"
    )
    with pytest.raises(InputError, match="two points"):
        worked(Known(curves={"assist_duty": single}), ("0", "0", "", ""))


def test_one_speed_is_told_as_one() -> None:
    said = worked(Known(), ("30", "14", "", "")).says
    assert "one speed" in said
    assert "2 speeds" in worked(Known(), ("30", "14", "", ""), ("60", "30", "", "")).says


def test_a_pressure_that_no_pump_makes_is_refused() -> None:
    typed = {"flag": "none", "fast_turn": "not tried", "points-1-speed": "30"}
    with pytest.raises(InputErrors, match="cannot be above"):
        read_typed(ASSIST_BY_SPEED.fields, typed | {"points-1-pressure": "1500"})
    assert read_typed(ASSIST_BY_SPEED.fields, typed | {"points-1-pressure": "60"})
