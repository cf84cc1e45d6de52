"""Brake forces on rollers or plates: efficiency, imbalance, and what two rules say of them. Pure.

Forces in newton, mass in kilogram, shares as ratios. The two rules:

GB: inspection manual for cars and light vans, section 1 (carries out Directive 2014/45/EU); read in
a public copy of the government's text, not all of its parts. US: 49 CFR 570.5(d), from memory. The
testing authority's own current text decides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType

STANDARD_GRAVITY = 9.80665
"""m/s², exact by definition (CGPM 1901)."""

NEWER_CARS_FROM = date(2010, 9, 1)
GB_SERVICE_NEWER, GB_SERVICE_OLDER = 0.58, 0.50
GB_SECONDARY, GB_PARKING = 0.25, 0.16
GB_DANGEROUS_SHARE = 0.50
GB_SIDE_MAJOR, GB_SIDE_DANGEROUS = 0.30, 0.50
"""Imbalance above these: the lower wheel is under 70 %, under 50 % of the higher."""
GB_TOO_LIGHT = 40 * STANDARD_GRAVITY
US_SIDE = 0.25
_HAIR = 1e-9


class Rule(StrEnum):
    GB = "gb"
    US = "us"


class System(StrEnum):
    """Which brake was tried."""

    SERVICE = "service"
    SECONDARY = "secondary"
    PARKING = "parking"


class Standing(StrEnum):
    """How a figure stands before a rule, best first."""

    MET = "met"
    DISREGARDED = "disregarded"
    NOT_JUDGED = "not_judged"
    FAILED = "failed"
    MAJOR = "major"
    DANGEROUS = "dangerous"


@dataclass(frozen=True, slots=True)
class WheelForce:
    """The greatest force of one wheel in newton, and whether it locked on the rollers."""

    force: float
    locked: bool = False


@dataclass(frozen=True, slots=True)
class Efficiency:
    """value: total force over weight. required: None where the rule sets no figure."""

    total: float
    value: float
    required: float | None
    standing: Standing
    by_lock: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Imbalance:
    """value: (higher − lower)/higher. lower: "left", "right" or "" when they are equal."""

    value: float
    allowed: float | None
    standing: Standing
    lower: str
    reason: str


def share_of_weight(forces: Sequence[float], mass: float) -> float:
    """Brake efficiency as a ratio: the sum of the forces (N) over the weight of `mass` (kg).

    Source: GB inspection manual section 1, read. Raises ValueError for a force below nought, a mass
    that is not above it, or no force at all.
    """
    if not forces or not all(math.isfinite(one) and one >= 0 for one in forces):
        raise ValueError("A brake force is a number that is not below zero.")
    if not (math.isfinite(mass) and mass > 0):
        raise ValueError("The test weight is above zero.")
    return tidy(math.fsum(forces) / (mass * STANDARD_GRAVITY))


def side_difference(left: float, right: float) -> float:
    """(higher − lower)/higher as a ratio, 0 when neither wheel brakes.

    Source: GB inspection manual section 1, read. Not to be mixed up with the difference over the
    mean or over the left wheel. Raises ValueError for a force below nought.
    """
    if not all(math.isfinite(one) and one >= 0 for one in (left, right)):
        raise ValueError("A brake force is a number that is not below zero.")
    higher = max(left, right)
    return tidy((higher - min(left, right)) / higher) if higher else 0.0


def variation_in_a_turn(highest: float, lowest: float) -> float:
    """How much the force of one wheel swings within a turn at a steady pedal, as a ratio.

    (highest − lowest)/highest: common practice, no source. Raises ValueError when the lowest is
    above the highest, or a force is below nought.
    """
    if lowest > highest:
        raise ValueError("The least force within a turn cannot be above the greatest.")
    return side_difference(highest, lowest)


def tidy(value: float) -> float:
    """Without the last digits' noise, so that exactly 30 % is 30 %."""
    return float(f"{value:.12g}")


def gb_required(system: System, *, newer: bool) -> float:
    """The least efficiency as a ratio. newer: a car first used from 1 September 2010 on.

    Service 58 %, before that date and for light vans 50 %; secondary 25 %; parking 16 %. Read.
    """
    if system is System.SECONDARY:
        return GB_SECONDARY
    if system is System.PARKING:
        return GB_PARKING
    return GB_SERVICE_NEWER if newer else GB_SERVICE_OLDER


