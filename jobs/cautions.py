"""The usual cautions of brake and steering work, in the words the fitter reads. Pure.

Brake dust: 29 CFR 1910.1001 Appendix F. Wheel nuts: Virginia 19VAC30-70-80, note. The others are
common practice, no source. The vehicle maker's service information always comes first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

FIRST = (
    "The vehicle maker’s service information, local law and licensed practice come first. "
    "What stands here advises; a qualified person decides and signs."
)

BRAKE_CONTROL, POWER_STEERING = "brake_control", "power_steering"
BASE_BRAKES, WHEEL_ENDS = "base_brakes", "wheel_ends"
_EVERY = frozenset({BRAKE_CONTROL, POWER_STEERING, BASE_BRAKES, WHEEL_ENDS})


@dataclass(frozen=True, slots=True)
class Caution:
    """`systems`: keys of the chassis systems on which it applies."""

    key: str
    title: str
    text: str
    systems: frozenset[str]


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "lift",
        "Lift and support",
        "Lift only at the vehicle maker’s points and within the rated load. "
        "See that the vehicle sits firmly before you go under it.",
        _EVERY,
    ),
    Caution(
        "dust",
        "Brake dust",
        "Treat it as harmful. Enclose it and vacuum with a HEPA filter, or wet it first and wipe "
        "it into a closed, labelled bag. No air line, no dry brush, no household vacuum cleaner.",
        frozenset({BRAKE_CONTROL, BASE_BRAKES, WHEEL_ENDS}),
    ),
    Caution(
        "pressure",
        "Stored pressure",
        "A pressure unit can hold up to about 200 bar with the ignition off. Discharge it the "
        "vehicle maker’s way, until the pedal goes hard, before a line is opened. "
        "Wear eye protection.",
        frozenset({BRAKE_CONTROL}),
    ),
    Caution(
        "self_build",
        "Pressure that builds by itself",
        "Some units pressurise when a door opens or the key comes near. Keep the key away and "
        "isolate the 12 V supply as the vehicle maker says.",
        frozenset({BRAKE_CONTROL}),
    ),
    Caution(
        "fluid",
        "Brake fluid",
        "Only fresh fluid of the grade on the reservoir cap, from a sealed container; never used "
        "fluid, never mineral oil. It strips paint and hurts eyes: rinse with plenty of water.",
        frozenset({BRAKE_CONTROL, BASE_BRAKES}),
    ),
    Caution(
        "column",
        "Steering column and airbag",
        "Battery negative off, then wait as long as the vehicle maker says. Wheels straight and "
        "the steering wheel locked. Carry a module facing away; no ohmmeter on an igniter.",
        frozenset({POWER_STEERING}),
    ),
    Caution(
        "steering_fluid",
        "Steering fluid",
        "It may be hot and under pressure. Engine off, let it cool, and catch what runs out. "
        "Never hold the steering against its stop.",
        frozenset({POWER_STEERING}),
    ),
    Caution(
        "nuts",
        "Wheel nuts",
        "Tighten with a torque wrench to the vehicle maker’s figure, not with an impact wrench.",
        _EVERY,
    ),
)

BEFORE_DRIVING = (
    "Before it moves: firm pedal, fluid level, parking brake. First stops at walking pace in the "
    "yard. No road test with a warning lamp on when braking itself may be impaired."
)


def cautions_for(systems: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions for work on these systems; all of them when no system is known."""
    wanted = frozenset(systems) & _EVERY or _EVERY
    return tuple(caution for caution in CAUTIONS if caution.systems & wanted)
