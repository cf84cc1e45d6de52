"""Where the pulses fail for a while, and the wheel does not explain it: the wiring's part. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from diagnostics.compute.waveform_arrays import Numbers, Places
from diagnostics.compute.waveform_edges import Edges
from diagnostics.compute.waveform_heights import Heights
from diagnostics.compute.waveform_teeth import Flags, Train, explained_at_the_end, is_faint

MOST_LISTED = 500

# Common practice, no source: fewer pulses than this between two gaps make them one; so much
# longer than a tooth must silence at either end be; so far down is a signal weak; a step this many
# times the usual one is a hole in the recording.
_APART, _SILENCE, _WEAK, _HOLE = 4, 3.0, 0.5, 5.0


@dataclass(frozen=True, slots=True)
class DropOut:
    """A time without pulses, or with weak ones.

    begin, end: seconds, of the last pulse before and the first one after. lasts: seconds in which
    pulses are wanting. teeth: how many, from the speed to either side. level: median volts within.
    where: "within", or that it lasts from the capture's start or to its end.
    """

    begin: float
    end: float
    lasts: float
    teeth: int
    level: float
    where: Literal["within", "start", "end"] = "within"


@dataclass(frozen=True, slots=True)
class DropOuts:
    """silent: times without pulses; weak: times with pulses under half of their usual height.

    holes: gaps left out because the instrument itself recorded nothing there.
    more: how many beyond the first 500 are not listed. reason: a sentence.
    """

    silent: tuple[DropOut, ...]
    weak: tuple[DropOut, ...]
    holes: int
    more: int
    reason: str


@dataclass(frozen=True, slots=True, eq=False)
class Channel:
    """seconds, volts: (n,) as captured; edges: what was found in them."""

    seconds: Numbers
    volts: Numbers
    edges: Edges


def find_drop_outs(
    channel: Channel, train: Train, own: Flags, heights: Heights, usual: Numbers
) -> DropOuts:
    """The gaps that are neither the ring's own nor the wheel's slowing, and the weak stretches.

    own: which of the train's gaps belong to the ring. usual: (k,) height of each tooth over what
    it should be at its speed and place, 1 for sound.
    """
    foreign = train.gaps.unexplained & ~own
    silent, holes, more = _within(channel, train, foreign)
    ends = _at_the_ends(channel, train)
    found = sorted([*silent, *ends], key=lambda one: one.begin)
    slowing = int(np.count_nonzero(~train.gaps.unexplained))
    reason = (
        f"{len(found) + more} drop-outs; {slowing} longer intervals are explained by the wheel "
        "slowing or by a signal too weak to tell."
    )
    weak = _weak(train, heights, usual)
    return DropOuts(tuple(found), weak, holes, more, reason)


def _within(channel: Channel, train: Train, foreign: Flags) -> tuple[list[DropOut], int, int]:
    after = train.gaps.after[foreign]
    missing = train.gaps.missing[foreign]
    if not after.size:
        return [], 0, 0
    apart = np.concatenate([[True], np.diff(after) > _APART])
    first = np.flatnonzero(apart)
    last = np.append(first[1:], after.size) - 1
    teeth = np.add.reduceat(missing, first)
    wanting = np.add.reduceat(missing * train.period[after], first)
    step = np.diff(channel.seconds)
    hole_at = np.flatnonzero(step > _HOLE * np.median(step))
    begin, end = train.places[after[first]], train.places[after[last] + 1]
    inside = np.searchsorted(hole_at, end) - np.searchsorted(hole_at, np.floor(begin))
    true = np.flatnonzero(inside == 0)
    listed = [
        DropOut(
            begin=float(train.seconds[after[first[k]]]),
            end=float(train.seconds[after[last[k]] + 1]),
            lasts=float(wanting[k]),
            teeth=int(teeth[k]),
            level=_level(channel.volts, begin[k], end[k]),
        )
        for k in true[:MOST_LISTED]
    ]
    return listed, int(np.count_nonzero(inside)), max(0, int(true.size) - MOST_LISTED)


def _level(volts: Numbers, begin: float, end: float) -> float:
    """The median in the middle half of a gap, clear of the pulses beside it."""
    quarter = (end - begin) / 4
    part = volts[int(begin + quarter) : int(end - quarter) + 1]
    return float(np.median(part)) if part.size else float(volts[min(int(begin), volts.size - 1)])


def _at_the_ends(channel: Channel, train: Train) -> list[DropOut]:
    """Silence before the first pulse and after the last, where the wheel does not explain it."""
    first, last = float(channel.seconds[0]), float(channel.seconds[-1])
    faint = is_faint(channel.edges, train.places, train.even, train.faint_from)[[0, -1]]
    found = []
    lead = float(train.seconds[0]) - first
    if lead > _SILENCE * train.even[0] and not (
        faint[0] or explained_at_the_end(train, lead, first=True)
    ):
        level = _level(channel.volts, 0.0, float(train.places[0]))
        teeth = int(lead / train.even[0])
        found.append(DropOut(first, first + lead, lead, teeth, level, "start"))
    tail = last - float(train.seconds[-1])
    if tail > _SILENCE * train.even[-1] and not (
        faint[1] or explained_at_the_end(train, tail, first=False)
    ):
        level = _level(channel.volts, float(train.places[-1]), channel.volts.size - 1.0)
        teeth = int(tail / train.even[-1])
        found.append(DropOut(last - tail, last, tail, teeth, level, "end"))
    return found


def _weak(train: Train, heights: Heights, usual: Numbers) -> tuple[DropOut, ...]:
    low = (usual < _WEAK) & (usual > 0)
    edge = np.diff(np.concatenate([[0], low.astype(np.int8), [0]]))
    begin, end = np.flatnonzero(edge == 1), np.flatnonzero(edge == -1)
    long = np.flatnonzero(end - begin > 1)[:MOST_LISTED]
    last = heights.seconds.size - 1
    return tuple(
        DropOut(
            begin=float(heights.seconds[begin[k]]),
            end=float(heights.seconds[min(end[k], last)]),
            lasts=float(heights.seconds[min(end[k], last)] - heights.seconds[begin[k]]),
            teeth=int(end[k] - begin[k]),
            level=float(np.median(heights.height[begin[k] : end[k]])),
        )
        for k in long
    )


def samples_in(train: Train, own: Flags, count: int) -> Flags:
    """Which of `count` samples lie in a gap that is not the ring's own."""
    foreign = ~own
    edge = np.zeros(count + 1, dtype=np.intp)
    begin: Places = np.floor(train.places[train.gaps.after[foreign]]).astype(np.intp)
    end: Places = np.ceil(train.places[train.gaps.after[foreign] + 1]).astype(np.intp)
    np.add.at(edge, begin, 1)
    np.add.at(edge, np.minimum(end, count), -1)
    return np.asarray(np.cumsum(edge)[:count] > 0, dtype=np.bool_)
