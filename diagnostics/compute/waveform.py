"""A wheel-speed sensor's signal, taken apart: speed, height, ring, run-out, wiring, noise. Pure.

f = N v / C: frequency in hertz from N teeth, v in metres a second and the rolling circumference C
in metres. A coil sensor's height grows with the frequency; a two-wire current sensor switches
between about 7 and 14 mA at any speed. All in SI: seconds, volts, hertz, ratios.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from diagnostics.compute.waveform_arrays import Numbers
from diagnostics.compute.waveform_dropouts import Channel, DropOuts, find_drop_outs, samples_in
from diagnostics.compute.waveform_edges import Edges, find_edges
from diagnostics.compute.waveform_heights import Heights, measure_heights
from diagnostics.compute.waveform_levels import Levels, find_levels
from diagnostics.compute.waveform_modulation import OncePerTurn, once_per_turn
from diagnostics.compute.waveform_teeth import Flags, Train, number_teeth
from diagnostics.compute.waveform_turns import Ring, fold, judge_ring, lost_teeth, odd_places

FEWEST_TEETH, MOST_TEETH = 4, 400
_COARSE = 8
_HUM = (50.0, 60.0)
_HUM_WITHIN = 0.003
_SLOWEST_SHARE = 0.1
_SIDE = 4


class Sensor(StrEnum):
    """How the signal is made."""

    COIL = "passive"
    CURRENT = "current"
    VOLTAGE = "voltage"


@dataclass(frozen=True, slots=True, eq=False)
class Pulses:
    """What only a signal with pulses has.

    hertz: (m - 1,) mean over nine teeth; lowest_hz, highest_hz: of that. swing_at_lowest,
    swing_at_highest: median volts peak to peak in the slowest and fastest tenth of the teeth, at
    slow_hz and fast_hz.
    volts_per_hertz: median of swing over frequency. height_wave, pitch_wave: once-per-turn waves
    of the height (per hertz for a coil) and of the period, or the sentence why not. turn: (teeth,)
    median height at each place of the ring over the median of all, empty without a turn.
    """

    train: Train
    heights: Heights
    ring: Ring
    drop_outs: DropOuts
    levels: Levels | None
    height_wave: OncePerTurn | str
    pitch_wave: OncePerTurn | str
    hertz: Numbers
    lowest_hz: float
    highest_hz: float
    slow_hz: float
    fast_hz: float
    swing_at_lowest: float
    swing_at_highest: float
    volts_per_hertz: float
    turn: Numbers


@dataclass(frozen=True, slots=True, eq=False)
class Waveform:
    """The whole of it. pulses: None when there are none, and `reason` says why. resting: median
    volts of the channel. doubts: sentences on what limits the reading."""

    sensor: Sensor
    edges: Edges
    pulses: Pulses | None
    resting: float
    doubts: tuple[str, ...]
    reason: str


def analyse(
    seconds: Numbers, volts: Numbers, sensor: Sensor, *, teeth: int | None = None
) -> Waveform:
    """Take one channel apart.

    seconds: (n,) strictly increasing; volts: (n,) finite, of any offset and polarity. teeth: pulses
    a turn, 4 to 400, None when not known. Raises ValueError with a sentence for arrays that do not
    fit and for an impossible number of teeth; never for what the signal looks like.
    """
    if seconds.ndim != 1 or seconds.shape != volts.shape:
        raise ValueError("Times and volts must be two rows of equal length.")
    if teeth is not None and not FEWEST_TEETH <= teeth <= MOST_TEETH:
        raise ValueError(f"A ring has between {FEWEST_TEETH} and {MOST_TEETH} teeth.")
    edges = find_edges(volts)
    resting = float(np.median(volts)) if volts.size else 0.0
    if not edges.found:
        return Waveform(sensor, edges, None, resting, (), edges.reason)
    train = number_teeth(seconds, edges, coil=sensor is Sensor.COIL)
    if isinstance(train, str):
        return Waveform(sensor, edges, None, resting, (), train)
    pulses = _pulses(seconds, volts, sensor, edges, train, teeth)
    doubts = _doubts(sensor, edges, pulses)
    reason = f"{train.places.size} pulses over {train.seconds[-1] - train.seconds[0]:.3g} s."
    return Waveform(sensor, edges, pulses, resting, doubts, reason)


def _pulses(
    seconds: Numbers,
    volts: Numbers,
    sensor: Sensor,
    edges: Edges,
    train: Train,
    teeth: int | None,
) -> Pulses:
    coil = sensor is Sensor.COIL
    heights = measure_heights(volts, edges, train, sine=coil)
    ring = judge_ring(train, heights, teeth)
    lost = lost_teeth(train, ring, heights)
    per_hertz = heights.height * heights.period if coil else heights.height
    lost_samples = samples_in(train, ring.own, volts.size)
    slow, fast = _slow_and_fast(train)
    hertz = _hertz(train)
    usual = _to_usual(per_hertz, lost, ring)
    channel = Channel(seconds, volts, edges)
    return Pulses(
        train=train,
        heights=heights,
        ring=ring,
        drop_outs=find_drop_outs(channel, train, ring.own, heights, usual),
        levels=None if coil else find_levels(volts, edges, lost_samples),
        height_wave=_wave(per_hertz, lost, ring),
        pitch_wave=_wave(heights.period, lost, ring),
        hertz=hertz,
        lowest_hz=float(hertz.min()),
        highest_hz=float(hertz.max()),
        slow_hz=float(np.median(1 / train.even[slow])),
        fast_hz=float(np.median(1 / train.even[fast])),
        swing_at_lowest=float(np.median(heights.swing[slow])),
        swing_at_highest=float(np.median(heights.swing[fast])),
        volts_per_hertz=float(np.median(heights.swing * train.even)),
        turn=_turn(per_hertz, lost, ring),
    )


def _hertz(train: Train) -> Numbers:
    """Teeth over seconds across nine intervals, fewer at the ends: an edge that is known to one
    sample of a slow instrument shows as steps otherwise."""
    place = np.arange(train.even.size)
    begin, end = np.maximum(place - _SIDE, 0), np.minimum(place + 1 + _SIDE, train.even.size)
    teeth = train.numbers[end] - train.numbers[begin]
    return np.asarray(teeth / (train.seconds[end] - train.seconds[begin]), dtype=np.float64)


def _slow_and_fast(train: Train) -> tuple[Flags, Flags]:
    low, high = np.quantile(train.even, (_SLOWEST_SHARE, 1 - _SLOWEST_SHARE))
    return train.even >= high, train.even <= low


def _wave(values: Numbers, lost: Flags, ring: Ring) -> OncePerTurn | str:
    if ring.teeth is None or not ring.places.size:
        return ring.reason
    odd = odd_places(ring)
    # The pitch beside a missing tooth is a guess, and so is that of its neighbour.
    near = np.unique(np.concatenate([odd, odd - 1, odd + 1]) % ring.teeth)
    valid = ~lost & ~np.isin(ring.places, near)
    return once_per_turn(values, ring.places, valid, ring.teeth)


def _turn(values: Numbers, lost: Flags, ring: Ring) -> Numbers:
    if ring.teeth is None or not ring.places.size or lost.all():
        return np.zeros(0)
    usual = float(np.median(values[~lost]))
    if usual <= 0:
        return np.ones(ring.teeth)
    return fold(values / usual, ring.places, ~lost, ring.teeth)[0]


def _to_usual(values: Numbers, lost: Flags, ring: Ring) -> Numbers:
    """Each height over the capture's usual one; 1 where a tooth is odd or lies in a drop-out."""
    usual = float(np.median(values[~lost])) if (~lost).any() else 0.0
    ratio = values / usual if usual > 0 else np.ones_like(values)
    skip = lost
    if ring.places.size:
        skip = skip | np.isin(ring.places, odd_places(ring))
    return np.where(skip, 1.0, ratio)


