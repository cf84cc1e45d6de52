"""Wheel alignment: toe, thrust angle, caster by a sweep, included angle, side slip. Pure.

Angles in radians, lengths in metres. Signs as the trade has them (read on a public page): toe-in
positive; camber positive when the top leans out; caster positive when the steering axis leans back
at its top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Towards = Literal["right", "left"]

IN_SERVICE_TOE = 1.5
"""Most toe in use, times the maker's value: 49 CFR 570.7(d) (read)."""
CROSS_LIMIT = math.radians(0.5)
"""Most difference from side to side where the maker gives none: common practice, no source."""
USUAL_SIDE_SLIP = 0.005
"""Most side slip where no toe is specified, 5 m in 1 km: common practice, no source."""


@dataclass(frozen=True, slots=True)
class DegreesMinutes:
    """An angle to the nearest minute; `negative` stands before both figures."""

    negative: bool
    degrees: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Thrust:
    """Which way the rear axle steers: the angle for either sign, and a sentence."""

    to_right: float
    reason: str

    @property
    def to_left(self) -> float:
        """The same angle counted positive to the left."""
        return -self.to_right if self.to_right else 0.0

    def by(self, positive: Towards) -> float:
        """The angle by the sign convention chosen."""
        return self.to_right if positive == "right" else self.to_left


Upright = Literal["alike", "bent", "moved"]


@dataclass(frozen=True, slots=True)
class UprightReading:
    """What the included angles of both sides say; the difference is left minus right."""

    kind: Upright
    difference: float
    reason: str


def toe_length(angle: float, diameter: float) -> float:
    """Toe of one wheel as a length, read across `diameter`: D sin(angle).

    The same angle gives another length at the rim, the tyre or a machine's own reference: the
    diameter belongs to the figure. Raises ValueError for a diameter not above nought or an angle
    of a right angle and more.
    """
    _check_diameter(diameter)
    if not abs(angle) < math.pi / 2:
        raise ValueError("Toe must be less than a right angle.")
    return diameter * math.sin(angle)


def toe_angle(length: float, diameter: float) -> float:
    """Toe of one wheel as an angle: asin(length / D). The inverse of `toe_length`.

    Raises ValueError when the length is not shorter than the diameter.
    """
    _check_diameter(diameter)
    if not abs(length) < diameter:
        raise ValueError("Toe as a length must be less than the diameter it is read across.")
    return math.asin(length / diameter)


def total_toe(left: float, right: float) -> float:
    """Total toe of an axle: left + right, both positive for toe-in (read on a public page)."""
    return left + right


def total_toe_of_gap(rear_minus_front: float, diameter: float) -> float:
    """Total toe when only the distance between the wheels was measured, behind and before the axle.

    Half of the difference belongs to each wheel: 2 asin(difference / 2D). Raises as `toe_angle`.
    """
    return 2 * toe_angle(rear_minus_front / 2, diameter)


def most_toe_in_service(specified: float) -> float:
    """1.5 times the maker's value, toe-in or toe-out: 49 CFR 570.7(d) (read)."""
    return IN_SERVICE_TOE * abs(specified)


def thrust(left_rear: float, right_rear: float) -> Thrust:
    """The thrust angle: half the difference of the rear toes, the bisector of the rear total toe.

    Toe-in of the left rear wheel points it to the right, so that positive to the right is
    (left - right) / 2; one maker's page writes (right - left) / 2, positive to the left (read
    second-hand). Both are given.
    """
    to_right = (left_rear - right_rear) / 2
    if to_right == 0:
        reason = "Both rear wheels toe alike: the rear axle drives straight along the middle."
    else:
        side, wheel = ("right", "left") if to_right > 0 else ("left", "right")
        reason = f"The {wheel} rear wheel toes in more, so the rear axle drives to the {side}."
    return Thrust(to_right, reason)


def included_angle(inclination: float, camber: float) -> float:
    """Steering axis inclination + camber, camber with its sign."""
    return inclination + camber


def cross(left: float, right: float) -> float:
    """Cross camber or cross caster: left minus right."""
    return left - right


def caster_of_sweep(camber_out: float, camber_in: float, sweep: float) -> float:
    """Caster from the camber read with the wheel turned out and in by `sweep` each way.

    (camber_out - camber_in) / (2 sin sweep). Good for the small cambers of a car; a gauge with a
    caster scale has done this already. Raises ValueError for a sweep not between 0 and 90 degrees.
    """
    if not 0 < sweep < math.pi / 2:
        raise ValueError("The sweep must lie between 0 and 90 degrees to each side.")
    return (camber_out - camber_in) / (2 * math.sin(sweep))


def side_slip_of(total: float) -> float:
    """Way to the side for each metre ahead that a total toe makes an axle push its plates apart.

    Total toe as a length over the diameter it is read across: 2 sin(total / 2); the arithmetic
    behind the table of 49 CFR 570.7(d) (read), with toe-in pushing outwards. Only for tyres
    rolling freely and without camber.
    """
    if not abs(total) < math.pi / 2:
        raise ValueError("Toe must be less than a right angle.")
    return 2 * math.sin(total / 2)


def toe_of_side_slip(slip: float) -> float:
    """The total toe that would make this side slip. The inverse of `side_slip_of`.

    Raises ValueError for a slip of a metre and more in one metre.
    """
    if not abs(slip) < 1:
        raise ValueError("Side slip must be less than the way ahead.")
    return 2 * math.asin(slip / 2)


def degrees_minutes(angle: float) -> DegreesMinutes:
    """An angle in degrees and minutes, to the nearest minute."""
    minutes = math.floor(abs(math.degrees(angle)) * 60 + 0.5 + 1e-9)
    return DegreesMinutes(angle < 0 and minutes > 0, minutes // 60, minutes % 60)


def compare_uprights(
    inclinations: tuple[float, float], cambers: tuple[float, float]
) -> UprightReading:
    """What the included angles of left and right say about bent and moved parts.

    The included angle belongs to the upright alone: unlike on both sides, an upright, stub axle or
    strut is bent; alike while camber and inclination are not, its mountings have moved. Half a
    degree counts as unlike. Common practice, no source.
    """
    left, right = (included_angle(*pair) for pair in zip(inclinations, cambers, strict=True))
    difference = left - right
    if _beyond_cross(difference):
        return UprightReading(
            "bent",
            difference,
            "The included angles differ from side to side: this points to a bent upright, stub "
            "axle or strut. It does not show which side: compare both with the maker's figure.",
        )
    if _beyond_cross(cambers[0] - cambers[1]) and _beyond_cross(inclinations[0] - inclinations[1]):
        return UprightReading(
            "moved",
            difference,
            "Camber and inclination differ from side to side while the included angles agree: this "
            "points to a subframe, arm or strut top that has moved, and speaks against a bent "
            "upright.",
        )
    return UprightReading("alike", difference, "The included angles of both sides agree.")


def _beyond_cross(difference: float) -> bool:
    return abs(difference) > CROSS_LIMIT * (1 + 1e-9)


def _check_diameter(diameter: float) -> None:
    if not math.isfinite(diameter) or diameter <= 0:
        raise ValueError("The diameter must be above nought.")
