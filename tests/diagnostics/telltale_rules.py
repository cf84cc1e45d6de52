"""The tell-tale rules of the demo catalogue, for tests. Common practice, no source."""

from __future__ import annotations

from diagnostics.telltales import Lamp, Part, Rule, Shown, Situation

AMBER, RED = Lamp.AMBER_ANTILOCK, Lamp.RED_BRAKE
KEY_ON, RUNNING, DRIVING = Situation.KEY_ON, Situation.ENGINE_RUNNING, Situation.DRIVING
DARK, FLASHING, STEADY = Shown.DARK, Shown.FLASHING, Shown.STEADY
LIT = frozenset({FLASHING, STEADY})


def only(*shown: Shown) -> frozenset[Shown]:
    return frozenset(shown)


RED_AND_AMBER = Rule(
    key="red-and-amber",
    order=10,
    pattern=(Part(RED, RUNNING, LIT), Part(AMBER, RUNNING, only(STEADY))),
    says="Red and amber steady together: an anti-lock fault that may affect base braking.",
    first="Do not drive it. Check fluid level, pedal and hydraulics before anything else.",
    may_drive=False,
    unsafe=True,
)
RED_BRAKE = Rule(
    key="red",
    order=20,
    pattern=(Part(RED, RUNNING, LIT),),
    says="The red lamp is lit: a fault of the base brakes, hydraulic or electrical.",
    first="Release the parking brake fully and look again; then check the fluid level.",
    may_drive=False,
    unsafe=True,
)
AMBER_STEADY = Rule(
    key="amber-steady",
    order=30,
    pattern=(Part(AMBER, RUNNING, only(STEADY)), Part(RED, RUNNING, only(DARK))),
    says="Amber steady: the anti-lock function is switched off and a flag is stored. "
    "The base brakes work.",
    first="Read the flags.",
    may_drive=True,
)
AMBER_FLASHING = Rule(
    key="amber-flashing",
    order=40,
    pattern=(Part(AMBER, RUNNING, only(FLASHING)), Part(RED, RUNNING, only(DARK))),
    says="Amber flashing: a minor fault. Anti-lock and base brakes are not affected.",
    first="Read the flags and repair it.",
    may_drive=True,
)
AMBER_NEVER_LIT = Rule(
    key="amber-never-lit",
    order=50,
    pattern=(Part(AMBER, KEY_ON, only(DARK)),),
    says="The amber lamp never lit at key-on, so its being dark proves nothing.",
    first="Check the lamp, its fuse and its circuit.",
    may_drive=True,
    bulb_finding=True,
)
NOTHING = Rule(
    key="nothing",
    order=90,
    pattern=(
        Part(AMBER, KEY_ON, LIT),
        Part(AMBER, RUNNING, only(DARK)),
        Part(RED, RUNNING, only(DARK)),
    ),
    says="No lamp with the engine running: nothing is detected at present.",
    first="Read the flags all the same: a stored one may be asleep.",
    may_drive=True,
    only_alone=True,
)

DEMO_RULES = (RED_AND_AMBER, RED_BRAKE, AMBER_STEADY, AMBER_FLASHING, AMBER_NEVER_LIT, NOTHING)
