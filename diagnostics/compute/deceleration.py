"""Braking on the road: from speeds and distances to a deceleration. Pure.

Speeds in m/s, distances in m, decelerations in m/s², slopes as rise over run (+ is uphill).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.compute.braking import STANDARD_GRAVITY, tidy

FROM_SHARE, TO_SHARE = 0.8, 0.1
"""The mean is taken from 80 % to 10 % of the initial speed: R13 annex 4, read."""
LEAST_INITIAL_SHARE = 0.98
STEEPEST = 0.25
_HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class MeanDeceleration:
    """value: as on a level road. as_driven: before the slope was taken out. fast_enough: the
    initial speed was at least 98 % of the prescribed one, None when none was."""

    value: float
    as_driven: float
    share_of_gravity: float
    fast_enough: bool | None
    reason: str


@dataclass(frozen=True, slots=True)
class Stop:
    """A whole stop. braking: the distance without the thinking time. The rest as above."""

    value: float
    as_driven: float
    share_of_gravity: float
    braking: float
    reason: str


def mean_developed(
    from_speed: float,
    to_speed: float,
    from_distance: float,
    to_distance: float,
    *,
    initial: float,
    prescribed: float | None = None,
    slope: float = 0.0,
) -> MeanDeceleration:
    """Mean fully developed deceleration: (vb² − ve²) / (2 (se − sb)).

    In km/h and metres the 2 becomes 25.92. UN R13 annex 4, 1.1.2, read in a public copy; so is that
    the initial speed is at least 98 % of the prescribed one. The slope is taken out as g sin α
    (mechanics). Raises ValueError with a sentence when the car did not slow down, or not forwards.
    """
    numbers = (from_speed, to_speed, from_distance, to_distance, initial, prescribed or 1.0, slope)
    if not all(math.isfinite(one) for one in numbers):
        raise ValueError("Only numbers can be worked with.")
    if not 0 <= to_speed < from_speed:
        raise ValueError("The second speed must be below the first.")
    if from_speed > initial:
        raise ValueError("The first speed cannot be above the initial one.")
    if to_distance <= from_distance:
        raise ValueError("The second distance must be beyond the first.")
    driven = (from_speed**2 - to_speed**2) / (2 * (to_distance - from_distance))
    level = tidy(driven - slope_pull(slope))
    fast = None if prescribed is None else initial >= LEAST_INITIAL_SHARE * prescribed - _HAIR
    return MeanDeceleration(
        level,
        driven,
        tidy(level / STANDARD_GRAVITY),
        fast,
        "Half the difference of the squared speeds over the distance between them.",
    )


def from_stop(speed: float, distance: float, *, thinking: float = 0.0, slope: float = 0.0) -> Stop:
    """Mean deceleration of a whole stop: v² / (2d), d without the thinking time's distance.

    Mechanics; over g it equals brake force over weight. `thinking` in s: the time before the pedal
    is pressed that `distance` holds. Raises ValueError with a sentence for what cannot be.
    """
    if not all(math.isfinite(one) for one in (speed, distance, thinking, slope)):
        raise ValueError("Only numbers can be worked with.")
    if speed <= 0 or distance <= 0:
        raise ValueError("Speed and distance are above zero.")
    if thinking < 0:
        raise ValueError("A thinking time is not below zero.")
    braking = distance - speed * thinking
    if braking <= 0:
        raise ValueError("In the thinking time alone the car went further than the whole stop.")
    driven = speed**2 / (2 * braking)
    level = tidy(driven - slope_pull(slope))
    return Stop(
        level,
        driven,
        tidy(level / STANDARD_GRAVITY),
        braking,
        "The squared speed over twice the braking distance.",
    )


def slope_pull(slope: float) -> float:
    """What the slope itself slows a car by, m/s²: g sin α, + uphill. Raises ValueError above 25 %.

    Mechanics.
    """
    if abs(slope) > STEEPEST:
        raise ValueError(f"No brake is tried on a slope of more than {STEEPEST:.0%}.")
    return STANDARD_GRAVITY * math.sin(math.atan(slope))


def stopping_distance(speed: float, deceleration: float, thinking: float = 0.0) -> float:
    """The way to a standstill in m: v t + v² / (2a). Raises ValueError for a ≤ 0. Mechanics."""
    if not deceleration > 0:
        raise ValueError("A car that does not slow down does not stop.")
    return speed * thinking + speed**2 / (2 * deceleration)


def brought_to(distance: float, speed: float, nominal: float) -> float:
    """A braking distance from `speed` brought to `nominal`: d (nominal/speed)².

    Same mean deceleration, mechanics; usual for small differences of speed (common practice).
    """
    if not speed > 0:
        raise ValueError("Speed is above zero.")
    return tidy(distance * (nominal / speed) ** 2)


@dataclass(frozen=True, slots=True)
class Approval:
    """A type-approval distance S = 0.10 V + c V², S in m and V in km/h."""

    test: str
    coefficient: float
    source: str
    mark: str

    def distance(self, speed: float) -> float:
        """Metres from `speed` in m/s."""
        kmh = speed * 3.6
        return 0.10 * kmh + self.coefficient * kmh**2

    @property
    def deceleration(self) -> float:
        """The mean fully developed deceleration, m/s², that V² coefficient stands for."""
        return 1 / (25.92 * self.coefficient)


APPROVALS: tuple[Approval, ...] = (
    Approval("Cold brakes", 0.0060, "49 CFR 571.135 S7.5; UN R13-H type 0", "M"),
    Approval("High speed", 0.0067, "49 CFR 571.135 S7.6; UN R13-H type 0", "M"),
    Approval("Anti-lock failed", 0.0075, "49 CFR 571.135 S7.8", "M"),
    Approval("Hot brakes", 0.0079, "49 CFR 571.135 S7.14", "M"),
    Approval("Proportioning failed", 0.0100, "49 CFR 571.135 S7.9", "M"),
    Approval("One circuit failed", 0.0158, "49 CFR 571.135 S7.10", "M"),
    Approval("Servo without help", 0.0158, "49 CFR 571.135 S7.11", "R2"),
)
"""What a new type must reach with new brakes: information, no limit in service."""
