"""The two levels of a signal that switches, and how long it stands at each. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.compute.waveform_arrays import Numbers
from diagnostics.compute.waveform_edges import Edges
from diagnostics.compute.waveform_teeth import Flags

# Two-wire current sensor with a 12 V supply, amperes: read in a public manual archive.
LOW_CURRENT = (0.0059, 0.0084)
HIGH_CURRENT = (0.0118, 0.0168)

_CLEAR = 0.25
_NOT_TWO_LEVELS = 0.2


@dataclass(frozen=True, slots=True)
class Levels:
    """low, high: volts, medians of the two plateaux; low_from.. high_to: where 90 % of the samples
    of each lie. between: share of the time spent on neither. duty: median share of a period at the
    high level, with the range of 90 % of the periods. two: whether these are two levels at all.
    reason: a sentence.
    """

    low: float
    high: float
    low_from: float
    low_to: float
    high_from: float
    high_to: float
    between: float
    duty: float
    duty_from: float
    duty_to: float
    two: bool
    reason: str


def find_levels(volts: Numbers, edges: Edges, lost: Flags) -> Levels | None:
    """The plateaux of a switching signal; None where nothing switches.

    lost: samples that lie in drop-outs and do not count. A sample belongs to a plateau when it is
    at least a quarter of the local height away from the local middle.
    """
    if not edges.found:
        return None
    counts = ~lost
    apart = volts - edges.middle
    clear = _CLEAR * edges.swing
    high = volts[counts & (apart > clear)]
    low = volts[counts & (apart < -clear)]
    if not high.size or not low.size:
        return None
    total = max(1, int(np.count_nonzero(counts)))
    between = 1 - (high.size + low.size) / total
    low_from, low_at, low_to = (float(v) for v in np.percentile(_thinned(low), (5, 50, 95)))
    high_from, high_at, high_to = (float(v) for v in np.percentile(_thinned(high), (5, 50, 95)))
    duty = duty_cycles(edges)
    duty_from, duty_at, duty_to = (
        (float(v) for v in np.percentile(duty, (5, 50, 95))) if duty.size else (0.0, 0.0, 0.0)
    )
    two = between < _NOT_TWO_LEVELS
    return Levels(
        low=low_at,
        high=high_at,
        low_from=low_from,
        low_to=low_to,
        high_from=high_from,
        high_to=high_to,
        between=between,
        duty=duty_at,
        duty_from=duty_from,
        duty_to=duty_to,
        two=two,
        reason=(
            "The signal stands at two levels."
            if two
            else "The signal does not stand at two levels: it spends "
            f"{100 * between:.0f} % of its time on its way between them."
        ),
    )


def _thinned(values: Numbers) -> Numbers:
    return values[:: max(1, values.size // 50_000)]


def duty_cycles(edges: Edges) -> Numbers:
    """For each period from one rising edge to the next: the share of it before the falling edge."""
    rising, falling = edges.rising, edges.falling
    if rising.size < 2 or not falling.size:
        return np.zeros(0)
    following = np.searchsorted(falling, rising[:-1])
    inside = following < falling.size
    fall = falling[np.minimum(following, falling.size - 1)]
    share = (fall - rising[:-1]) / np.diff(rising)
    return np.asarray(share[inside & (share > 0) & (share < 1)], dtype=np.float64)
