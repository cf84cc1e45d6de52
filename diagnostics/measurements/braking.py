"""Brake forces on rollers or plates: service, secondary and parking brake. Pure."""

from __future__ import annotations

from diagnostics.compute.braking import System
from diagnostics.measurements.brake_forces import (
    Tried,
    about_sides,
    about_whole,
    efficiency_figure,
    forces_picture,
    side_figures,
    summary,
    swing_figures,
    tried,
)
from diagnostics.measurements.brake_rules import (
    DANGEROUS_SAYS,
    FIRST_USED,
    GB_SOURCE,
    RULE,
    US_SIDE_SOURCE,
    about_rule,
    no_rule,
    percent,
)
from diagnostics.measurements.fields import FOUR_WHEELS, Choice, Grid, Number
from diagnostics.measurements.given import Given
from diagnostics.measurements.judging import TONES
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Finding, Outcome
from diagnostics.measurements.road_braking import ROAD_DECELERATION, STOPPING_DISTANCE
from shop.units import Kind

_MOST_FORCE = 40e3

_CAUTIONS = (
    (
        "Nobody stands before, behind or beside the car while the rollers turn. Keep to the "
        "tester’s own instructions."
    ),
    (
        "Rollers turn one axle: put a car with all-wheel drive or an automatic hold on them "
        "only as the vehicle maker says."
    ),
    (
        "Wheels that turn alone with the ignition on may light the antilock lamp and set a "
        "flag. Read the flags afterwards."
    ),
    "Before it drives off: firm pedal, fluid level, parking brake.",
)
_FORMULAS = (
    "Efficiency: total force over test weight. Difference: (higher − lower) over higher. Both from "
    "the GB inspection manual, section 1, read in a copy."
)


def _forces(given: Given, known: Known) -> Outcome:
    secondary = given.choice("system") == System.SECONDARY
    found = tried(given, known, System.SECONDARY if secondary else System.SERVICE)
    key = "secondary_efficiency" if secondary else "brake_efficiency"
    name = "Secondary brake efficiency" if secondary else "Service brake efficiency"
    return Outcome(
        _leading(found, name),
        (
            *efficiency_figure(found, key, name),
            *side_figures(found, "brake_imbalance", "Brake force difference side to side"),
            *swing_figures(found),
        ),
        _sorted([*about_whole(found), *about_sides(found)], found),
        (
            *about_rule(found.rule, given, known),
            "Tyre pressures right, tyres dry, engine idling so that the assist works.",
        ),
        summary(found),
        (forces_picture(found, "Brake forces by wheel"),),
        _sources(found),
    )


def _parking(given: Given, known: Known) -> Outcome:
    found = tried(given, known, System.PARKING)
    name = "Parking brake efficiency"
    return Outcome(
        _leading(found, name),
        (
            *efficiency_figure(found, "parking_efficiency", name),
            *side_figures(found, "parking_imbalance", "Parking brake difference side to side"),
        ),
        _sorted([*about_whole(found), *_one_sided(found)], found),
        (
            *about_rule(found.rule, given, known),
            (
                "Neither rule, as far as it was read, sets a difference side to side for the "
                "parking brake: it is shown only."
            ),
        ),
        summary(found),
        (forces_picture(found, "Parking brake forces by wheel"),),
        _sources(found),
    )


def _one_sided(found: Tried) -> list[Finding]:
    """A wheel that does not brake at all beside one that does."""
    return [
        Finding(
            "near",
            f"The {side.lower} wheel does not brake. Its cable, actuator "
            "or lever hangs, or is not connected.",
            axle,
        )
        for axle, side in found.sides.items()
        if side.value == 1.0
    ]


def _leading(found: Tried, name: str) -> str:
    parts = []
    if found.whole is not None:
        parts.append(f"{name} {percent(found.whole.value)}")
    parts += [f"{axle} difference {percent(side.value)}" for axle, side in found.sides.items()]
    said = ", ".join(parts)
    return f"{said[0].upper()}{said[1:]}."


