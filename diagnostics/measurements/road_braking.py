"""Braking on the road: mean fully developed deceleration, and the stopping distance. Pure."""

from __future__ import annotations

from diagnostics.compute.braking import STANDARD_GRAVITY, Rule, System
from diagnostics.compute.deceleration import (
    FROM_SHARE,
    TO_SHARE,
    MeanDeceleration,
    Stop,
    from_stop,
    mean_developed,
    stopping_distance,
)
from diagnostics.measurements.brake_rules import (
    FIRST_USED,
    RULE,
    US_STOP_SOURCE,
    about_rule,
    efficiency_allowed,
    percent,
    required,
    rule_of,
)
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from diagnostics.measurements.road_findings import (
    TWENTY_MPH,
    US_DISTANCE,
    at_20,
    from_about_20,
    of_least,
    of_prescribed,
    of_slope,
    of_speed,
    of_us,
    of_whole_stop,
    rate,
)
from diagnostics.measurements.road_pictures import (
    Run,
    approvals,
    distance_by_speed,
    shown_by,
    speed_by_distance,
)
from shop.units import Kind

CAUTIONS = (
    (
        "Before it moves: firm pedal, fluid level, parking brake. First stops at walking pace in "
        "the yard, then a little faster. No test with a warning lamp on when braking itself may be "
        "impaired."
    ),
    (
        "Off the road or on a closed track wherever you can. On a highway, brakes are tried from "
        "about 20 mph and never above 25 mph where California’s Vehicle Code 26456 holds; "
        "elsewhere local law comes first."
    ),
    (
        "Nobody behind you, belts on, nothing loose in the car, a second person to read and write. "
        "Never bring on an antilock stop in traffic."
    ),
)
_US_HAS_NONE = (
    "The US rule sets no mean deceleration; its road test is the stopping distance from 20 mph."
)
_ROAD = "GB road test: decelerometer, level road, about 20 mph (32 km/h), read in a copy."


def _mean(given: Given, known: Known) -> Outcome:
    rule = rule_of(given, known)
    shown = shown_by(rule)
    initial = given.number("initial")
    run_from = given.number_or_none("speed_from")
    run_to = given.number_or_none("speed_to")
    first = FROM_SHARE * initial if run_from is None else run_from
    second = TO_SHARE * initial if run_to is None else run_to
    start, end = given.number("distance_from"), given.number("distance_to")
    slope = given.number_or_none("slope") or 0.0
    with refused_at("distance_to" if end <= start else "initial"):
        found = mean_developed(
            first,
            second,
            start,
            end,
            initial=initial,
            prescribed=given.number_or_none("prescribed"),
            slope=slope,
        )
    _slows(found.value, "slope")
    least = _least(rule, initial, given, known)
    findings = [*of_speed(initial), *of_prescribed(found), *of_least(found, least, rule)]
    if rule is Rule.US:
        findings.append(Finding("unknown", _US_HAS_NONE))
    return Outcome(
        f"Mean fully developed deceleration {rate(found.value)}, "
        f"{percent(found.share_of_gravity)} of gravity.",
        (
            Figure(
                "mean_deceleration",
                "Mean fully developed deceleration",
                found.value,
                "m/s2",
                keep=found.fast_enough is not False,
                decimals=2,
                reason=found.reason,
            ),
            _share(found, "road_efficiency", least),
        ),
        worst_first(findings),
        (
            *about_rule(rule, given, known),
            (
                f"Taken from {shown.speed(first)} to {shown.speed(second)}; the usual marks "
                f"are 80 % and 10 % of the initial speed."
            ),
            *of_slope(found, slope),
        ),
        charts=(speed_by_distance(Run(first, second, start, end, found.as_driven), shown),),
        sources=(
            (
                "Formula, marks and 98 % of the prescribed speed: UN R13 annex 4, 1.1.2, read in a "
                "copy."
            ),
            _ROAD,
        ),
    )


def _stop(given: Given, known: Known) -> Outcome:
    rule = rule_of(given, known)
    shown = shown_by(rule)
    speed, slope = given.number("speed"), given.number_or_none("slope") or 0.0
    with refused_at("distance"):
        found = from_stop(
            speed,
            given.number("distance"),
            thinking=given.number_or_none("thinking") or 0.0,
            slope=slope,
        )
    _slows(found.value, "slope")
    least = _least(rule, speed, given, known)
    level = stopping_distance(speed, found.value)
    needed = _needed(rule, least)
    findings = [*of_speed(speed), *of_us(found, speed, rule), *of_whole_stop(found, least, rule)]
    return Outcome(
        f"{shown.length(found.braking)} from {shown.speed(speed)}: {rate(found.value)} over the "
        f"whole stop, {percent(found.share_of_gravity)} of gravity.",
        _stop_figures(found, speed, rule),
        worst_first(findings),
        (
            *about_rule(rule, given, known),
            (
                "The speed counts twice: 5 % wrong in it makes 10 % in the result. Measure it, "
                "do not take it from the dash."
            ),
            (
                "Over the whole stop the brakes’ build-up counts too, so this is less than the "
                "mean fully developed deceleration of the same stop."
            ),
            *of_slope(found, slope),
        ),
        approvals(speed, shown),
        (distance_by_speed(found.value, (speed, level), needed, shown),),
        ("a = v² / 2d, efficiency = a/g: mechanics, g = 9.80665 m/s².", _ROAD, US_STOP_SOURCE),
    )


