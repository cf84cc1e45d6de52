"""Braking on the road as it is typed: deceleration, stopping distance, rules and cautions."""

from __future__ import annotations

from datetime import date

import pytest

from diagnostics.compute.verdict import Limit, VerdictKind, judge
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure
from diagnostics.measurements.road_braking import ROAD_DECELERATION, STOPPING_DISTANCE
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
PRINTED = rows("mean_deceleration")[0]


def _run(**other: str) -> Typed:
    usual = {
        "initial": PRINTED["initial_kmh"],
        "distance_from": PRINTED["from_m"],
        "distance_to": PRINTED["to_m"],
    }
    return usual | other


def _stop(speed: str, distance: str, *, units: tuple[str, str] = ("mph", "ft")) -> Typed:
    return {
        "speed": speed,
        "distance": distance,
        "speed-unit": units[0],
        "distance-unit": units[1],
    }


def _verdict(found: Figure) -> VerdictKind:
    assert found.allowed is not None
    limit = Limit(found.allowed.low, found.allowed.high, found.allowed.unit)
    return judge(found.value, limit).kind


def test_both_warn_about_the_road_before_anything_is_typed() -> None:
    for kind in (ROAD_DECELERATION, STOPPING_DISTANCE):
        text = " ".join(kind.cautions)
        assert "26456" in text
        assert "firm pedal" in text
        assert "local law" in text


# ---- mean fully developed deceleration ----


def test_the_printed_deceleration_comes_out_of_the_default_marks() -> None:
    found = worked(ROAD_DECELERATION, _run())
    mean = figure(found, "mean_deceleration")
    assert round(mean.value, 3) == float(PRINTED["m_s2"])
    assert mean.keep
    assert "80.0 km/h to 10.0 km/h" in says(found)
    typed = worked(ROAD_DECELERATION, _run(speed_from="80", speed_to="10"))
    assert figure(typed, "mean_deceleration").value == pytest.approx(mean.value, rel=1e-9)


@pytest.mark.parametrize(("prescribed", "counts"), [("102.04", True), ("102.1", False)])
def test_a_run_below_98_per_cent_of_the_prescribed_speed_does_not_count(
    prescribed: str, counts: bool
) -> None:
    found = worked(ROAD_DECELERATION, _run(prescribed=prescribed))
    assert figure(found, "mean_deceleration").keep is counts
    assert ("does not count" in says(found)) is not counts


@pytest.mark.parametrize(
    ("to", "tone", "verdict"),
    [
        ("7.2", "good", VerdictKind.WITHIN),
        ("8.0", "bad", VerdictKind.OUTSIDE),
        ("13.0", "bad", VerdictKind.OUTSIDE),
    ],
)
def test_from_about_20_mph_the_gb_rule_judges_it(to: str, tone: str, verdict: VerdictKind) -> None:
    """32 km/h, marks at 3 m and here: 24.89/4.2 = 5.93, 24.89/5 = 4.98, 24.89/10 = 2.49 m/s²."""
    found = worked(ROAD_DECELERATION, _run(initial="32", distance_from="3", distance_to=to), GB)
    assert tones(found) == [tone]
    assert _verdict(figure(found, "road_efficiency")) is verdict
    assert ("dangerous" in says(found)) is (to == "13.0")


def test_from_another_speed_it_is_not_judged_and_belongs_on_a_track() -> None:
    found = worked(ROAD_DECELERATION, _run(), GB)
    assert figure(found, "road_efficiency").allowed is None
    assert "closed track" in says(found)
    assert "not judged by it" in says(found)
    # So the first use is not asked for either.
    assert worked(ROAD_DECELERATION, _run(), Known(brake_rule="gb")).figures


def test_the_american_rule_has_no_mean_deceleration() -> None:
    assert "stopping distance from 20 mph" in says(worked(ROAD_DECELERATION, _run(), US))


def test_downhill_the_brakes_do_more_than_the_car_shows() -> None:
    """2 % downhill: 0.196 m/s² by hand."""
    level = figure(worked(ROAD_DECELERATION, _run()), "mean_deceleration").value
    found = worked(ROAD_DECELERATION, _run(slope="-2"))
    assert figure(found, "mean_deceleration").value == pytest.approx(level + 0.1961, abs=1e-4)
    assert "within 1 %" in says(found)


