"""Four compared wheels as a table and a picture. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnostics.compute.four_wheels import Comparison
from diagnostics.measurements.fields import FOUR_WHEELS
from shop.charting import Axis, Bars, Chart, Level, Line, Role, Table
from shop.units import NO_BREAK_SPACE, format_number, format_value, from_si

_NAMES = dict(FOUR_WHEELS)
_LINES: Mapping[str, Role] = {"LF": "value", "RF": "second", "LR": "third", "RR": "fourth"}
_BELOW_NOTHING = -130.0
_READINGS = ("First", "Second", "Third")


def _signed(ratio: float) -> str:
    """A deviation with its sign: "+4.8 %"."""
    shown = format_number(from_si(ratio, "%"), decimals=1)
    return f"{'+' if ratio > 0 and shown != '0.0' else ''}{shown}{NO_BREAK_SPACE}%"


def table_of(
    found: Comparison, sets: Sequence[Mapping[str, float]], unit: str, decimals: int
) -> Table:
    """What each wheel showed and how far it lies from the others, reading by reading."""
    heads = ["Wheel"]
    for name, _ in zip(_READINGS, sets, strict=False):
        heads += [f"{name} reading", "Against the others"]
    rows = []
    for wheel in found.wheels:
        row = [_NAMES[wheel.wheel]]
        for one, off in zip(sets, wheel.deviations, strict=True):
            row += [format_value(one[wheel.wheel], unit, decimals=decimals), _signed(off)]
        rows.append(tuple(row))
    return Table("Each wheel against the others", tuple(heads), tuple(rows))


def chart_of(found: Comparison, road_unit: str, limits: tuple[float, float]) -> Chart:
    """Bars for one reading; lines over road speed for more. limits: ratios, low and high."""
    if len(found.road) == 1:
        return _bars(found, limits)
    return _lines(found, road_unit, limits)


def _levels(limits: tuple[float, float]) -> tuple[Level, ...]:
    return tuple(Level(_signed(at), from_si(at, "%")) for at in limits)


def _furthest(found: Comparison) -> str:
    worst = max(found.wheels, key=lambda one: abs(one.worst))
    return f"{_NAMES[worst.wheel]} lies furthest from the others, {_signed(worst.worst)}."


def _bars(found: Comparison, limits: tuple[float, float]) -> Chart:
    low, high = limits
    roles: tuple[Role, ...] = tuple(
        "good" if low <= wheel.worst <= high else "bad" for wheel in found.wheels
    )
    bars = tuple((_NAMES[w.wheel], round(from_si(w.worst, "%"), 1)) for w in found.wheels)
    # Room for the figure under the bar of a wheel that shows nothing.
    low_end = _BELOW_NOTHING if any(wheel.lost for wheel in found.wheels) else None
    return Chart(
        title="Each wheel against the others",
        says=_furthest(found),
        x=Axis("Wheel"),
        y=Axis("Against the others", "%", low=low_end),
        layers=(Bars("Against the others", bars, roles), *_levels(limits)),
    )


def _lines(found: Comparison, road_unit: str, limits: tuple[float, float]) -> Chart:
    order = sorted(range(len(found.road)), key=lambda place: found.road[place])
    lines = tuple(
        Line(
            _NAMES[wheel.wheel],
            tuple(
                (from_si(found.road[at], road_unit), from_si(wheel.deviations[at], "%"))
                for at in order
            ),
            role=_LINES[wheel.wheel],
            dots=True,
        )
        for wheel in found.wheels
    )
    label = "Frequency of the others" if road_unit == "Hz" else "Road speed"
    return Chart(
        title="Each wheel against the others by speed",
        says=_furthest(found),
        x=Axis(label, road_unit, zero=True),
        y=Axis("Against the others", "%"),
        layers=(*lines, *_levels(limits)),
    )