# ---- figures ----


def _share(found: MeanDeceleration | Stop, quantity: str, least: float | None) -> Figure:
    """Kept for a run that counts; of a whole stop the deceleration is kept instead."""
    allowed = None
    if least is not None:
        allowed = efficiency_allowed(least, conditions="level road, about 20 mph")
    return Figure(
        quantity,
        "Braking on the road, of gravity",
        found.share_of_gravity,
        "%",
        keep=isinstance(found, MeanDeceleration) and found.fast_enough is not False,
        allowed=allowed,
        reason="Deceleration over g, the same as brake force over weight.",
    )


def _stop_figures(found: Stop, speed: float, rule: Rule | None) -> tuple[Figure, ...]:
    figures = [
        _share(found, "stop_efficiency", None),
        Figure(
            "stop_deceleration",
            "Mean deceleration of the whole stop",
            found.value,
            "m/s2",
            keep=True,
            decimals=2,
            reason=found.reason,
        ),
    ]
    if from_about_20(speed):
        allowed = Allowed("ft", US_STOP_SOURCE, high=US_DISTANCE, conditions="from 20 mph, level")
        figures.insert(
            1,
            Figure(
                "stopping_distance_20mph",
                "Stopping distance brought to 20 mph",
                at_20(found),
                "ft" if rule is Rule.US else "m",
                keep=rule is Rule.US,
                allowed=allowed if rule is Rule.US else None,
                decimals=1,
                reason="The same deceleration from 20 mph on the level.",
            ),
        )
    return tuple(figures)


def _least(rule: Rule | None, speed: float, given: Given, known: Known) -> float | None:
    """The GB efficiency, where the test was made from about the speed that it is meant for."""
    return required(rule, System.SERVICE, given, known) if from_about_20(speed) else None


def _needed(rule: Rule | None, least: float | None) -> float | None:
    """The least deceleration by the rule, for the picture."""
    if rule is Rule.US:
        return TWENTY_MPH**2 / (2 * US_DISTANCE)
    return least * STANDARD_GRAVITY if least is not None else None


def _slows(value: float, field: str) -> None:
    if value <= 0:
        raise InputError("The slope alone would have slowed the car this much: look at it.", field)


# ---- what is asked ----

_FASTEST = 70.0
_SLOPE = Number(
    "slope",
    "Slope of the road",
    Kind.RATIO,
    "%",
    required=False,
    help="Uphill +, downhill −. Empty: level.",
    lowest=-0.25,
    highest=0.25,
)


def _speed(name: str, label: str, *, must: bool = True, hint: str = "") -> Number:
    return Number(
        name,
        label,
        Kind.SPEED,
        "km/h",
        required=must,
        help=hint,
        lowest=0.0,
        highest=_FASTEST,
    )


def _distance(name: str, label: str, hint: str = "") -> Number:
    return Number(name, label, Kind.LENGTH, "m", help=hint, lowest=0.0, highest=500.0)


ROAD_DECELERATION = MeasurementKind(
    key="road_deceleration",
    name="Mean deceleration on the road",
    group=Group.BRAKING,
    purpose="To tell how hard the brakes hold once they have taken hold, without their build-up.",
    fields=(
        _speed("initial", "Initial speed"),
        _speed("speed_from", "First speed", must=False, hint="Empty: 80 % of the initial speed."),
        _distance("distance_from", "Distance at the first speed", "From the brake signal."),
        _speed("speed_to", "Second speed", must=False, hint="Empty: 10 % of the initial speed."),
        _distance("distance_to", "Distance at the second speed"),
        _speed(
            "prescribed", "Prescribed initial speed", must=False, hint="Where a test names one."
        ),
        _SLOPE,
        RULE,
        FIRST_USED,
    ),
    quantities=(
        DerivedQuantity(
            "mean_deceleration", "Mean fully developed deceleration", Kind.ACCELERATION, "m/s2"
        ),
        DerivedQuantity("road_efficiency", "Braking on the road, of gravity", Kind.RATIO, "%"),
    ),
    work_out=_mean,
    cautions=CAUTIONS,
)

STOPPING_DISTANCE = MeasurementKind(
    key="stopping_distance",
    name="Stopping distance",
    group=Group.BRAKING,
    purpose="To tell how hard the car brakes from one speed and one distance, with a tape.",
    fields=(
        _speed("speed", "Speed before braking"),
        _distance("distance", "Distance to standstill"),
        Number(
            "thinking",
            "Thinking time within that distance",
            Kind.TIME,
            "s",
            required=False,
            help="Empty when the distance counts from the pedal.",
            lowest=0.0,
            highest=5.0,
        ),
        _SLOPE,
        RULE,
        FIRST_USED,
    ),
    quantities=(
        DerivedQuantity("stop_efficiency", "Whole stop on the road, of gravity", Kind.RATIO, "%"),
        DerivedQuantity(
            "stop_deceleration", "Mean deceleration of a whole stop", Kind.ACCELERATION, "m/s2"
        ),
        DerivedQuantity(
            "stopping_distance_20mph", "Stopping distance brought to 20 mph", Kind.LENGTH, "m"
        ),
    ),
    work_out=_stop,
    cautions=CAUTIONS,
)