def is_newer(first_used: date) -> bool:
    """Whether the 58 % of the GB rule hold: first used on or after 1 September 2010 (read)."""
    return first_used >= NEWER_CARS_FROM


def efficiency(
    wheels: Sequence[WheelForce],
    mass: float,
    rule: Rule | None,
    *,
    system: System = System.SERVICE,
    newer: bool = True,
) -> Efficiency:
    """The efficiency of one brake system and how it stands. Forces N, mass kg.

    GB, read: below the required figure is major, below half of it dangerous; when more than half of
    the wheels of the system lock, it is taken as met. The US rule sets no efficiency.
    """
    value = share_of_weight([wheel.force for wheel in wheels], mass)
    total = math.fsum(wheel.force for wheel in wheels)
    if rule is not Rule.GB:
        why = "No rule was chosen." if rule is None else "The rule sets no brake efficiency."
        return Efficiency(total, value, None, Standing.NOT_JUDGED, False, why)
    required = gb_required(system, newer=newer)
    standing = gb_standing(value, required)
    locked = sum(wheel.locked for wheel in wheels)
    if standing is not Standing.MET and 2 * locked > len(wheels):
        why = (
            f"{locked} of {len(wheels)} wheels locked, more than half: the efficiency is taken as "
            "met."
        )
        return Efficiency(total, value, required, Standing.MET, True, why)
    why = "The total of the forces over the test weight."
    return Efficiency(total, value, required, standing, False, why)


def gb_standing(value: float, required: float) -> Standing:
    """Below the required efficiency is major, below half of it dangerous. Exactly on it is met."""
    if value < GB_DANGEROUS_SHARE * required - _HAIR:
        return Standing.DANGEROUS
    return Standing.MAJOR if value < required - _HAIR else Standing.MET


def imbalance(
    left: WheelForce, right: WheelForce, rule: Rule | None, *, steered: bool
) -> Imbalance:
    """The difference between the wheels of one axle, forces in N, and how it stands.

    GB, read: the lower wheel under 70 % of the other is major; under 50 % on a steered axle
    dangerous; left out of account when the lower wheel locked, or when the higher force is not
    above 40 kgf. US, from memory: more than 25 %; the rule does not name the base, the higher wheel
    is taken.
    """
    value = side_difference(left.force, right.force)
    lower = _lower(left, right)
    if rule is None:
        return Imbalance(value, None, Standing.NOT_JUDGED, lower, "No rule was chosen.")
    over = "The difference over the higher force."
    if rule is Rule.US:
        standing = Standing.FAILED if value > US_SIDE + _HAIR else Standing.MET
        return Imbalance(value, US_SIDE, standing, lower, over)
    why = _left_out(left, right, lower)
    if why:
        return Imbalance(value, GB_SIDE_MAJOR, Standing.DISREGARDED, lower, why)
    return Imbalance(value, GB_SIDE_MAJOR, _gb_side(value, steered=steered), lower, over)


def _lower(left: WheelForce, right: WheelForce) -> str:
    if left.force == right.force:
        return ""
    return "left" if left.force < right.force else "right"


def _left_out(left: WheelForce, right: WheelForce, lower: str) -> str:
    low = {"left": left, "right": right}.get(lower)
    if low is not None and low.locked:
        return f"Left out of account: the {lower} wheel, the lower one, locked."
    if max(left.force, right.force) <= GB_TOO_LIGHT * (1 + _HAIR):
        return "Left out of account: the higher force is not above 40 kgf."
    return ""


def _gb_side(value: float, *, steered: bool) -> Standing:
    if steered and value > GB_SIDE_DANGEROUS + _HAIR:
        return Standing.DANGEROUS
    return Standing.MAJOR if value > GB_SIDE_MAJOR + _HAIR else Standing.MET


_ORDER = {standing: place for place, standing in enumerate(Standing)}


def worst(standings: Mapping[str, Standing]) -> tuple[str, Standing] | None:
    """The worst of several by name; of equal ones the first. None when there is none."""
    if not standings:
        return None
    name = max(standings, key=lambda one: _ORDER[standings[one]])
    return name, standings[name]


LEFT_AND_RIGHT: Mapping[str, tuple[str, str]] = MappingProxyType(
    {"front": ("LF", "RF"), "rear": ("LR", "RR")}
)
"""The wheels of each axle, left one first."""
