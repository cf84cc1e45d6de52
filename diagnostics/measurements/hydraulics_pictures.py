"""The charts of hydraulic measurements. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence

from diagnostics.compute.hydraulics_hold import Hold
from diagnostics.measurements.hydraulics_words import bar
from shop.charting import Axis, Bars, Chart, Dots, Layer, Level, Line, Role
from shop.units import from_si

_STEPS = 60
_SIDES: tuple[Role, ...] = ("value", "second", "third", "fourth")


def hold_chart(
    seconds: Sequence[float], pascals: Sequence[float], found: Hold, lowest: float | None
) -> Chart:
    """Pressure against time, the fit that suits its shape, and the lowest allowed after 30 s."""
    since = [at - seconds[0] for at in seconds]
    name, curve = _curve(found)
    fine = [since[-1] * step / _STEPS for step in range(_STEPS + 1)]
    layers: list[Layer] = [
        Line(name, tuple((at, from_si(curve(at), "bar")) for at in fine), "second", dashed=True),
        Dots("Read", tuple((at, from_si(p, "bar")) for at, p in zip(since, pascals, strict=True))),
    ]
    if lowest is not None and lowest > 0:
        layers.append(Level("Least after 30 s", from_si(lowest, "bar")))
    return Chart(
        "Pressure over time",
        f"From {bar(pascals[0])} to {bar(pascals[-1])}. {found.reason}",
        Axis("Time", "s"),
        Axis("Pressure", "bar"),
        tuple(layers),
    )


def _curve(found: Hold) -> tuple[str, Callable[[float], float]]:
    settling, decay, line = found.settling, found.decay, found.line
    if found.shape in ("settles", "slows") and settling:
        return (
            "Settling, fitted",
            lambda at: settling.rest + settling.fall * math.exp(-at / settling.tau),
        )
    # A leak through a small hole is an exponential; a line is as good until much is lost.
    if found.shape == "leaks" and decay and decay.rms < line.rms:
        return "Decay, fitted", lambda at: decay.start * math.exp(-at / decay.tau)
    return "Straight line, fitted", lambda at: line.start + line.slope * at


def sides_chart(values: Mapping[str, float], low: Collection[str]) -> Chart:
    """Places side by side, Pa; `low` are those that are too low."""
    return Chart(
        "Side to side",
        "; ".join(f"{place} {bar(pressure)}" for place, pressure in values.items()) + ".",
        Axis(""),
        Axis("Pressure", "bar", zero=True),
        (
            Bars(
                "Pressure",
                tuple((place, from_si(pressure, "bar")) for place, pressure in values.items()),
                tuple("bad" if place in low else "value" for place in values),
            ),
        ),
    )


def pushes_chart(by_wheel: Mapping[str, Sequence[tuple[float, float]]]) -> Chart:
    """Pressure in Pa against pedal force in N for each wheel."""
    return Chart(
        "Pressure against pedal force",
        "One line a wheel: the lines of one axle should lie on each other.",
        Axis("Pedal force", "N", zero=True),
        Axis("Pressure", "bar", zero=True),
        tuple(
            Line(place, tuple((force, from_si(p, "bar")) for force, p in points), role, dots=True)
            for role, (place, points) in zip(_SIDES, by_wheel.items(), strict=False)
        ),
    )


def flow_chart(points: Sequence[tuple[float, float]], expected: float | None) -> Chart:
    """Flow in m³/s against pressure in Pa, with what the displacement promises."""
    layers: list[Layer] = [
        Line(
            "Measured",
            tuple((from_si(p, "bar"), from_si(q, "l/min")) for p, q in points),
            dots=True,
        )
    ]
    if expected is not None:
        layers.append(Level("Expected", from_si(expected, "l/min")))
    first, last = points[0], points[-1]
    return Chart(
        "Flow against pressure",
        f"From {from_si(first[1], 'l/min'):.1f} l/min at {bar(first[0], 0)} to "
        f"{from_si(last[1], 'l/min'):.1f} l/min at {bar(last[0], 0)}.",
        Axis("Pressure", "bar", zero=True),
        Axis("Flow", "l/min", zero=True),
        tuple(layers),
    )
