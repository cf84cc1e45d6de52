"""A switched (pulse-width modulated) drive, read from a capture. Pure.

Mean current through a resistive load, or through a coil switched fast: I = D V / R. The mean
voltage of an inductance is nought over whole periods, so that the mean current is the mean voltage
across the coil over its resistance, freewheeling and all (textbook; the worked figure 40 %, 13.5 V,
4.2 ohm gives 1.286 A).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.compute.waveform_arrays import Numbers
from diagnostics.compute.waveform_edges import Edges, find_edges
from diagnostics.compute.waveform_levels import duty_cycles, find_levels

LEAST_PERIODS = 2
_UNEVEN = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class Pwm:
    """seconds: (m,) begin of each whole period; duty, hertz: (m,) of each.

    duty_at, duty_from, duty_to: median, and the range of 90 % of the periods; likewise hertz.
    on_volts, off_volts: medians of the level while the load is driven and while it is not.
    resting: median volts where nothing switches (`duty` is then empty). steady: whether the periods
    are of equal length. noise: volts rms. reason: a sentence.
    """

    seconds: Numbers
    duty: Numbers
    hertz: Numbers
    duty_at: float
    duty_from: float
    duty_to: float
    hertz_at: float
    hertz_from: float
    hertz_to: float
    on_volts: float
    off_volts: float
    resting: float
    steady: bool
    noise: float
    reason: str

    @property
    def switches(self) -> bool:
        return bool(self.duty.size)


def judge_pwm(seconds: Numbers, volts: Numbers, *, on_when_high: bool) -> Pwm:
    """Duty and frequency of each period, and the two levels.

    seconds: (n,) strictly increasing; volts: (n,) finite. on_when_high: True across the load,
    False at the switched end of a load whose other end is at the supply. Raises ValueError with a
    sentence for arrays that do not fit; a signal that does not switch is told in the reason.
    """
    if seconds.ndim != 1 or seconds.shape != volts.shape:
        raise ValueError("Times and volts must be two rows of equal length.")
    edges = find_edges(volts)
    resting = float(np.median(volts)) if volts.size else 0.0
    levels = find_levels(volts, edges, np.zeros(volts.size, dtype=np.bool_))
    if levels is None or edges.rising.size <= LEAST_PERIODS:
        return _still(resting, edges)
    starts, share = _periods(edges)
    if share.size < LEAST_PERIODS:
        return _still(resting, edges)
    at = np.interp(starts, np.arange(seconds.size, dtype=np.float64), seconds)
    following = np.interp(
        edges.rising[1 : starts.size + 1], np.arange(seconds.size, dtype=np.float64), seconds
    )
    hertz = 1 / (following - at)
    duty = share if on_when_high else 1 - share
    duty_from, duty_at, duty_to = (float(v) for v in np.percentile(duty, (5, 50, 95)))
    hertz_from, hertz_at, hertz_to = (float(v) for v in np.percentile(hertz, (5, 50, 95)))
    steady = hertz_to - hertz_from < _UNEVEN * hertz_at
    return Pwm(
        seconds=at,
        duty=duty,
        hertz=hertz,
        duty_at=duty_at,
        duty_from=duty_from,
        duty_to=duty_to,
        hertz_at=hertz_at,
        hertz_from=hertz_from,
        hertz_to=hertz_to,
        on_volts=levels.high if on_when_high else levels.low,
        off_volts=levels.low if on_when_high else levels.high,
        resting=resting,
        steady=steady,
        noise=edges.noise,
        reason=f"{duty.size} whole periods were read. {levels.reason}",
    )


def _periods(edges: Edges) -> tuple[Numbers, Numbers]:
    """Begin of each whole period, in samples, and the share of it before the falling edge."""
    share = duty_cycles(edges)
    # Edges of both directions take turns, so that only an end of the capture can be left over.
    return edges.rising[: share.size], share


def _still(resting: float, edges: Edges) -> Pwm:
    none = np.zeros(0)
    return Pwm(
        seconds=none,
        duty=none,
        hertz=none,
        duty_at=0.0,
        duty_from=0.0,
        duty_to=0.0,
        hertz_at=0.0,
        hertz_from=0.0,
        hertz_to=0.0,
        on_volts=resting,
        off_volts=resting,
        resting=resting,
        steady=False,
        noise=edges.noise,
        reason=f"Nothing switches here. {edges.reason}"
        if not edges.found
        else f"Fewer than {LEAST_PERIODS} whole periods were captured.",
    )


def mean_over_periods(seconds: Numbers, values: Numbers, begin: float, end: float) -> float:
    """Mean of a channel from `begin` to `end` (seconds), by trapezia; plain mean when empty.

    Over whole periods, so that a part of one does not tilt it.
    """
    inside = (seconds >= begin) & (seconds <= end)
    if np.count_nonzero(inside) < 2:
        return float(np.mean(values)) if values.size else 0.0
    at, what = seconds[inside], values[inside]
    return float(np.sum((what[1:] + what[:-1]) / 2 * np.diff(at)) / (at[-1] - at[0]))


def mean_current(duty: float, on_volts: float, off_volts: float, ohms: float) -> float:
    """Mean current in ampere through `ohms` driven for the share `duty` of the time.

    on_volts, off_volts: across the load. With off_volts nought it is I = D V / R. Raises ValueError
    for a resistance that is not above nought.
    """
    if not ohms > 0:
        raise ValueError("A resistance must be above nought for a current to follow.")
    return (duty * on_volts + (1 - duty) * off_volts) / ohms
