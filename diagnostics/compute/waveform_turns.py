"""What comes back at the same place of every turn: the ring's own faults and its run-out. Pure.

Teeth are folded on the turn by their number, so the speed may change as it likes. Thresholds are
own ones (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from diagnostics.compute.waveform_arrays import Numbers, Places
from diagnostics.compute.waveform_heights import Heights
from diagnostics.compute.waveform_teeth import MOST_BROKEN, Flags, Train, teeth_in

OddKind = Literal["missing", "damaged", "displaced"]

_LEAST_TURNS = 2
_MISSED, _GONE, _LOW, _SHIFTED = 0.6, 0.35, 0.8, 0.12
_ERRORS = 5.0
_FEWEST_TEETH, _MOST_TEETH = 12, 200
_PEAK, _LEAST_PATTERN = 0.3, 0.02
_MOST_LONG, _GUESS = 200, 0.05


@dataclass(frozen=True, slots=True)
class OddTooth:
    """One place of the ring that is not like the others.

    number: counted from 1, the first tooth in the capture. degrees: after that tooth, in the
    sense of turning. height, pitch: its median over the turns as a ratio to its neighbours.
    seen: turns in which it came by.
    """

    number: int
    degrees: float
    kind: OddKind
    height: float
    pitch: float
    seen: int


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """The ring as the capture shows it.

    teeth: what the turns were taken to have, None where nobody knows. given: the number that was
    said; inferred: whether `teeth` follows from a pattern that repeats instead. turns: gone by in
    the capture. odd: in the order of their numbers. own: which of the train's gaps are the ring's
    own (missing teeth). heights, pitches: (teeth,) median ratio to the neighbours at each place, 1
    where nothing was seen. places: (k,) place on the ring, from 0, of every tooth that passed;
    empty without `teeth`. reason: a sentence.
    """

    teeth: int | None
    inferred: bool
    given: int | None
    turns: float
    odd: tuple[OddTooth, ...]
    own: Flags
    heights: Numbers
    pitches: Numbers
    places: Places
    reason: str

    @property
    def contradicts(self) -> bool:
        """Whether the number of teeth that was given cannot be right."""
        return self.given is not None and self.teeth != self.given

    def count(self, kind: OddKind) -> int:
        return sum(1 for tooth in self.odd if tooth.kind == kind)


def judge_ring(train: Train, heights: Heights, teeth: int | None) -> Ring:
    """What stands out at the same place in turn after turn.

    teeth: number of teeth, None to look for the number after which the pattern repeats. Where
    single teeth stand out when the turn is taken as the pattern has it, and none do with the
    number given, the pattern is believed: a number is easily miscounted, a gap that comes back is
    not chance. A place is missing when no pulse came in at least 60 % of the turns or its height is
    under 35 % of its neighbours'; damaged under 80 %; displaced when its pitch is 12 % off; the
    last two only by more than five standard errors of the median over the turns.
    """
    missed = _missed(train, heights.numbers.size)
    low = _lowness(train, missed, heights.ratio)
    given = _laid(train, heights, missed, low, teeth, teeth) if teeth is not None else None
    if given is not None and given.odd:
        return given
    repeats = _repeats(low)
    if repeats is not None and not (teeth and teeth % repeats == 0):
        found = _laid(train, heights, missed, low, repeats, teeth)
        # Two gaps have a distance too: only what comes back turn after turn is a pattern.
        if found.odd:
            return found
    return given or _untold(
        train,
        None,
        "Without the number of teeth, and with no pattern that repeats, nothing can be given a "
        "place in the turn.",
    )


def _laid(
    train: Train, heights: Heights, missed: Flags, low: Numbers, teeth: int, given: int | None
) -> Ring:
    """The turns laid over each other, each of `teeth`; `given` is what was said of the ring."""
    turns = heights.numbers.size / teeth
    if turns < _LEAST_TURNS:
        return _untold(
            train,
            teeth,
            f"The capture holds {turns:.1f} turns of {teeth} teeth: at least {_LEAST_TURNS} are "
            "needed to tell the ring from the wiring.",
        )
    places = _places(train, low, teeth)
    odd, own, high, pitch = _folded(train, heights, missed, places, teeth)
    how = "as given" if teeth == given else "from the pattern that repeats"
    return Ring(
        teeth=teeth,
        inferred=teeth != given,
        given=given,
        turns=turns,
        odd=odd,
        own=own,
        heights=high,
        pitches=pitch,
        places=places,
        reason=f"{turns:.1f} turns of {teeth} teeth ({how}) were laid over each other.",
    )


def _untold(train: Train, teeth: int | None, reason: str) -> Ring:
    flat = np.ones(teeth or 0)
    own = np.zeros(train.gaps.after.size, dtype=np.bool_)
    turns = float(train.numbers[-1]) / teeth if teeth else 0.0
    nowhere = np.zeros(0, dtype=np.intp)
    return Ring(teeth, False, teeth, turns, (), own, flat, flat, nowhere, reason)


def _missed(train: Train, count: int) -> Flags:
    """For each tooth number whether its pulse was wanting without the wheel explaining it."""
    there = np.zeros(count + 1, dtype=np.bool_)
    there[np.minimum(train.numbers, count)] = True
    return ~there[:count]


def _lowness(train: Train, missed: Flags, ratio: Numbers) -> Numbers:
    """How much lower than its neighbours each tooth stands, 1 for no pulse; 0 in long gaps."""
    low = np.where(missed, 1.0, np.clip(1 - ratio, -1, 1))
    low[teeth_in(train, train.gaps.missing > MOST_BROKEN, low.size)] = 0.0
    return np.asarray(low, dtype=np.float64)


def _places(train: Train, low: Numbers, teeth: int) -> Places:
    """The place of each tooth on the ring.

    How many teeth went by in a long gap is a guess: after each, the pattern of low teeth is laid
    over that of before, and moved by the few teeth that the guess may be wrong.
    """
    number = np.arange(low.size, dtype=np.intp)
    long = np.flatnonzero(train.gaps.missing > MOST_BROKEN)
    if not 0 < long.size <= _MOST_LONG:
        return number % teeth
    cuts = train.numbers[train.gaps.after[long] + 1]
    bounds = np.minimum(np.concatenate([[0], cuts, [low.size]]), low.size)
    offset = np.zeros(low.size, dtype=np.intp)
    pattern, moved = np.zeros(teeth), 0
    for part, (begin, end) in enumerate(pairwise(bounds)):
        spread = np.bincount((number[begin:end] + moved) % teeth, low[begin:end], minlength=teeth)
        here = spread.astype(np.float64)
        if part:
            reach = 2 + int(_GUESS * train.gaps.missing[long[part - 1]])
            shift = _best_shift(pattern, here, min(reach, teeth // 2))
            here, moved = np.roll(here, shift), moved + shift
        pattern += here
        offset[begin:end] = moved
    return np.asarray((number + offset) % teeth, dtype=np.intp)


def _best_shift(pattern: Numbers, here: Numbers, reach: int) -> int:
    shifts = sorted(range(-reach, reach + 1), key=abs)
    fits = [float(pattern @ np.roll(here, shift)) for shift in shifts]
    best = int(np.argmax(fits))
    # Noise fits a little everywhere: only a far better fit moves anything.
    needed = max(2 * fits[0], 0.5 * float(np.linalg.norm(pattern) * np.linalg.norm(here)))
    return shifts[best] if fits[best] > needed else 0


def _folded(
    train: Train, heights: Heights, missed: Flags, place: Places, teeth: int
) -> tuple[tuple[OddTooth, ...], Flags, Numbers, Numbers]:
    seen = np.bincount(place, minlength=teeth)
    hits = np.bincount(place[missed], minlength=teeth)
    often = (hits >= _LEAST_TURNS) & (hits >= _MISSED * seen)
    own = _own_gaps(train, often, place)
    lost = _lost(train, own, heights.numbers.size)
    height, height_error, count = fold(heights.ratio, place, ~lost, teeth)
    pitch_ratio = heights.period / np.interp(heights.numbers, train.numbers[:-1], train.even)
    pitch, pitch_error, _ = fold(pitch_ratio, place, ~(lost | missed), teeth)
    enough = count >= _LEAST_TURNS
    missing = often | (enough & (height < _GONE))
    low = enough & ~missing & (1 - height > np.maximum(1 - _LOW, _ERRORS * height_error))
    beside = missing | np.roll(missing, -1)
    shift = np.abs(pitch - 1) > np.maximum(_SHIFTED, _ERRORS * pitch_error)
    shift &= enough & ~beside & ~low
    kinds: tuple[tuple[OddKind, Flags], ...] = (
        ("missing", missing),
        ("damaged", low),
        ("displaced", shift),
    )
    odd = tuple(
        OddTooth(
            number=int(at) + 1,
            degrees=360.0 * int(at) / teeth,
            kind=kind,
            height=float(height[at]),
            pitch=1.0 if kind == "missing" else float(pitch[at]),
            seen=int(seen[at]),
        )
        for kind, where in kinds
        for at in np.flatnonzero(where)
    )
    # A low tooth that now and then fails to give one of its edges is still the ring's doing.
    own = own | _own_gaps(train, missing | low | np.roll(low, 1) | np.roll(low, -1), place)
    return tuple(sorted(odd, key=lambda tooth: tooth.number)), own, height, pitch


def fold(
    values: Numbers, place: Places, valid: Flags, teeth: int
) -> tuple[Numbers, Numbers, Places]:
    """Median of the values at each of `teeth` places, its standard error, and how many there were.

    The scatter is taken from all places together; the error of a median is 1.253 times that of a
    mean for normal scatter. A place that was never seen counts as 1.
    """
    count = np.bincount(place[valid], minlength=teeth).astype(np.intp)
    values, place = values[valid], place[valid]
    ordered = values[np.lexsort((values, place))]
    first = np.concatenate([[0], np.cumsum(count)[:-1]])
    low = first + np.maximum(count - 1, 0) // 2
    high = first + np.minimum(count // 2, np.maximum(count - 1, 0))
    padded = np.append(ordered, 1.0)
    middle = (padded[low] + padded[high]) / 2
    middle = np.where(count > 0, middle, 1.0)
    scatter = 1.4826 * float(np.median(np.abs(values - middle[place]))) if values.size else 0.0
    return middle, 1.253 * scatter / np.sqrt(np.maximum(count, 1)), count


def _own_gaps(train: Train, often: Flags, place: Places) -> Flags:
    """Which gaps fall (almost) whole on places where pulses are wanting turn after turn."""
    gaps = train.gaps
    hits = np.concatenate([[0], np.cumsum(often[place])])
    first = np.minimum(train.numbers[gaps.after] + 1, place.size)
    last = np.minimum(first + gaps.missing, place.size)
    on_place = hits[last] - hits[first]
    return np.asarray((gaps.missing > 0) & (on_place >= 0.8 * gaps.missing), dtype=np.bool_)


def _lost(train: Train, own: Flags, count: int) -> Flags:
    """Teeth whose height tells nothing about the ring: in gaps that are not the ring's own."""
    return teeth_in(train, ~own, count)