def _sorted(findings: list[Finding], found: Tried) -> tuple[Finding, ...]:
    if found.rule is None:
        findings.append(no_rule())
    return tuple(
        sorted(findings, key=lambda one: (TONES.index(one.tone), DANGEROUS_SAYS not in one.says))
    )


def _sources(found: Tried) -> tuple[str, ...]:
    return (_FORMULAS, *{"gb": (GB_SOURCE,), "us": (US_SIDE_SOURCE,)}.get(found.rule or "", ()))


def _grid(*, swing: bool, help_: str) -> Grid:
    columns: list[Number | Choice] = [
        Number("force", "Greatest force", Kind.FORCE, "N", lowest=0.0, highest=_MOST_FORCE),
        Choice("locked", "Wheel locked", (("no", "No"), ("yes", "Yes")), default="no"),
    ]
    if swing:
        columns.append(
            Number(
                "least",
                "Least in one turn",
                Kind.FORCE,
                "N",
                required=False,
                help="At a steady pedal.",
                lowest=0.0,
                highest=_MOST_FORCE,
            )
        )
    return Grid("forces", "Brake forces", FOUR_WHEELS, tuple(columns), least=2, help=help_)


_WEIGHT = Number(
    "weight",
    "Test weight",
    Kind.MASS,
    "kg",
    required=False,
    known="test_weight",
    help="Of the car as it stands on the tester. Without it there is no efficiency.",
    lowest=300.0,
    highest=12_000.0,
    usual=(600.0, 5000.0),
)

BRAKE_FORCES = MeasurementKind(
    key="brake_forces",
    name="Brake forces",
    group=Group.BRAKING,
    purpose="To see whether the brakes hold enough, and equally left and right.",
    fields=(
        Choice(
            "system",
            "Brake tried",
            ((System.SERVICE.value, "Service brake"), (System.SECONDARY.value, "Secondary brake")),
            default=System.SERVICE.value,
        ),
        _grid(swing=True, help_="From rollers or plates. Both wheels of an axle belong together."),
        _WEIGHT,
        Choice(
            "steered",
            "Steered axles",
            (("front", "Front only"), ("both", "Front and rear")),
            default="front",
        ),
        RULE,
        FIRST_USED,
    ),
    quantities=(
        DerivedQuantity("brake_efficiency", "Service brake efficiency", Kind.RATIO, "%"),
        DerivedQuantity("secondary_efficiency", "Secondary brake efficiency", Kind.RATIO, "%"),
        DerivedQuantity("brake_imbalance", "Brake force difference side to side", Kind.RATIO, "%"),
        DerivedQuantity(
            "brake_force_variation", "Brake force variation in one turn", Kind.RATIO, "%"
        ),
    ),
    work_out=_forces,
    cautions=_CAUTIONS,
)

PARKING_BRAKE_FORCES = MeasurementKind(
    key="parking_brake_forces",
    name="Parking brake forces",
    group=Group.BRAKING,
    purpose="To see whether the parking brake holds the car.",
    fields=(
        _grid(swing=False, help_="Only the wheels on which the parking brake works."),
        _WEIGHT,
        RULE,
    ),
    quantities=(
        DerivedQuantity("parking_efficiency", "Parking brake efficiency", Kind.RATIO, "%"),
        DerivedQuantity(
            "parking_imbalance", "Parking brake difference side to side", Kind.RATIO, "%"
        ),
    ),
    work_out=_parking,
    cautions=(
        *_CAUTIONS,
        (
            "An electric parking brake may need its own mode on the rollers: see the vehicle "
            "maker’s information."
        ),
    ),
)

KINDS: tuple[MeasurementKind, ...] = (
    BRAKE_FORCES,
    PARKING_BRAKE_FORCES,
    ROAD_DECELERATION,
    STOPPING_DISTANCE,
)