@pytest.mark.parametrize(
    ("other", "field"),
    [
        ({"distance_to": "15"}, "distance_to"),
        ({"speed_from": "120"}, "initial"),
        ({"speed_to": "90"}, "initial"),
        ({"initial": ""}, "initial"),
        ({"slope": "30"}, "slope"),
        ({"initial": "5", "slope": "20"}, "slope"),
    ],
)
def test_it_refuses_a_run_that_is_none(other: Typed, field: str) -> None:
    assert field in refusal(ROAD_DECELERATION, _run(**other))
    assert worked(ROAD_DECELERATION, _run()).figures


# ---- the whole stop ----


@pytest.mark.parametrize(
    "row", rows("decelerations"), ids=lambda row: named(row, "speed", "distance")
)
def test_a_published_stop_comes_out_as_typed(row: dict[str, str]) -> None:
    typed = _stop(row["speed"], row["distance"], units=(row["speed_unit"], row["distance_unit"]))
    found = worked(STOPPING_DISTANCE, typed)
    assert round(figure(found, "stop_deceleration").value, 3) == float(row["m_s2"])
    assert round(figure(found, "stop_efficiency").value * 100, 1) == float(row["percent_g"])


@pytest.mark.parametrize(
    ("speed", "distance", "verdict"),
    [
        ("20", "25", VerdictKind.NEAR),
        ("20", "25.1", VerdictKind.OUTSIDE),
        ("22", "30.25", VerdictKind.NEAR),
        ("18", "20.3", VerdictKind.OUTSIDE),
        ("20", "20", VerdictKind.WITHIN),
    ],
)
def test_25_feet_from_20_mph_is_exactly_allowed(
    speed: str, distance: str, verdict: VerdictKind
) -> None:
    """49 CFR 570.5(d)(2), from memory; other speeds are brought to it."""
    found = worked(STOPPING_DISTANCE, _stop(speed, distance), US)
    at_20 = figure(found, "stopping_distance_20mph")
    assert _verdict(at_20) is verdict
    assert at_20.keep
    assert at_20.unit == "ft"
    assert at_20.allowed is not None
    assert "from memory" in at_20.allowed.source
    assert (tones(found)[0] == "bad") is (verdict is VerdictKind.OUTSIDE)


def test_from_30_mph_the_american_rule_does_not_judge() -> None:
    found = worked(STOPPING_DISTANCE, _stop("30", "50"), US)
    assert "stopping_distance_20mph" not in {one.quantity for one in found.figures}
    assert "closed track" in says(found)


def test_thinking_time_is_taken_out_of_the_distance() -> None:
    """1.0 s and 5.0 m/s² from 50 km/h are 33.18 m [C]."""
    typed = _stop("50", "33.18", units=("km/h", "m")) | {"thinking": "1"}
    found = worked(STOPPING_DISTANCE, typed)
    assert figure(found, "stop_deceleration").value == pytest.approx(5.0, abs=1e-3)
    refused = refusal(STOPPING_DISTANCE, typed | {"thinking": "3"})
    assert "thinking time" in refused["distance"]


@pytest.mark.parametrize(("distance", "tone"), [("6.5", "good"), ("7.0", "near"), ("15", "bad")])
def test_a_tape_does_not_fail_a_car_by_the_gb_rule_unless_it_is_far_below(
    distance: str, tone: str
) -> None:
    found = worked(STOPPING_DISTANCE, _stop("32", distance, units=("km/h", "m")), GB)
    assert tones(found) == [tone]
    assert figure(found, "stop_efficiency").allowed is None


def test_type_approval_is_information_with_its_marks() -> None:
    found = worked(STOPPING_DISTANCE, _stop("100", "40", units=("km/h", "m")))
    assert found.table is not None
    assert "no limit in service" in found.table.caption
    first = found.table.rows[0]
    assert first[1].replace("\u00a0", " ") == "70.0 m"
    assert all("from memory" in row[3] or "second-hand" in row[3] for row in found.table.rows)
