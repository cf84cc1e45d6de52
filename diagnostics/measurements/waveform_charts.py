"""Pictures of a wheel-speed signal: its speed, its height, one turn, and the worst place. Pure."""

from __future__ import annotations

import numpy as np

from diagnostics.compute.waveform import Pulses, Sensor, Waveform
from diagnostics.compute.waveform_arrays import Numbers, thinned
from diagnostics.compute.waveform_dropouts import DropOut
from diagnostics.measurements.channels import level_text
from shop.charting import Axis, Band, Chart, Dots, Layer, Level, Line, Table
from shop.units import format_number, format_value, from_si

ROWS = 12
_MOST_BANDS = 20
_TEETH_SHOWN = 7
_WHAT = {"V": "Voltage", "A": "Current"}


def unit_of_height(pulses: Pulses, unit: str) -> str:
    """In which of V and mV, or A and mA, the height is shown."""
    return f"m{unit}" if pulses.swing_at_highest < 1 else unit


def draw(
    waveform: Waveform, seconds: Numbers, volts: Numbers, *, unit: str = "V"
) -> tuple[Chart, ...]:
    """Every picture that the signal is good for. `volts`: ampere when `unit` is A."""
    pulses = waveform.pulses
    if pulses is None:
        return (_as_captured(seconds, volts, unit),)
    charts = [_speed(pulses), _height(pulses, unit)]
    if pulses.turn.size:
        charts += _turns(pulses, waveform.sensor)
    return (*charts, _closely(pulses, seconds, volts, unit))


def _rows(x: Numbers, *columns: tuple[Numbers, str]) -> tuple[tuple[str, ...], ...]:
    """A dozen rows through the columns, each with its unit."""
    chosen = np.unique(np.linspace(0, x.size - 1, min(ROWS, x.size)).astype(int))
    return tuple(
        (
            format_value(float(x[k]), "s", decimals=3),
            *(level_text(float(values[k]), unit, digits=4) for values, unit in columns),
        )
        for k in chosen
    )


def _as_captured(seconds: Numbers, volts: Numbers, unit: str) -> Chart:
    low, high = (float(volts.min()), float(volts.max())) if volts.size else (0.0, 0.0)
    says = f"The signal as captured, between {level_text(low, unit)} and {level_text(high, unit)}."
    table = Table("The signal as captured", ("Time", _WHAT[unit]), _rows(seconds, (volts, unit)))
    return Chart(
        title="The signal as captured",
        says=says,
        x=Axis("Time", "s"),
        y=Axis(_WHAT[unit], unit),
        layers=(Line("Signal", thinned(seconds, volts)),),
        table=table if volts.size else None,
    )


def _bands(drop_outs: tuple[DropOut, ...], low: float, high: float) -> tuple[Layer, ...]:
    """The longest drop-outs as bands, in the order of time; the longest of all bears the name."""
    longest = sorted(drop_outs, key=lambda one: one.lasts, reverse=True)[:_MOST_BANDS]
    name = "Drop-out" if len(longest) == 1 else "Drop-outs"
    return tuple(
        Band(
            name if one is longest[0] else "",
            ((one.begin, low, high), (one.end, low, high)),
            "bad",
        )
        for one in sorted(longest, key=lambda one: one.begin)
    )


def _speed(pulses: Pulses) -> Chart:
    at, hertz = pulses.train.seconds[:-1], pulses.hertz
    first, last, lowest, highest = (
        format_value(float(value), "Hz", digits=3)
        for value in (hertz[0], hertz[-1], pulses.lowest_hz, pulses.highest_hz)
    )
    says = f"The frequency goes from {first} to {last}"
    # Where the ends of the capture are its lowest and its highest, they were just said.
    says += "." if {lowest, highest} == {first, last} else f", between {lowest} and {highest}."
    return Chart(
        title="Frequency over time",
        says=says,
        x=Axis("Time", "s"),
        y=Axis("Frequency", "Hz", zero=True),
        layers=(
            *_bands(pulses.drop_outs.silent, 0.0, float(hertz.max())),
            Line("Mean of nine teeth", thinned(at, hertz)),
        ),
        table=Table("Frequency over time", ("Time", "Frequency"), _rows(at, (hertz, "Hz"))),
    )


def _height(pulses: Pulses, captured: str) -> Chart:
    unit = unit_of_height(pulses, captured)
    at, swing = pulses.train.seconds[:-1], pulses.heights.swing
    scale = from_si(1.0, unit)
    # Across a drop-out the line's own jump is no height of a tooth.
    whole = np.ones(swing.size, dtype=np.bool_)
    whole[pulses.train.gaps.after[pulses.train.gaps.unexplained & ~pulses.ring.own]] = False
    at, swing = at[whole], swing[whole]
    count = len(pulses.drop_outs.silent)
    one = "one drop-out is marked" if count == 1 else f"{count} drop-outs are marked"
    fails = one if count else "there is no drop-out"
    says = (
        f"Peak to peak between {format_value(float(swing.min()), unit, digits=3)} and "
        f"{format_value(float(swing.max()), unit, digits=3)}; {fails}."
    )
    return Chart(
        title="Peak to peak over time",
        says=says,
        x=Axis("Time", "s"),
        y=Axis("Peak to peak", unit, zero=True),
        layers=(
            *_bands(pulses.drop_outs.silent, 0.0, float(swing.max()) * scale),
            Line("Each tooth", thinned(at, swing * scale)),
        ),
        table=Table("Peak to peak over time", ("Time", "Peak to peak"), _rows(at, (swing, unit))),
    )


