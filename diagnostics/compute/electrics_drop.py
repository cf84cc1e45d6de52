"""Voltage lost along a circuit: against the trade's figures, and added up. Pure."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from shop.units import format_value

Side = Literal["supply", "ground"]

SAE_READ = "voltage-drop figures quoted from SAE on a repair manual's page, read"
GENERAL_READ = "general voltage-drop figures, read second-hand in an encyclopedia"

FAULT = 1.0
"""Volts. More than this in one circuit is a fault whatever it is made of: read, SAE as quoted."""
METER_RESOLUTION = 0.005
"""Volts. What a small-wire connection may show that loses nothing. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class DropRule:
    """What a place of one sort may lose, in V, with load. `mark`: R read, R2 read second-hand."""

    key: str
    says: str
    side: Side
    high: float
    mark: Literal["R", "R2"]
    source: str


def _rule(key: str, says: str, high: float, mark: Literal["R", "R2"], side: Side) -> DropRule:
    return DropRule(key, says, side, high, mark, SAE_READ if mark == "R" else GENERAL_READ)


RULES: Mapping[str, DropRule] = MappingProxyType(
    {
        rule.key: rule
        for rule in (
            _rule("small_connection", "Connection of a small wire", 0.0, "R", "supply"),
            _rule("heavy_connection", "Connection carrying high current", 0.1, "R", "supply"),
            _rule("cable", "Wire or cable", 0.2, "R", "supply"),
            _rule("contacts", "Contacts of a switch, relay or solenoid", 0.3, "R", "supply"),
            _rule("ground", "Ground path", 0.1, "R2", "ground"),
            _rule("starter_plus", "Starter, whole positive side", 0.6, "R2", "supply"),
            _rule("starter_minus", "Starter, whole negative side", 0.3, "R2", "ground"),
            _rule("charging_plus", "Charging, whole positive side", 0.5, "R2", "supply"),
            _rule("charging_minus", "Charging, whole negative side", 0.2, "R2", "ground"),
        )
    }
)


@dataclass(frozen=True, slots=True)
class DropJudged:
    """state: "good", "bad" (above its figure), "fault" (above 1.0 V). excess: V above the figure,
    0 when good."""

    state: Literal["good", "bad", "fault"]
    excess: float
    reason: str


def judge_drop(volts: float, rule: DropRule) -> DropJudged:
    """A drop in V, from 0 up, against the figure for its sort.

    A small-wire connection, for which the figure is 0 V, is good up to a meter's resolution of
    5 mV (common practice, no source). Raises ValueError with a sentence.
    """
    _must_be_drop(volts)
    shown, allowed = format_value(volts, "V"), format_value(rule.high, "V")
    what = rule.says[0].lower() + rule.says[1:]
    if volts > FAULT:
        reason = f"{shown} lost: more than 1 V is a fault in any circuit."
        return DropJudged("fault", volts - rule.high, reason)
    if volts <= (rule.high or METER_RESOLUTION):
        return DropJudged("good", 0.0, f"{shown} lost, and {allowed} is usual for this: {what}.")
    reason = f"{shown} lost, where {allowed} is the most for this: {what}."
    return DropJudged("bad", volts - rule.high, reason)


@dataclass(frozen=True, slots=True)
class Place:
    """One place along a circuit: its name, the key of its rule, the drop measured across it, V."""

    name: str
    rule: str
    drop: float


@dataclass(frozen=True, slots=True)
class Budget:
    """What a whole circuit loses, V.

    shares: each place with its part (0 to 1) of the total, greatest first; empty when nothing is
    lost. missing: source minus load minus total, None when these were not measured; below zero,
    more was found than is lost.
    """

    supply: float
    ground: float
    total: float
    shares: tuple[tuple[Place, float], ...]
    missing: float | None
    reason: str


def budget(
    places: Sequence[Place], source_volts: float | None = None, load_volts: float | None = None
) -> Budget:
    """Add up the drops along a circuit and name the greatest.

    In a closed circuit what the source gives is what the load gets and what the places lose
    (Kirchhoff), so with both voltages measured a place that was left out shows. Raises ValueError
    for no places, an unknown rule, or a drop below zero.
    """
    if not places:
        raise ValueError("Measure at least one place along the circuit.")
    for place in places:
        _must_be_drop(place.drop)
        if place.rule not in RULES:
            raise ValueError(f"“{place.rule}” is not a sort of place along a circuit.")
    supply = math.fsum(p.drop for p in places if RULES[p.rule].side == "supply")
    ground = math.fsum(p.drop for p in places if RULES[p.rule].side == "ground")
    total = supply + ground
    ordered = sorted(places, key=lambda place: -place.drop) if total > 0 else []
    shares = tuple((place, place.drop / total) for place in ordered)
    missing = None
    if source_volts is not None and load_volts is not None:
        missing = source_volts - load_volts - total
    return Budget(supply, ground, total, shares, missing, _budget_in_words(total, shares))


def _budget_in_words(total: float, shares: tuple[tuple[Place, float], ...]) -> str:
    if not shares:
        return "Nothing is lost along the circuit."
    worst, share = shares[0]
    return (
        f"{format_value(total, 'V', digits=3)} is lost in all, most of it here: {worst.name}, "
        f"{format_value(worst.drop, 'V', digits=3)} or {format_value(share, '%', decimals=0)}."
    )


@dataclass(frozen=True, slots=True)
class GroundPoint:
    """A place and its voltage over the battery's negative post under load, V from 0 up."""

    name: str
    drop: float


@dataclass(frozen=True, slots=True)
class GroundStep:
    """How much more one ground point loses than the next better one, V, and the ohms of that
    step when the current is known."""

    better: GroundPoint
    worse: GroundPoint
    drop: float
    ohms: float | None


@dataclass(frozen=True, slots=True)
class Grounds:
    """Ground points from best to worst, and the greatest step between neighbours (None with one
    point). spread: V between the best and the worst, which two modules take for a signal."""

    points: tuple[GroundPoint, ...]
    spread: float
    step: GroundStep | None


def compare_grounds(points: Sequence[GroundPoint], amps: float | None = None) -> Grounds:
    """Order ground points by their drop and find where most of it is lost.

    `amps`: the current through the path, above 0, None when not measured. Raises ValueError for no
    points, a drop below zero or a current that is not above zero.
    """
    if not points:
        raise ValueError("Measure at least one ground point.")
    if amps is not None and (not math.isfinite(amps) or amps <= 0):
        raise ValueError("Without current no joint loses voltage: switch the load on.")
    for point in points:
        _must_be_drop(point.drop)
    ordered = tuple(sorted(points, key=lambda point: point.drop))
    steps = [
        GroundStep(better, worse, worse.drop - better.drop, None)
        for better, worse in itertools.pairwise(ordered)
    ]
    widest = max(steps, key=lambda step: step.drop, default=None)
    if widest is not None and amps is not None:
        widest = GroundStep(widest.better, widest.worse, widest.drop, widest.drop / amps)
    return Grounds(ordered, ordered[-1].drop - ordered[0].drop, widest)


def _must_be_drop(volts: float) -> None:
    if not math.isfinite(volts) or volts < 0:
        raise ValueError("A voltage drop is not below zero: swap the meter's leads.")