def _doubts(sensor: Sensor, edges: Edges, pulses: Pulses) -> tuple[str, ...]:
    said = []
    width = float(np.median(np.diff(pulses.train.places)))
    if width < _COARSE:
        said.append(
            f"There are only {width:.1f} samples to a tooth: heights come out low. Capture with a "
            "faster time base."
        )
    if edges.clipped and sensor is Sensor.COIL:
        said.append(
            "The signal is cut off at the edge of the instrument's range: heights are at least "
            "what is shown. Choose a larger range."
        )
    if sensor is Sensor.COIL and _is_hum(pulses):
        said.append(
            "The frequency stays at that of the mains: make sure that the wheel turned, and that "
            "this is not hum in the leads."
        )
    said += _wrong_kind(sensor, edges, pulses)
    return tuple(said)


def _is_hum(pulses: Pulses) -> bool:
    within = [
        abs(edge / mains - 1) < _HUM_WITHIN
        for mains in _HUM
        for edge in (pulses.lowest_hz, pulses.highest_hz)
    ]
    return (within[0] and within[1]) or (within[2] and within[3])


def _wrong_kind(sensor: Sensor, edges: Edges, pulses: Pulses) -> list[str]:
    if sensor is not Sensor.COIL and pulses.levels is not None and not pulses.levels.two:
        return [f"{pulses.levels.reason} Is it a coil sensor, or a slow instrument?"]
    if sensor is Sensor.COIL and pulses.highest_hz > 2 * pulses.lowest_hz:
        grown = pulses.swing_at_highest / max(pulses.swing_at_lowest, 1e-12)
        if grown < 1.2 and not edges.clipped:
            return [
                "The height does not grow with the speed, as a coil's does: is it an active sensor?"
            ]
    return []
