"""Four wheels of one car compared: which disagrees, by how much, and what that looks like. Pure.

On a straight road at a steady speed all wheels roll the same way in the same time, so a wheel
whose speed differs has another diameter, another number of teeth, or a sensor that misses or adds
pulses. The ratio alone cannot tell a tyre from a ring: both stay the same at every speed.
Tolerances and patterns: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import median
from typing import Literal

AGREES_WITHIN = 0.015
"""Ratio: tyres of one size and usual wear agree to this (common practice, no source)."""
STEADY_WITHIN = 0.01
"""Ratio: a deviation that changes less than this between speeds counts as the same."""
SILENT_BELOW = 0.03
"""Share of the others' speed below which a wheel gives no speed at all."""
_NOTHING = 1e-9
_USUAL_WEAR = 0.03
_TYRE_PLAUSIBLE = 0.12
_RING_FIT = 0.004
_MOST_TEETH_OFF = 8
_TWICE = (1.9, 2.1)

Pattern = Literal["agree", "some_off", "axles", "sides", "diagonals", "none_agree"]
State = Literal["agrees", "off", "varies", "drops_out", "silent"]

_PAIRS: tuple[tuple[Pattern, frozenset[str]], ...] = (
    ("axles", frozenset({"LF", "RF"})),
    ("sides", frozenset({"LF", "LR"})),
    ("diagonals", frozenset({"LF", "RR"})),
)


@dataclass(frozen=True, slots=True)
class WheelFound:
    """One wheel. deviations: for each speed, (own - others) / others; -1 when silent there.

    worst: the one furthest outside what was allowed at its speed; `at` is the place of that speed.
    typical: their median over the speeds at which it turned.
    """

    wheel: str
    state: State
    deviations: tuple[float, ...]
    worst: float
    at: int
    typical: float

    @property
    def lost(self) -> bool:
        """Whether it shows nothing at some speed or at all."""
        return self.state in ("silent", "drops_out")


@dataclass(frozen=True, slots=True)
class Comparison:
    """reference: the wheels that agree and are taken for right. road: the speed they show, for
    each set (unit as given). steps: the ratio that one step of the tester is there."""

    pattern: Pattern
    reference: tuple[str, ...]
    road: tuple[float, ...]
    steps: tuple[float, ...]
    wheels: tuple[WheelFound, ...]
    reason: str

    @property
    def allowed(self) -> tuple[float, ...]:
        """The ratio by which wheels may differ at each speed."""
        return tuple(max(AGREES_WITHIN, step) for step in self.steps)

    @property
    def off(self) -> tuple[WheelFound, ...]:
        """The wheels that do not agree, worst first."""
        others = (one for one in self.wheels if one.state != "agrees")
        return tuple(sorted(others, key=lambda one: -abs(one.worst)))


def compare(sets: Sequence[Mapping[str, float]], *, resolution: float = 0.0) -> Comparison:
    """Compare the speeds (any unit, the same throughout) of three or four wheels.

    sets: for each road speed the value of each wheel, by LF RF LR RR; the same wheels in each.
    resolution: the smallest step that the tester shows, same unit. Raises ValueError when there is
    nothing to compare: fewer than three wheels, or fewer than two that turn in some set.
    """
    wheels = _checked(sets)
    turning = [_turning(one) for one in sets]
    steady = [wheel for wheel in wheels if all(wheel in one for one in turning)]
    steps = tuple(resolution / median(one.values()) for one in turning)
    groups = _largest_groups(steady, sets, [max(AGREES_WITHIN, step) for step in steps])
    pattern, reference = _pattern(groups, wheels, steady)
    known = reference or tuple(steady) or wheels
    road = tuple(median([one[w] for w in known if one[w] > 0]) for one in sets)
    found = tuple(
        _found(wheel, sets, road, turning, steps, agrees=wheel in reference) for wheel in wheels
    )
    return Comparison(pattern, reference, road, steps, found, _reason(pattern, reference))


def _checked(sets: Sequence[Mapping[str, float]]) -> tuple[str, ...]:
    if not sets or len(sets[0]) < 3:
        raise ValueError("At least three wheels are needed to tell which one disagrees.")
    wheels = tuple(sets[0])
    for one in sets:
        if set(one) != set(wheels):
            raise ValueError("Each set needs the same wheels.")
        if not all(math.isfinite(value) and value >= 0 for value in one.values()):
            raise ValueError("A wheel's speed cannot be below nought.")
    return wheels


def _turning(one: Mapping[str, float]) -> dict[str, float]:
    """The wheels of a set that show a speed at all."""
    # The second fastest: one wheel that runs away must not make the others seem silent.
    *_, second, fastest = sorted(one.values())
    least = max(SILENT_BELOW * second, _NOTHING * fastest)
    found = {wheel: value for wheel, value in one.items() if value > least}
    if len(found) < 2:
        raise ValueError("Fewer than two wheels show a speed, so there is nothing to compare with.")
    return found


