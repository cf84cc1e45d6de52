"""Free play at the rim of the steering wheel, by the rule's table for its size. Pure."""

from __future__ import annotations

from typing import cast

from diagnostics.compute import steering
from diagnostics.compute.verdict import Limit, VerdictKind, judge
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import (
    most_allowed,
    tone_of_verdict,
    tool_uncertainty,
    worst_first,
)
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.units import Kind, format_number, format_value, to_si

MOVING_LINKAGE = (
    "With the engine running keep hands and tools out of the linkage: it crushes fingers."
)
_TAPE = 0.002
"""Expanded uncertainty of a rule held at a steering wheel's rim: common practice, no source."""
_ARC = "Angle of the wheel = 2 × way of its rim ÷ diameter: geometry"
_COLUMN = (
    "Before the steering wheel or column is loosened: battery negative off, wait the maker's time, "
    "and never an ohmmeter on an air-bag circuit."
)

_FIELDS = (
    Number(
        "diameter",
        "Diameter of the steering wheel",
        Kind.LENGTH,
        "mm",
        known="steering_wheel_diameter",
        lowest=0.2,
        highest=0.7,
        usual=(0.3, 0.56),
    ),
    Number(
        "play",
        "Way of the rim without a front wheel moving",
        Kind.LENGTH,
        "mm",
        required=False,
        lowest=0,
        highest=0.5,
        help="Along the rim. Or give the angle below.",
    ),
    Number(
        "play_angle",
        "Or the angle of the steering wheel",
        Kind.ANGLE,
        "deg",
        required=False,
        lowest=0,
        highest=to_si(120, "deg"),
    ),
    Choice(
        "rule",
        "In-service rule",
        (("us", "49 CFR 570.7"), ("gb", "GB test manual, 2012 text")),
        required=False,
        known="brake_rule",
    ),
    Choice(
        "gear",
        "Steering gear",
        (
            ("rack", "Rack and pinion"),
            ("joints", "Rack with several joints before it"),
            ("box", "Steering box, no rack"),
        ),
        required=False,
        known="steering_gear",
        help="The GB figure depends on it.",
    ),
    Choice(
        "engine",
        "Engine",
        (
            ("running", "Running"),
            ("unassisted", "Off, no power steering fitted"),
            ("off", "Off"),
        ),
    ),
    Choice(
        "locks",
        "Turned from lock to lock",
        (
            ("free", "Freely both ways"),
            ("binds", "Binds in one place"),
            ("stiff", "Stiff everywhere"),
            ("not turned", "Not turned"),
        ),
        default="not turned",
    ),
    Number(
        "ratio",
        "Overall steering ratio",
        Kind.COUNT,
        "count",
        required=False,
        known="steering_ratio",
        lowest=1,
        highest=40,
    ),
)
_LOCKS = {
    "free": Finding("good", "The wheel turns freely from lock to lock."),
    "binds": Finding(
        "bad",
        "The wheel binds in one place. 49 CFR 570.7(c) asks for free turning to both ends. This "
        "points to a bent rack, a tight joint or a column joint; take the track rods off and turn "
        "again to part the gear from the joints.",
    ),
    "stiff": Finding(
        "bad",
        "The wheel is stiff all the way. This points to ball joints, strut tops or the column "
        "before the gear, and to low tyre pressures. Which of them is not shown.",
    ),
    "not turned": Finding("unknown", "Free turning from lock to lock was not looked at."),
}


def free_play(given: Given, known: Known) -> Outcome:
    """Free play as a way and an angle, judged by the rule for this steering wheel."""
    diameter = given.number("diameter")
    path = _path(given, diameter)
    angle = steering.rim_angle(path, diameter)
    limit = _free_play_limit(given, known, diameter)
    judged = given.choice("engine") != "off"
    uncertainty = tool_uncertainty("steering_free_play", known, _TAPE)
    figure = Figure(
        quantity="steering_free_play",
        name="Free play at the steering wheel rim",
        value=path,
        unit="mm",
        decimals=1,
        keep=judged,
        allowed=Allowed(unit="mm", source=limit.source, high=limit.most, conditions=limit.reason)
        if judged
        else None,
        uncertainty=uncertainty,
        reason=limit.reason,
    )
    shown = format_value(path, "mm", decimals=1)
    turned = format_value(angle, "deg", decimals=1)
    return Outcome(
        says=f"Free play is {shown} at the rim, {turned} of the steering wheel.",
        figures=(figure, *_free_play_angles(given, angle)),
        findings=_free_play_findings(given, path, limit, judged, uncertainty),
        notes=_free_play_notes(known, path, limit),
        sources=(limit.source, _ARC),
        engine="running" if given.choice("engine") == "running" else "off",
    )


