"""Pictures and tables of a braking test on the road. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.compute.braking import Rule
from diagnostics.compute.deceleration import APPROVALS, stopping_distance
from shop.charting import Axis, Chart, Dots, Layer, Line, Table
from shop.units import format_value, from_si

_STEPS = 40
_MARKS = {"R": "read", "R2": "read second-hand", "M": "from memory"}


@dataclass(frozen=True, slots=True)
class Shown:
    """The units of a report: miles per hour and feet by the US rule, else km/h and metres."""

    speed_unit: str
    length_unit: str

    def speed(self, metres_per_second: float) -> str:
        return format_value(metres_per_second, self.speed_unit, decimals=1)

    def length(self, metres: float) -> str:
        return format_value(metres, self.length_unit, decimals=1)

    def point(self, metres: float, metres_per_second: float) -> tuple[float, float]:
        return from_si(metres, self.length_unit), from_si(metres_per_second, self.speed_unit)


def shown_by(rule: Rule | None) -> Shown:
    """The units in which a report by this rule is written."""
    return Shown("mph", "ft") if rule is Rule.US else Shown("km/h", "m")


@dataclass(frozen=True, slots=True)
class Run:
    """A car slowed down from one speed and distance to another; SI, deceleration as driven."""

    from_speed: float
    to_speed: float
    from_distance: float
    to_distance: float
    deceleration: float


def speed_by_distance(run: Run, shown: Shown) -> Chart:
    """The run between its two marks, and on to the standstill at the same deceleration."""
    measured = _curve(run, run.from_distance, run.to_distance, shown)
    end = run.to_distance + run.to_speed**2 / (2 * run.deceleration)
    marks = (
        shown.point(run.from_distance, run.from_speed),
        shown.point(run.to_distance, run.to_speed),
    )
    layers: list[Layer] = [Line("Speed", measured, "value"), Dots("Measured", marks, "second")]
    if end > run.to_distance:
        onward = _curve(run, run.to_distance, end, shown)
        layers.insert(1, Line("On to standstill", onward, "soft", dashed=True))
    rows = tuple(
        (name, shown.speed(speed), shown.length(distance))
        for name, speed, distance in (
            ("From", run.from_speed, run.from_distance),
            ("To", run.to_speed, run.to_distance),
        )
    )
    return Chart(
        "Speed by distance",
        f"From {shown.speed(run.from_speed)} to {shown.speed(run.to_speed)} on "
        f"{shown.length(run.to_distance - run.from_distance)}, at one steady deceleration between.",
        Axis("Distance from the brake signal", shown.length_unit, zero=True),
        Axis("Speed", shown.speed_unit, zero=True),
        tuple(layers),
        table=Table("The two marks", ("", "Speed", "Distance"), rows),
    )


def _curve(run: Run, start: float, end: float, shown: Shown) -> tuple[tuple[float, float], ...]:
    points = []
    for step in range(_STEPS + 1):
        at = start + (end - start) * step / _STEPS
        square = run.from_speed**2 - 2 * run.deceleration * (at - run.from_distance)
        points.append(shown.point(at, math.sqrt(max(0.0, square))))
    return tuple(points)


def distance_by_speed(
    deceleration: float, measured: tuple[float, float], needed: float | None, shown: Shown
) -> Chart:
    """The level braking distance from every speed, beside what the rule asks for.

    measured: speed and level braking distance. needed: the least deceleration, None for no rule.
    """
    speed, distance = measured
    top = speed * 1.25
    layers: list[Layer] = [
        Line("This car", _distances(deceleration, top, shown), "value"),
        Dots("Measured", (_turned(shown.point(distance, speed)),), "second"),
    ]
    says = f"From {shown.speed(speed)} it takes {shown.length(distance)}"
    if needed is not None:
        layers.insert(0, Line("Allowed by the rule", _distances(needed, top, shown), "limit"))
        says += f"; the rule’s figure leaves {shown.length(stopping_distance(speed, needed))}"
    rows = tuple(
        (
            shown.speed(part * speed),
            shown.length(stopping_distance(part * speed, deceleration)),
            shown.length(stopping_distance(part * speed, needed)) if needed is not None else "",
        )
        for part in (0.5, 0.75, 1.0, 1.25)
    )
    return Chart(
        "Braking distance by speed",
        f"{says}. Twice the speed takes four times the distance.",
        Axis("Speed", shown.speed_unit, zero=True),
        Axis("Braking distance on the level", shown.length_unit, zero=True),
        tuple(layers),
        table=Table("Braking distances", ("Speed", "This car", "Allowed by the rule"), rows),
    )


def _distances(deceleration: float, top: float, shown: Shown) -> tuple[tuple[float, float], ...]:
    speeds = [top * step / _STEPS for step in range(_STEPS + 1)]
    return tuple(_turned(shown.point(stopping_distance(one, deceleration), one)) for one in speeds)


def _turned(point: tuple[float, float]) -> tuple[float, float]:
    return point[1], point[0]


def approvals(speed: float, shown: Shown) -> Table:
    """What type approval asks from this speed: information, with how sure each is."""
    rows = tuple(
        (
            one.test,
            shown.length(one.distance(speed)),
            format_value(one.deceleration, "m/s2", decimals=2),
            f"{one.source} ({_MARKS[one.mark]})",
        )
        for one in APPROVALS
    )
    return Table(
        f"For information: type approval’s formulas at {shown.speed(speed)}, no limit in service",
        ("Test of a new type", "Distance", "Deceleration", "Source"),
        rows,
    )
