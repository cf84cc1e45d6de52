"""What speed-sensitive assist points to, and what is not shown by it. Pure.

Common practice, no source. The reasoning: without power the valve is open, so that no electrical
fault but a command at the wrong time makes parking heavy; a fault that the control sees switches
the function off and leaves full assist at every speed; where a steering-wheel rate sensor is
fitted, a fast turn cuts the duty to give assist back.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from diagnostics.compute.steering_assist import State

Tone = Literal["bad", "near", "unknown", "good"]
Flag = Literal["stored", "none", "not read"]
ReadAt = Literal["plug", "control", ""]
FastTurn = Literal["cut", "same", "not tried"]
Felt = Literal["heavy_parking", "heavy", "light_fast", "comes_and_goes", "nothing", ""]

_ORDER: tuple[Tone, ...] = ("bad", "near", "unknown", "good")


@dataclass(frozen=True, slots=True)
class Seen:
    """What was found at parking speed and when moving, in a word each.

    command: the duty; response: flow, or pressure where no flow was measured, as named in
    `response_name`. no_command: no duty at any speed, a fast one among them. follows: whether the
    response is what the duty that was found should give, None when not known. sensor: whether a
    rate sensor is fitted, None when not known.
    """

    command_parked: State = "unknown"
    command_moving: State = "unknown"
    response_parked: State = "unknown"
    response_moving: State = "unknown"
    response_name: str = "flow"
    no_command: bool = False
    follows: bool | None = None
    flag: Flag = "not read"
    read_at: ReadAt = ""
    sensor: bool | None = None
    fast_turn: FastTurn = "not tried"
    felt: Felt = ""

    @property
    def command_off(self) -> bool:
        return self.command_parked in _OFF or self.command_moving in _OFF

    @property
    def response_off(self) -> bool:
        return self.response_parked in _OFF or self.response_moving in _OFF

    @property
    def all_right(self) -> bool:
        """Nothing is off, and both sides were judged somewhere."""
        judged = {self.command_parked, self.command_moving} & {"right"}
        answered = {self.response_parked, self.response_moving} & {"right"}
        return bool(judged and answered) and not (self.command_off or self.response_off)


@dataclass(frozen=True, slots=True)
class Pointer:
    """One thing the measurement points to; `key` names the rule that found it."""

    key: str
    tone: Tone
    says: str


@dataclass(frozen=True, slots=True)
class _Rule:
    key: str
    tone: Tone
    when: Callable[[Seen], bool]
    says: str


_OFF = ("low", "high")


def points_to(seen: Seen) -> tuple[Pointer, ...]:
    """Every rule that applies, the worst first."""
    found = [
        Pointer(rule.key, rule.tone, _in_words(rule.says, seen))
        for rule in _RULES
        if rule.when(seen)
    ]
    return tuple(sorted(found, key=lambda pointer: _ORDER.index(pointer.tone)))


def _in_words(says: str, seen: Seen) -> str:
    return says.format(response=seen.response_name, Response=seen.response_name.capitalize())


_COMMAND = (
    _Rule(
        "duty when parked",
        "bad",
        lambda seen: seen.command_parked == "high",
        "There is duty at parking speed, where there should be next to none: it takes assist away "
        "and makes parking heavy. This points to a speed signal that shows the car moving, or to a "
        "command that is stuck. Which of them is not shown: compare the speed that the control "
        "reports with the instrument.",
    ),
    _Rule(
        "switched off",
        "bad",
        lambda seen: seen.no_command and seen.flag == "stored",
        "There is no duty at any speed and a flag is stored: the function is switched off, which "
        "leaves full assist at every speed. Follow the flag first. This explains a wheel too light "
        "at speed. It does not explain heavy parking.",
    ),
    _Rule(
        "no command",
        "bad",
        lambda seen: seen.no_command and seen.flag == "none",
        "There is no duty at any speed and no flag is stored: the control does not ask for less "
        "assist. This points to road speed missing at the control, to its supply and ground, or to "
        "the control. Which of them is not shown: see whether it reports the road speed.",
    ),
    _Rule(
        "no command, flags not read",
        "bad",
        lambda seen: seen.no_command and seen.flag == "not read",
        "There is no duty at any speed. Read the flags: with one stored the function is switched "
        "off; with none the control does not ask for less assist: look at its speed signal first.",
    ),
    _Rule(
        "lost on the way",
        "unknown",
        lambda seen: seen.no_command and seen.read_at == "plug",
        "The duty was looked for at the actuator's plug, so it may also be lost in the wires: "
        "compare it with the duty that the control reports.",
    ),
    _Rule(
        "too little command",
        "bad",
        lambda seen: seen.command_moving == "low" and not seen.no_command,
        "There is too little duty for the speed, so the wheel is too light. This points to a speed "
        "signal that reads low, or to the control. It does not accuse pump or actuator.",
    ),
    _Rule(
        "too much command",
        "bad",
        lambda seen: seen.command_moving == "high" and seen.command_parked != "high",
        "There is too much duty for the speed, so the wheel is heavier than it should be. This "
        "points to a speed signal that reads high, or to the control. It does not accuse pump or "
        "actuator.",
    ),
    _Rule(
        "does as it is told",
        "good",
        lambda seen: seen.command_off and seen.follows is True,
        "{Response} is what this duty should give: pump and actuator do as they are told. Look for "
        "what makes the command wrong.",
    ),
    _Rule(
        "two faults",
        "bad",
        lambda seen: seen.command_off and seen.follows is False,
        "{Response} does not fit the duty either: beside the wrong command something is wrong in "
        "pump, hose or actuator, or the duty does not reach the actuator. Put the command right "
        "first and measure again.",
    ),
)

_HYDRAULICS = (
    _Rule(
        "not cut",
        "bad",
        lambda seen: seen.command_moving == "right" and seen.response_moving == "high",
        "The duty is right at speed, but {response} is not cut, so the wheel is too light. This "
        "points to an actuator that sticks open or leaks past its seat.",
    ),
    _Rule(
        "does it arrive",
        "unknown",
        lambda seen: (
            seen.command_moving == "right"
            and seen.response_moving == "high"
            and seen.read_at != "plug"
        ),
        "Whether the duty reaches the actuator is not shown: measure it at its plug, plugged in, "
        "and the coil, before the actuator is judged.",
    ),
    _Rule(
        "starved",
        "bad",
        lambda seen: seen.command_parked == "right" and seen.response_parked == "low",
        "There is no duty at parking speed, so the valve should be open, and {response} is still "
        "too low. This points to fluid or air in it, belt, pump, a narrowed hose, or a valve that "
        "sticks closed. It is no electrical fault. Relief pressure within speaks for the valve, "
        "relief pressure too low for the pump.",
    ),
    _Rule(
        "closes too far",
        "bad",
        lambda seen: (
            seen.command_moving == "right"
            and seen.response_moving == "low"
            and seen.response_parked != "low"
        ),
        "The duty is right at speed, and {response} is cut too far. This points to an actuator "
        "that closes too far or is slow to open. Cold fluid does the same: see its temperature.",
    ),
    _Rule(
        "more than open",
        "near",
        lambda seen: seen.response_parked == "high",
        "{Response} at parking speed is above its curve. An open valve cannot do that: look at "
        "engine speed, the meter, the fluid's temperature and the pump's own flow valve.",
    ),
    _Rule(
        "light, command not seen",
        "bad",
        lambda seen: seen.command_moving == "unknown" and seen.response_moving == "high",
        "{Response} is not cut at speed, so the wheel is too light. Whether the command is missing "
        "or the actuator sticks open is not shown: measure the duty at the same speeds.",
    ),
    _Rule(
        "heavy, command not seen",
        "bad",
        lambda seen: seen.command_parked == "unknown" and seen.response_parked == "low",
        "{Response} is too low at parking speed. Measure again with the actuator's plug off: if "
        "it rises, there is a duty where there should be none; if not, look at fluid, belt, pump, "
        "hose and a valve that sticks closed.",
    ),
    _Rule(
        "low at speed, command not seen",
        "bad",
        lambda seen: (
            seen.command_moving == "unknown"
            and seen.response_moving == "low"
            and seen.response_parked != "low"
        ),
        "{Response} is too low at speed. Whether the command is too high or the actuator closes "
        "too far is not shown: measure the duty at the same speeds.",
    ),
    _Rule(
        "response not seen",
        "unknown",
        lambda seen: (
            seen.response_parked == seen.response_moving == "unknown"
            and "right" in (seen.command_parked, seen.command_moving)
            and not seen.command_off
        ),
        "What pump and actuator make of the command is not shown: measure flow or pressure at the "
        "same speeds.",
    ),
)

_THE_REST = (
    _Rule(
        "all right",
        "good",
        lambda seen: seen.all_right,
        "Duty and {response} keep to their curves at the speeds that were judged.",
    ),
    _Rule(
        "flag though right",
        "near",
        lambda seen: seen.flag == "stored" and seen.all_right,
        "A flag is stored although assist works now: a fault that comes and goes. See when it was "
        "set, and measure while the harness at the actuator is moved.",
    ),
    _Rule(
        "flag to follow",
        "near",
        lambda seen: (
            seen.flag == "stored"
            and (seen.command_off or seen.response_off)
            and not seen.no_command
        ),
        "A flag is stored: follow it before the parts that the figures point to.",
    ),
    _Rule(
        "fast turn not seen",
        "bad",
        lambda seen: seen.sensor is True and seen.fast_turn == "same" and not seen.no_command,
        "A fast turn of the wheel did not cut the duty, so assist is not given back when it is "
        "needed in a hurry. This points to the steering-wheel rate sensor, its supply or wires, or "
        "to the control. It has no part in heavy parking.",
    ),
    _Rule(
        "nothing to cut",
        "unknown",
        lambda seen: seen.sensor is True and seen.fast_turn == "same" and seen.no_command,
        "There was no duty for a fast turn to cut, so the rate sensor is not judged.",
    ),
    _Rule(
        "fast turn seen",
        "good",
        lambda seen: seen.sensor is True and seen.fast_turn == "cut",
        "A fast turn cuts the duty: the rate sensor is seen by the control.",
    ),
    _Rule(
        "fast turn not tried",
        "unknown",
        lambda seen: seen.sensor is True and seen.fast_turn == "not tried",
        "A steering-wheel rate sensor is fitted, and no fast turn was tried: it is not judged.",
    ),
    _Rule(
        "turn without sensor",
        "near",
        lambda seen: seen.sensor is False and seen.fast_turn == "cut",
        "The duty fell in a fast turn although no rate sensor is fitted: see which pages this car "
        "belongs to, and whether the duty is steady.",
    ),
    _Rule(
        "comes and goes",
        "unknown",
        lambda seen: seen.felt == "comes_and_goes",
        "A fault that comes and goes is not cleared by good values: see fluid level and belt, move "
        "the harness, and measure while it is felt.",
    ),
    _Rule(
        "parking not explained",
        "unknown",
        lambda seen: (
            seen.felt in ("heavy_parking", "heavy")
            and seen.response_parked == "right"
            and seen.command_parked != "high"
        ),
        "The customer feels it heavy, and nothing here takes assist away when parking: look at "
        "tyre pressures, column joint, ball joints and the gear.",
    ),
    _Rule(
        "lightness not explained",
        "unknown",
        lambda seen: (
            seen.felt == "light_fast"
            and seen.response_moving == "right"
            and seen.command_moving != "low"
        ),
        "The customer feels it too light at speed, and assist falls as it should: look at caster, "
        "toe, tyres and play.",
    ),
    _Rule(
        "words do not fit",
        "near",
        lambda seen: (
            (seen.felt == "heavy_parking" and _only_light(seen))
            or (seen.felt == "light_fast" and _only_heavy(seen))
        ),
        "What was measured is not what the customer feels: drive the car with the customer before "
        "anything is ordered.",
    ),
)


def _only_light(seen: Seen) -> bool:
    light = seen.command_moving == "low" or seen.response_moving == "high"
    return light and not _heavy(seen)


def _only_heavy(seen: Seen) -> bool:
    light = seen.command_moving == "low" or seen.response_moving == "high"
    return _heavy(seen) and not light


def _heavy(seen: Seen) -> bool:
    return seen.command_parked == "high" or seen.response_parked == "low"


_RULES = (*_COMMAND, *_HYDRAULICS, *_THE_REST)