def _path(given: Given, diameter: float) -> float:
    path, angle = given.number_or_none("play"), given.number_or_none("play_angle")
    if (path is None) == (angle is None):
        raise InputError(
            "Give the way of the rim or the angle, one of them.",
            "play" if path is None else "play_angle",
        )
    return path if path is not None else steering.rim_path(angle or 0.0, diameter)


def _free_play_limit(given: Given, known: Known, diameter: float) -> steering.PlayLimit:
    rule = given.choice("rule") or known.brake_rule
    if rule == "us":
        return steering.us_free_play(diameter)
    if rule != "gb":
        raise InputError("Choose by which rule the play is judged.", "rule")
    figure = known.figures.get("steering_gear")
    gear = given.choice("gear") or (figure.words if figure else "")
    if gear not in ("rack", "joints", "box"):
        raise InputError("Choose the steering gear: the GB figure depends on it.", "gear")
    return steering.gb_free_play(diameter, cast(steering.Gear, gear))


def _free_play_angles(given: Given, angle: float) -> tuple[Figure, ...]:
    own = Figure(
        quantity="free_play_angle",
        name="Free play, angle of the steering wheel",
        value=angle,
        unit="deg",
        decimals=1,
        reason="2 × way of the rim ÷ diameter.",
    )
    ratio = given.number_or_none("ratio")
    if ratio is None:
        return (own,)
    road = Figure(
        quantity="free_play_angle",
        name="The same at the road wheels",
        value=steering.road_wheel_angle(angle, ratio),
        unit="deg",
        decimals=2,
        reason=f"Angle of the steering wheel ÷ {format_number(ratio)}.",
    )
    return own, road


def _free_play_findings(
    given: Given, path: float, limit: steering.PlayLimit, judged: bool, uncertainty: float
) -> tuple[Finding, ...]:
    findings = [_LOCKS[given.choice("locks") or "not turned"]]
    if not judged:
        findings.append(
            Finding(
                "unknown",
                "Not judged: with the engine off, power steering shows play that is not there. "
                "Start it and measure again.",
            )
        )
        return worst_first(findings)
    verdict = judge(path, Limit(None, limit.most, "mm", uncertainty))
    findings.append(Finding(tone_of_verdict(verdict.kind), f"{verdict.reason} {limit.reason}"))
    if verdict.kind is VerdictKind.OUTSIDE:
        findings.append(
            Finding(
                "unknown",
                "Where the play comes from is not shown. Have the wheel rocked and feel column "
                "joint, pinion, rack ends and track rod ends, and see whether the gear moves on "
                "its mountings.",
            )
        )
    return worst_first(findings)


def _free_play_notes(known: Known, path: float, limit: steering.PlayLimit) -> tuple[str, ...]:
    straight = (
        "Measured with the wheels straight ahead, from where a front wheel just moves one way to "
        "where it just moves the other."
    )
    notes = [straight]
    if limit.source.startswith("GB"):
        notes.append("The figure is that of the 2012 text: see the manual in force.")
    own = most_allowed("steering_free_play", known)
    if own is not None and own < limit.most - 1e-6:
        shown = format_value(own, "mm")
        tail = ", which this exceeds" if path > own else ""
        notes.append(f"The pages of this platform give at most {shown}{tail}.")
    return tuple(notes)


FREE_PLAY = MeasurementKind(
    key="free_play",
    name="Free play at the steering wheel",
    group=Group.STEERING,
    purpose="Judges the play by the rule's table for the size of the steering wheel.",
    fields=_FIELDS,
    quantities=(
        DerivedQuantity(
            "steering_free_play", "Free play at the steering wheel rim", Kind.LENGTH, "mm"
        ),
        DerivedQuantity("free_play_angle", "Free play, angle", Kind.ANGLE, "deg"),
    ),
    work_out=free_play,
    cautions=(MOVING_LINKAGE, _COLUMN),
)