def _largest_groups(
    wheels: Sequence[str], sets: Sequence[Mapping[str, float]], allowed: Sequence[float]
) -> list[tuple[str, ...]]:
    """The largest groups within which all agree at every speed, the closest first."""
    for size in range(len(wheels), 1, -1):
        # How much of what is allowed a group takes up, at the worst of its speeds.
        spread = {
            group: max(
                _spread([one[wheel] for wheel in group]) / most
                for one, most in zip(sets, allowed, strict=True)
            )
            for group in combinations(wheels, size)
        }
        # A group as wide as the tolerance to the last digit still agrees.
        found = [group for group in spread if spread[group] <= 1 + 1e-9]
        if found:
            return sorted(found, key=lambda group: spread[group])
    return []


def _spread(values: Sequence[float]) -> float:
    return max(values) / min(values) - 1


def _pattern(
    groups: Sequence[tuple[str, ...]], wheels: tuple[str, ...], steady: Sequence[str]
) -> tuple[Pattern, tuple[str, ...]]:
    if not groups:
        return "none_agree", ()
    first = groups[0]
    if len(first) == len(wheels):
        return "agree", first
    rest = tuple(wheel for wheel in steady if wheel not in first)
    if len(first) == 2 and len(rest) == 2 and rest in groups:
        for pattern, pair in _PAIRS:
            if pair in (frozenset(first), frozenset(rest)):
                return pattern, ()
    return "some_off", first


def _found(
    wheel: str,
    sets: Sequence[Mapping[str, float]],
    road: Sequence[float],
    turning: Sequence[Mapping[str, float]],
    steps: Sequence[float],
    *,
    agrees: bool,
) -> WheelFound:
    turns = [wheel in one for one in turning]
    deviations = tuple(
        one[wheel] / at - 1 if turned else -1.0
        for one, at, turned in zip(sets, road, turns, strict=True)
    )
    seen = [d for d, turned in zip(deviations, turns, strict=True) if turned]
    typical = median(seen) if seen else -1.0
    state: State = "off"
    if agrees:
        state = "agrees"
    elif not seen:
        state = "silent"
    elif not all(turns):
        state = "drops_out"
    elif max(seen) - min(seen) > STEADY_WITHIN + max(steps):
        state = "varies"
    at = max(
        range(len(sets)),
        key=lambda place: abs(deviations[place]) / max(AGREES_WITHIN, steps[place]),
    )
    return WheelFound(wheel, state, deviations, deviations[at], at, typical)


def _reason(pattern: Pattern, reference: tuple[str, ...]) -> str:
    match pattern:
        case "agree":
            return "Each wheel is compared with the middle value of all."
        case "some_off":
            count = "two" if len(reference) == 2 else "three"
            return f"Compared with the {count} wheels that agree with each other."
        case "none_agree":
            return "No two wheels agree, so each is compared with the middle value of all."
    return "Two pairs stand against each other, so each is compared with the middle of both."


# ---------------------------------------------------------------- what a steady deviation fits


@dataclass(frozen=True, slots=True)
class Explanation:
    """One thing that would make a steady ratio.

    kind: "tyre" (diameter: m, that would do it, None without the right one; share: its difference
    to the right one), "ring" (teeth: that the ring would have), "twice" (each tooth counted twice)
    or "wear" (a worn or soft tyre would do). misfit: how far the ratio lies from it, a ratio.
    """

    kind: Literal["tyre", "wear", "ring", "twice"]
    misfit: float
    share: float = 0.0
    diameter: float | None = None
    teeth: int = 0


def explanations(
    deviation: float, *, teeth: int | None = None, diameter: float | None = None
) -> tuple[Explanation, ...]:
    """What would make a wheel show `deviation` (a ratio, 0.05 is 5 % faster) at every speed.

    teeth: that the ring should have. diameter: m, that the tyre should have. More than one may
    fit, and then the ratio does not tell them apart. Raises ValueError for -1 and below.
    """
    ratio = 1 + deviation
    if not math.isfinite(ratio) or ratio <= 0:
        raise ValueError("A wheel that shows no speed has no ratio to explain.")
    found: list[Explanation] = []
    share = 1 / ratio - 1
    if abs(share) <= _TYRE_PLAUSIBLE:
        kind: Literal["tyre", "wear"] = "wear" if abs(share) <= _USUAL_WEAR else "tyre"
        found.append(Explanation(kind, 0.0, share, None if diameter is None else diameter / ratio))
    if teeth is not None:
        found += _rings(ratio, teeth)
    if _TWICE[0] <= ratio <= _TWICE[1]:
        found.append(Explanation("twice", abs(ratio / 2 - 1)))
    return tuple(found)


def _rings(ratio: float, teeth: int) -> list[Explanation]:
    counted = round(ratio * teeth)
    if counted == teeth or counted < 1 or abs(counted - teeth) > _MOST_TEETH_OFF:
        return []
    misfit = abs(ratio * teeth / counted - 1)
    return [Explanation("ring", misfit, teeth=counted)] if misfit <= _RING_FIT else []
