"""The picture of a quantity against road speed, with its curve and band. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Protocol

from diagnostics.compute.steering_assist import FAST_SPEED, Compared, Curve, band_at
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.known import KnownCurve
from shop.charting import Axis, Band, Chart, Dots, Layer, Line, Role, Table
from shop.units import format_number, format_value, from_si, symbol_of

_ROLES: Mapping[VerdictKind, Role] = {
    VerdictKind.WITHIN: "good",
    VerdictKind.NEAR: "near",
    VerdictKind.OUTSIDE: "bad",
    VerdictKind.NOT_JUDGED: "soft",
}
_USUAL_SPEED = "km/h"


class Measured(Protocol):
    """What a picture needs of one side."""

    @property
    def values(self) -> Mapping[str, tuple[float, float]]: ...
    @property
    def known(self) -> KnownCurve | None: ...
    @property
    def curve(self) -> Curve | None: ...
    @property
    def compared(self) -> Mapping[str, Compared]: ...
    @property
    def most(self) -> float: ...


def speeds(count: int) -> str:
    """One speed, 3 speeds."""
    return "one speed" if count == 1 else f"{count} speeds"


def chart_of(name: str, unit: str, measured: Measured) -> Chart:
    """Measured values over road speed; with a curve its line and band, points by verdict."""
    speed_unit = measured.known.against_unit if measured.known else _USUAL_SPEED
    x = Axis("Road speed", symbol_of(speed_unit), zero=True)
    y = Axis(name, symbol_of(unit), zero=True)
    title = f"{name} by road speed"
    if measured.curve is None:
        points = _shown(sorted(measured.values.values()), speed_unit, unit)
        says = f"{name} at {speeds(len(points))}; no curve is known to lay over it."
        line = Line("Measured", points, dots=True)
        return Chart(title, says, x, y, (line,), table=_table(measured, speed_unit, unit))
    return Chart(
        title,
        _says(name, unit, speed_unit, measured.compared),
        x,
        y,
        (
            *_curve(measured.curve, measured, speed_unit, unit),
            *_points(measured.compared, speed_unit, unit),
        ),
        table=_table(measured, speed_unit, unit),
    )


def _shown(
    pairs: list[tuple[float, float]], speed_unit: str, unit: str
) -> tuple[tuple[float, float], ...]:
    return tuple((from_si(speed, speed_unit), from_si(value, unit)) for speed, value in pairs)


def _curve(curve: Curve, measured: Measured, speed_unit: str, unit: str) -> tuple[Layer, ...]:
    """The curve as far as something was measured, and a little on."""
    fastest = max(speed for speed, _ in measured.values.values())
    end = min(curve.last, max(1.2 * fastest, 2 * FAST_SPEED))
    knots = sorted({x for x, _ in curve.points if x < end} | {end})
    line = [(x, y) for x in knots if (y := curve.at(x)) is not None]
    band = []
    for x, y in line:
        low, high = band_at(y, curve.tolerance, unit=unit, most=measured.most)
        top = measured.most if high is None else high
        shown = tuple(from_si(value, unit) for value in (low or 0.0, top))
        band.append((from_si(x, speed_unit), *shown))
    allowed = tuple((x, low, high) for x, low, high in band if math.isfinite(high))
    return (
        Band("Allowed", allowed, "good"),
        Line("Curve", _shown(line, speed_unit, unit), "soft", dashed=True),
    )


def _points(compared: Mapping[str, Compared], speed_unit: str, unit: str) -> tuple[Layer, ...]:
    layers: list[Layer] = []
    for kind, role in _ROLES.items():
        pairs = [(c.speed, c.measured) for c in compared.values() if c.verdict.kind is kind]
        if pairs:
            layers.append(
                Dots(kind.word.capitalize(), _shown(sorted(pairs), speed_unit, unit), role)
            )
    return tuple(layers)


def _says(name: str, unit: str, speed_unit: str, compared: Mapping[str, Compared]) -> str:
    off = [one for one in compared.values() if one.verdict.kind is VerdictKind.OUTSIDE]
    if not off:
        return f"{name} lies in the band of its curve wherever it was judged."
    worst = max(off, key=lambda one: abs(one.off or 0.0))
    side = "above" if (worst.off or 0.0) > 0 else "below"
    return (
        f"{name} lies outside its band at {len(off)} of {speeds(len(compared))}, furthest {side} "
        f"it at {format_value(worst.speed, speed_unit)}: "
        f"{format_value(worst.measured, unit, digits=3)} instead of "
        f"{format_value(worst.expected or 0.0, unit, digits=3)}."
    )


def _table(measured: Measured, speed_unit: str, unit: str) -> Table:
    rows = []
    for key, (speed, value) in sorted(measured.values.items(), key=lambda item: item[1]):
        cells = [
            format_number(from_si(speed, speed_unit)),
            format_number(from_si(value, unit), digits=3),
        ]
        if measured.curve is not None:
            one = measured.compared[key]
            expected = one.expected
            shown = "no curve" if expected is None else _digits(expected, unit)
            cells += [shown, one.verdict.kind.word]
        rows.append(tuple(cells))
    heads = [f"Road speed, {symbol_of(speed_unit)}", f"Measured, {symbol_of(unit)}"]
    if measured.curve is not None:
        heads += [f"By the curve, {symbol_of(unit)}", "Verdict"]
    return Table("By road speed", tuple(heads), tuple(rows))


def _digits(value: float, unit: str) -> str:
    return format_number(from_si(value, unit), digits=3)
