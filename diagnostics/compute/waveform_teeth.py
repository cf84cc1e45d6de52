"""From edges to numbered teeth: which pulses are missing, too many, or far apart, and why. Pure.

From here on everything is counted in teeth, not in seconds, so that a wheel that gains or loses
speed looks like one that does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.compute.waveform_arrays import Numbers, Places, running_median, smoothed
from diagnostics.compute.waveform_edges import Edges

LEAST_PULSES = 6
MOST_BROKEN = 8
"""More teeth than this in one gap are a drop-out before they are a pattern of the ring."""

# Common practice, no source: an interval from here on is a gap; near a whole number of teeth.
_GAP, _NEAR_WHOLE = 1.6, 0.22
_EXPLAINED, _UNLIKE = 1.5, 3.0
_WEAK = 12.0
_REGULAR = 0.25
_EVEN_STEPS = 1e-3
_STRAYS, _DOZEN = 5, 12

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Gaps:
    """Intervals in which pulses are wanting, as arrays of one length.

    after: index of the pulse before the gap. missing: pulses wanting. slowing: the wheel's own
    change of speed accounts for it. faint: the signal around was too weak to tell.
    """

    after: Places
    missing: Places
    slowing: Flags
    faint: Flags

    @property
    def unexplained(self) -> Flags:
        return ~(self.slowing | self.faint)


@dataclass(frozen=True, slots=True, eq=False)
class Train:
    """The pulses of a capture, numbered by tooth.

    places: (m,) in samples with fractions. seconds: (m,). numbers: (m,) tooth numbers from 0 on,
    with those left out that gave no pulse. period: (m - 1,) seconds for one tooth in each
    interval. even: the local median of it. gaps: where pulses are wanting. spurious: pulses taken
    out because no tooth can be there. upward: whether rising edges were used. faint_from: period in
    seconds from which on a coil's signal is lost in the noise; infinite for other sensors.
    """

    places: Numbers
    seconds: Numbers
    numbers: Places
    period: Numbers
    even: Numbers
    gaps: Gaps
    spurious: int
    upward: bool
    faint_from: float


def number_teeth(seconds: Numbers, edges: Edges, *, coil: bool) -> Train | str:
    """The train of pulses, or the sentence that says why there is none.

    seconds: (n,) of the samples. coil: whether the height falls with the speed. Rising or falling
    edges are used, whichever come more evenly: in a coil sensor one of the two is steep. A gap is
    put down to the wheel when the speed before it (or after it) was already changing so fast that
    the wheel comes to rest, or that the interval comes out as long: with an even deceleration v
    squared falls evenly with the angle.
    """
    clock = _clock(seconds, edges)
    both = [_unspoilt(places, clock) for places in (edges.rising, edges.falling)]
    upward = _off_whole(both[0][1]) <= 1.02 * _off_whole(both[1][1])
    places, at, spurious = both[0] if upward else both[1]
    if places.size < LEAST_PULSES:
        return f"Only {places.size} pulses were found: too few to judge the ring or the wiring by."
    if _unevenness(at) > _REGULAR:
        return (
            "What goes up and down here does not come at regular intervals: it is noise or a loose "
            "contact rather than teeth."
        )
    keep = _turning(edges, places, at, coil=coil)
    places, at = places[keep], at[keep]
    interval, even, faint_from, gaps = _intervals(edges, places, at, coil=coil)
    steps = np.ones(interval.size, dtype=np.intp)
    steps[gaps.after] += gaps.missing
    numbers = np.concatenate([[0], np.cumsum(steps)]).astype(np.intp)
    return Train(
        places=places,
        seconds=at,
        numbers=numbers,
        period=interval / steps,
        even=even,
        gaps=gaps,
        spurious=spurious,
        upward=upward,
        faint_from=faint_from,
    )


def _intervals(
    edges: Edges, places: Numbers, at: Numbers, *, coil: bool
) -> tuple[Numbers, Numbers, float, Gaps]:
    """Seconds between pulses, their local median, from what on they are faint, and the gaps."""
    interval = np.diff(at)
    even = running_median(interval)
    faint_from = _faint_from(edges, places, even) if coil else np.inf
    gaps = _gaps(interval, even, is_faint(edges, places, even, faint_from), faint_from)
    return interval, even, faint_from, gaps


def _turning(edges: Edges, places: Numbers, at: Numbers, *, coil: bool) -> slice:
    """The pulses without a few strays before the wheel starts or after it has come to rest."""
    begin, end = 0, at.size
    for _ in range(_STRAYS):
        if end - begin < 3 * LEAST_PULSES:
            break
        part = slice(begin, end)
        _, _, _, gaps = _intervals(edges, places[part], at[part], coil=coil)
        rests = gaps.after[~gaps.unexplained]
        early = rests[rests + 1 < LEAST_PULSES]
        late = rests[end - begin - 1 - rests < LEAST_PULSES]
        if not early.size and not late.size:
            break
        end = begin + int(late.min()) + 1 if late.size else end
        begin = begin + int(early.max()) + 1 if early.size else begin
    return slice(begin, end)


def _clock(seconds: Numbers, edges: Edges) -> Numbers:
    """The time of each judged sample: of unequal steps the mean over the same window."""
    if not edges.half.size:
        return seconds
    steps = np.diff(seconds)
    if float(np.ptp(steps)) < _EVEN_STEPS * float(np.median(steps)):
        return seconds
    return smoothed(seconds, edges.half)


def _unevenness(at: Numbers) -> float:
    """Median departure of an interval from those around it, as a ratio."""
    if at.size < 3:
        return float("inf")
    interval = np.diff(at)
    return float(np.median(np.abs(interval / running_median(interval) - 1)))


def _off_whole(at: Numbers) -> float:
    """Mean departure of an interval from a whole number of teeth, as a ratio.

    Beside a missing tooth the signal lies on its middle, where one direction's edge may be found
    anywhere; the other one's comes exactly two teeth after the last.
    """
    if at.size < 3:
        return float("inf")
    interval = np.diff(at)
    return float(np.mean(_from_whole(interval / running_median(interval))))


def _unspoilt(places: Numbers, seconds: Numbers) -> tuple[Numbers, Numbers, int]:
    """Places and seconds of the edges, without those that stand between two teeth."""
    at = np.interp(places, np.arange(seconds.size, dtype=np.float64), seconds)
    dropped = 0
    for _ in range(3):
        if at.size < LEAST_PULSES:
            break
        interval = np.diff(at)
        ratio = interval / running_median(interval)
        stray = _stray(ratio)
        if not stray.size:
            break
        keep = np.ones(at.size, dtype=bool)
        keep[stray] = False
        places, at, dropped = places[keep], at[keep], dropped + int(stray.size)
    return places, at, dropped


def _stray(ratio: Numbers) -> Places:
    """Pulses whose two intervals are no whole numbers of teeth, but their sum is one."""
    one, other = ratio[:-1], ratio[1:]
    whole = np.abs(one + other - np.rint(one + other)) < _NEAR_WHOLE
    off = (_from_whole(one) > _NEAR_WHOLE) & (_from_whole(other) > _NEAR_WHOLE)
    short = np.minimum(one, other) < 1 - _NEAR_WHOLE
    long_enough = one + other > 1 - _NEAR_WHOLE
    # The wheel's own slowing makes long intervals that are no whole number: leave those alone.
    found = np.flatnonzero(whole & off & short & long_enough & (one + other < 3.5))
    # Of neighbours only the first: taking it out may mend the next.
    return found[np.diff(found, prepend=-2) > 1] + 1


def _from_whole(ratio: Numbers) -> Numbers:
    return np.asarray(np.abs(ratio - np.maximum(1, np.rint(ratio))), dtype=np.float64)


def _gaps(interval: Numbers, even: Numbers, weak: Flags, faint_from: float) -> Gaps:
    after = np.flatnonzero(interval > _GAP * even).astype(np.intp)
    length = interval[after]
    # One tooth's share of each interval, so that a gap beside a gap is not taken for slowing.
    tooth = interval / np.maximum(1, np.rint(interval / even))
    before_rate, slows = _one_side(tooth, after, -1, length, faint_from)
    after_rate, gains = _one_side(tooth, after, +1, length, faint_from)
    slowing = slows | gains
    missing = np.rint(length * (before_rate + after_rate) / 2).astype(np.intp) - 1
    faint = weak[after]
    # What the speed or the weak signal explains counts as no tooth lost.
    missing = np.where(slowing | faint, 0, np.maximum(missing, 1))
    return Gaps(after=after, missing=missing, slowing=slowing, faint=faint & ~slowing)


def is_faint(edges: Edges, places: Numbers, even: Numbers, faint_from: float) -> Flags:
    """For each interval whether the signal beside it is so weak that pulses get lost in the noise.

    What is taken for a top stands seven times above the noise that smoothing leaves: nearer than
    twelve times, some tops fail.
    """
    at = np.clip(np.rint(places).astype(np.intp), 0, edges.swing.size - 1)
    weak = edges.swing[at] < _WEAK * edges.left
    slowest = np.maximum(
        even, np.maximum(np.append(even[1:], even[-1]), np.append(even[0], even)[:-1])
    )
    return np.asarray(weak[:-1] | weak[1:] | (slowest > faint_from), dtype=np.bool_)


def _faint_from(edges: Edges, places: Numbers, even: Numbers) -> float:
    """A coil gives volts in proportion to hertz: the period at which they are too few."""
    at = np.clip(np.rint(places[:-1]).astype(np.intp), 0, edges.swing.size - 1)
    volts_per_hertz = float(np.median(edges.swing[at] * even))
    return volts_per_hertz / (_WEAK * edges.left) if edges.left > 0 else np.inf


def _one_side(
    tooth: Numbers, at: Places, way: int, length: Numbers, faint_from: float
) -> tuple[Numbers, Flags]:
    """Rate of teeth beside each gap, and whether the speed there explains the gap.

    tooth: seconds for one tooth in each interval. at: intervals with gaps, `length` seconds long;
    way: -1 for the side before, +1 for the one after.
    """
    beside = [at + way * step for step in (1, 2, 3)]
    within = [(place >= 0) & (place < tooth.size) for place in beside]
    taken = [tooth[np.clip(place, 0, tooth.size - 1)] for place in beside]
    other = np.clip(at - way, 0, tooth.size - 1)
    # With nothing on this side, the other side speaks for both.
    near = np.where(within[0], np.median(taken, axis=0), tooth[other])
    squares = [1 / one**2 for one in taken]
    fall = (squares[2] - squares[0]) / 2
    far, close = squares[2] - squares[1], squares[1] - squares[0]
    straight = (far > 0) & (close > far / _UNLIKE) & (close < far * _UNLIKE)
    ahead = squares[0] - fall
    stops = squares[0] - 2 * fall <= 0
    as_long = _EXPLAINED / np.sqrt(np.maximum(ahead, 1e-30)) >= length
    explains = within[2] & straight & (stops | as_long)
    return np.asarray(1 / near), np.asarray(explains | _fades(tooth, at, way, faint_from))


def _fades(tooth: Numbers, at: Places, way: int, faint_from: float) -> Flags:
    """Whether the speed over two dozen teeth goes to rest, or to where the signal is lost, there.

    The square of the speed falls in a straight line with the angle under an even deceleration;
    medians of the nearer and the farther dozen give the line, whatever single pulses do.
    """
    steps = at[:, None] + way * np.arange(1, 2 * _DOZEN + 1)
    known = ((steps >= 0) & (steps < tooth.size)).all(axis=1)
    squares = 1 / tooth[np.clip(steps, 0, tooth.size - 1)] ** 2
    near = np.median(squares[:, :_DOZEN], axis=1)
    slope = (np.median(squares[:, _DOZEN:], axis=1) - near) / _DOZEN
    there = near - slope * (_DOZEN + 1) / 2
    return np.asarray(known & (slope > 0) & (there - 2 * slope <= faint_from**-2), dtype=np.bool_)


def explained_at_the_end(train: Train, silence: float, *, first: bool) -> bool:
    """Whether speed or faintness at one end of the train explains so long a silence beyond it."""
    tooth = train.period[::-1] if first else train.period
    if tooth.size < 4:
        return False
    last = np.array([tooth.size], dtype=np.intp)
    length = np.array([silence])
    return bool(_one_side(tooth, last, -1, length, train.faint_from)[1][0])


def teeth_in(train: Train, chosen: Flags, count: int) -> Flags:
    """Teeth in the chosen gaps, and the one to either side."""
    edge = np.zeros(count + 2, dtype=np.intp)
    begin = np.minimum(train.numbers[train.gaps.after[chosen]], count)
    end = np.minimum(begin + train.gaps.missing[chosen] + 2, count + 1)
    np.add.at(edge, begin, 1)
    np.add.at(edge, end, -1)
    return np.asarray(np.cumsum(edge)[:count] > 0, dtype=np.bool_)


def restore(window: float) -> float:
    """The factor by which smoothing over the share `window` of a period lowered a sine."""
    return float(1 / np.sinc(window))