def lost_teeth(train: Train, ring: Ring, heights: Heights) -> Flags:
    """Teeth in the gaps that are not the ring's own."""
    return _lost(train, ring.own, heights.numbers.size)


def odd_places(ring: Ring) -> Places:
    """Places of the ring (from 0) that are missing, damaged or displaced."""
    return np.array([tooth.number - 1 for tooth in ring.odd], dtype=np.intp)


def _repeats(low: Numbers) -> int | None:
    """The distance in teeth at which the pattern of low teeth comes back, None for no pattern."""
    count = low.size
    most = min(_MOST_TEETH, count // 3)
    if most <= _FEWEST_TEETH:
        return None
    pattern = low - low.mean()
    power = float(np.mean(pattern**2))
    if power < _LEAST_PATTERN**2:
        return None
    # To a length that the transform likes, and twice as long, so that the end meets only noughts.
    length = 2 << int(count - 1).bit_length()
    spectrum = np.fft.rfft(pattern, length)
    lagged = np.fft.irfft(np.abs(spectrum) ** 2)[: most + 2] / (count - np.arange(most + 2))
    likeness = lagged / power
    at = np.arange(_FEWEST_TEETH, most + 1)
    peak = (likeness[at] >= likeness[at - 1]) & (likeness[at] >= likeness[at + 1])
    highest = float(likeness[at].max())
    if highest < max(_PEAK, 6 / count**0.5):
        return None
    # Two turns fit as well as one: the shortest that fits is the turn.
    fits = at[peak & (likeness[at] >= 0.8 * highest)]
    return int(fits[0]) if fits.size else None