def _turns(pulses: Pulses, sensor: Sensor) -> list[Chart]:
    ring = pulses.ring
    shifted = ring.count("displaced") > 0
    charts = []
    if sensor is Sensor.COIL or not shifted:
        charts.append(
            _one_turn(
                pulses, pulses.turn, "One turn: height of each tooth", "Height against the others"
            )
        )
    if shifted:
        charts.append(
            _one_turn(
                pulses, ring.pitches, "One turn: pitch of each tooth", "Pitch against the others"
            )
        )
    return charts


def _one_turn(pulses: Pulses, values: Numbers, title: str, label: str) -> Chart:
    ring = pulses.ring
    odd = {tooth.number: tooth.kind for tooth in ring.odd}
    points = tuple((k + 1.0, 100 * float(value)) for k, value in enumerate(values))
    bad = tuple(point for point in points if int(point[0]) in odd)
    layers: list[Layer] = [
        Line("Median over the turns", points, dots=values.size <= 60),
        Level("As the others", 100.0, "soft"),
    ]
    if bad:
        kinds = " or ".join(dict.fromkeys(odd.values()))
        layers.append(Dots(kinds.capitalize(), bad, "bad"))
    named = ", ".join(f"tooth {number} ({kind})" for number, kind in odd.items())
    rows = tuple(
        (str(k + 1), format_value(float(value), "%", digits=3), odd.get(k + 1, "like the others"))
        for k, value in enumerate(values)
    )
    return Chart(
        title=title,
        says=f"Out of line: {named}." if named else "No tooth stands out from its neighbours.",
        x=Axis("Tooth, from the first in the capture", "", 1.0, float(values.size)),
        y=Axis(label, "%", zero=True),
        layers=tuple(layers),
        table=Table(title, ("Tooth", label, "Judged"), rows),
    )


def _closely(pulses: Pulses, seconds: Numbers, volts: Numbers, unit: str) -> Chart:
    """The signal itself around the worst place."""
    begin, end, what = _worst(pulses)
    inside = (seconds >= begin) & (seconds <= end)
    at, part = seconds[inside], volts[inside]
    if at.size < 2:
        at, part = seconds, volts
    low, high = float(part.min()), float(part.max())
    within = tuple(one for one in pulses.drop_outs.silent if one.end > at[0] and one.begin < at[-1])
    clipped = tuple(
        DropOut(
            max(one.begin, float(at[0])),
            min(one.end, float(at[-1])),
            one.lasts,
            one.teeth,
            one.level,
        )
        for one in within
    )
    return Chart(
        title="The signal closely",
        says=f"The captured signal {what}, {format_number(float(at[0]), decimals=3)} to "
        f"{format_number(float(at[-1]), decimals=3)} s.",
        x=Axis("Time", "s"),
        y=Axis(_WHAT[unit], unit),
        layers=(*_bands(clipped, low, high), Line("Signal", thinned(at, part))),
        table=Table("The signal closely", ("Time", _WHAT[unit]), _rows(at, (part, unit))),
    )


def _worst(pulses: Pulses) -> tuple[float, float, str]:
    """Begin and end of the stretch most worth looking at, and what is there."""
    train, ring = pulses.train, pulses.ring
    around = _TEETH_SHOWN * float(np.median(train.even))
    if ring.odd:
        odd = min(ring.odd, key=lambda tooth: tooth.height)
        passes = np.flatnonzero(ring.places == odd.number - 1)
        # The pass that looks most like the median of all: not one that lies in a drop-out.
        inner = passes[1:-1] if passes.size > 2 else passes
        apart = np.abs(pulses.heights.ratio[inner] - odd.height)
        k = int(inner[int(apart.argmin())])
        at = float(pulses.heights.seconds[k])
        around = _TEETH_SHOWN * float(pulses.heights.period[k])
        return at - around, at + around, f"around tooth {odd.number}, which is {odd.kind}"
    if pulses.drop_outs.silent:
        one = max(pulses.drop_outs.silent, key=lambda drop_out: drop_out.lasts)
        around = max(around, (one.end - one.begin) / 3)
        return one.begin - around, one.end + around, "around the longest drop-out"
    if pulses.drop_outs.weak:
        weak = pulses.drop_outs.weak[0]
        return weak.begin - around, weak.end + around, "around the first weak stretch"
    at = float(train.seconds[int(np.argmin(pulses.heights.swing))])
    return at - around, at + around, "where it is lowest"
