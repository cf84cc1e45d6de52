"""Pictures of a switched drive: its duty over time, and a few periods of the signal. Pure."""

from __future__ import annotations

import numpy as np

from diagnostics.compute.pwm_capture import Pwm
from diagnostics.compute.waveform_arrays import Numbers, thinned
from diagnostics.measurements.channels import level_text
from shop.charting import Axis, Chart, Level, Line, Table
from shop.units import format_value

_ROWS, _PERIODS = 12, 8
_WHAT = {"V": "Voltage", "A": "Current"}


def draw(pwm: Pwm, seconds: Numbers, volts: Numbers, unit: str) -> tuple[Chart, ...]:
    """The duty over time where anything switches, and the signal itself."""
    signal = _signal(pwm, seconds, volts, unit)
    return (_duty(pwm), signal) if pwm.switches else (signal,)


def _rows(count: int) -> list[int]:
    return [int(k) for k in np.unique(np.linspace(0, count - 1, min(_ROWS, count)).astype(int))]


def _duty(pwm: Pwm) -> Chart:
    low, high = (format_value(v, "%", decimals=1) for v in (pwm.duty_from, pwm.duty_to))
    rows = tuple(
        (
            format_value(float(pwm.seconds[k]), "s", decimals=3),
            format_value(float(pwm.duty[k]), "%", decimals=1),
            format_value(float(pwm.hertz[k]), "Hz", digits=4),
        )
        for k in _rows(pwm.duty.size)
    )
    return Chart(
        title="Duty over time",
        says=f"Nine periods in ten have a duty between {low} and {high}.",
        x=Axis("Time", "s"),
        y=Axis("Duty", "%", 0.0, 100.0),
        layers=(Line("Each period", thinned(pwm.seconds, 100 * pwm.duty)),),
        table=Table("Duty over time", ("Time", "Duty", "Frequency"), rows),
    )


def _signal(pwm: Pwm, seconds: Numbers, volts: Numbers, unit: str) -> Chart:
    at, part = seconds, volts
    if pwm.switches:
        end = pwm.seconds[min(_PERIODS, pwm.seconds.size - 1)]
        inside = (seconds >= pwm.seconds[0]) & (seconds <= end)
        if np.count_nonzero(inside) > 1:
            at, part = seconds[inside], volts[inside]
    levels = (
        Level("Driven", pwm.on_volts, "soft"),
        Level("Off", pwm.off_volts, "soft"),
    )
    says = (
        f"The signal goes between {format_value(pwm.off_volts, unit, decimals=2)} while off and "
        f"{format_value(pwm.on_volts, unit, decimals=2)} while driven."
        if pwm.switches
        else f"The signal stands at {level_text(pwm.resting, unit)}."
    )
    rows = tuple(
        (
            format_value(float(at[k]), "s", decimals=4),
            level_text(float(part[k]), unit, digits=4),
        )
        for k in _rows(at.size)
    )
    return Chart(
        title="The signal closely",
        says=says,
        x=Axis("Time", "s"),
        y=Axis(_WHAT[unit], unit),
        layers=(Line("Signal", thinned(at, part)), *(levels if pwm.switches else ())),
        table=Table("The signal closely", ("Time", _WHAT[unit]), rows),
    )
