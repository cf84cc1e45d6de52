"""Brake discs: thickness, run-out by its first harmonic, and disc and hub as vectors. Pure.

Angles are counted from the start mark in the order of the readings. Lengths are in metres. Sums of
lengths are rounded to a picometre, so that what stands exactly on a limit is found there.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

FEWEST_THICKNESSES, MOST_THICKNESSES = 4, 12
FEWEST_READINGS = 8
MOST_BOLTS = 12
_PICOMETRE_PLACES = 12
# Below this a disc turns true and has no high spot.
_NO_RUN_OUT = 1e-10


@dataclass(frozen=True, slots=True)
class Thickness:
    """Thickness round a disc, in metres; `thinnest` holds the angles of the least, in radians."""

    least: float
    most: float
    mean: float
    variation: float
    thinnest: tuple[float, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class RunOut:
    """Run-out from dial readings, in metres and radians.

    mean, cosine, sine: of the fit mean + cosine cos θ + sine sin θ. amplitude: of that sine.
    high_spot: where it is highest, 0 to 2π; None when the disc turns true.
    once_per_turn: twice the amplitude. total: highest reading less lowest.
    fitted, left_over: by reading. waviness: root mean square of what is left over.
    second: amplitude of the second harmonic. second_share: its part of what is left over, 0 to 1.
    """

    mean: float
    cosine: float
    sine: float
    amplitude: float
    high_spot: float | None
    once_per_turn: float
    total: float
    fitted: tuple[float, ...]
    left_over: tuple[float, ...]
    waviness: float
    second: float
    second_share: float
    reason: str

    def at(self, angle: float) -> float:
        """The fitted reading at an angle in radians."""
        return self.mean + self.cosine * math.cos(angle) + self.sine * math.sin(angle)


@dataclass(frozen=True, slots=True)
class Lean:
    """A run-out as a vector: half its total (m), and the direction of its high spot (rad)."""

    amplitude: float
    angle: float

    @property
    def total(self) -> float:
        return 2 * self.amplitude


@dataclass(frozen=True, slots=True)
class BoltPosition:
    """The disc turned on by `step` bolts: what disc and hub then make together."""

    step: int
    turned: float
    together: Lean
    reason: str


def angles(count: int) -> tuple[float, ...]:
    """`count` equal steps of a turn from nought, in radians."""
    return tuple(2 * math.pi * step / count for step in range(count))


def thickness_round(readings: Sequence[float]) -> Thickness:
    """Least, mean and variation (most less least) of 4 to 12 thicknesses in metres.

    Raises ValueError for another number of them, or for one that is not above nought. Source of
    the definition: public trade page, read; points round the disc as in makers' sheets, read.
    """
    if not FEWEST_THICKNESSES <= len(readings) <= MOST_THICKNESSES:
        raise ValueError(
            f"Measure the thickness at {FEWEST_THICKNESSES} to {MOST_THICKNESSES} points."
        )
    if not all(math.isfinite(one) and one > 0 for one in readings):
        raise ValueError("A thickness is a number above zero.")
    least, most = min(readings), max(readings)
    where = tuple(
        angle for angle, one in zip(angles(len(readings)), readings, strict=True) if one == least
    )
    return Thickness(
        least,
        most,
        round(math.fsum(readings) / len(readings), _PICOMETRE_PLACES),
        round(most - least, _PICOMETRE_PLACES),
        where,
        f"Most less least of {len(readings)} points round the disc.",
    )


def run_out(readings: Sequence[float]) -> RunOut:
    """Fit one sine per turn to dial readings (m) taken at equal steps of a whole turn.

    With θ = 2πk/N: mean = Σy/N, a = 2/N Σ y cos θ, b = 2/N Σ y sin θ, amplitude √(a² + b²), high
    spot atan2(b, a), once per turn 2A, total = most less least. This is the discrete Fourier
    transform's first term. Eight points at least: public trade page, read. Raises ValueError with a
    sentence for fewer, or for what is not a number.
    """
    count = len(readings)
    if count < FEWEST_READINGS:
        raise ValueError(f"Run-out needs at least {FEWEST_READINGS} readings, evenly spaced.")
    if not all(math.isfinite(one) for one in readings):
        raise ValueError("A dial reading must be a number.")
    mean = math.fsum(readings) / count
    first, second = _harmonic(readings, 1), _harmonic(readings, 2)
    fitted = tuple(
        mean + first.real * math.cos(angle) + first.imag * math.sin(angle)
        for angle in angles(count)
    )
    left = tuple(one - fit for one, fit in zip(readings, fitted, strict=True))
    square = math.fsum(one * one for one in left) / count
    turns_true = abs(first) < _NO_RUN_OUT
    return RunOut(
        mean=mean,
        cosine=first.real,
        sine=first.imag,
        amplitude=abs(first),
        high_spot=None if turns_true else cmath.phase(first) % (2 * math.pi),
        once_per_turn=2 * abs(first),
        total=round(max(readings) - min(readings), _PICOMETRE_PLACES),
        fitted=fitted,
        left_over=left,
        waviness=math.sqrt(square),
        second=abs(second),
        # A sine of amplitude A has the mean square A²/2.
        second_share=min(1.0, abs(second) ** 2 / 2 / square) if square > _NO_RUN_OUT**2 else 0.0,
        reason=f"Highest less lowest of {count} dial readings over one turn.",
    )


def _harmonic(readings: Sequence[float], order: int) -> complex:
    """a + bi of the sine that comes `order` times in a turn."""
    count = len(readings)
    turned = [order * angle for angle in angles(count)]
    a = math.fsum(y * math.cos(t) for y, t in zip(readings, turned, strict=True))
    b = math.fsum(y * math.sin(t) for y, t in zip(readings, turned, strict=True))
    return complex(a, b) * 2 / count


def lean_of(found: RunOut) -> Lean:
    """The once-per-turn part of a run-out as a vector."""
    return Lean(found.amplitude, found.high_spot or 0.0)


def scaled(lean: Lean, from_diameter: float, to_diameter: float) -> Lean:
    """The same lean of a face, seen on another circle: run-out grows with the diameter.

    Geometry of a flat face that is not square to its axis. Raises ValueError for a diameter that
    is not above nought.
    """
    if not (from_diameter > 0 and to_diameter > 0):
        raise ValueError("A diameter is above zero.")
    return Lean(lean.amplitude * to_diameter / from_diameter, lean.angle)


def together(disc: Lean, hub: Lean) -> Lean:
    """Disc and hub flange as one: the sum of their vectors."""
    return _lean(_vector(disc) + _vector(hub))


def without(measured: Lean, hub: Lean) -> Lean:
    """The disc's own run-out: what was measured on the car less the hub flange's."""
    return _lean(_vector(measured) - _vector(hub))


def bolt_positions(disc: Lean, hub: Lean, bolts: int) -> tuple[BoltPosition, ...]:
    """Disc and hub together for each way the disc can be bolted on, the present one first.

    Step k turns the disc by k/bolts of a turn on the hub, the way the points were counted. To try
    one or two bolt positions is makers' first remedy (public archives, read); that vectors add is
    geometry. Raises ValueError for fewer than 1 or more than 12 bolts.
    """
    if not 1 <= bolts <= MOST_BOLTS:
        raise ValueError(f"A wheel has 1 to {MOST_BOLTS} bolts.")
    found = []
    for step, turned in enumerate(angles(bolts)):
        sum_of_both = together(Lean(disc.amplitude, disc.angle + turned), hub)
        found.append(
            BoltPosition(
                step,
                turned,
                sum_of_both,
                f"Vector sum with the disc turned {math.degrees(turned):.0f}° on the hub.",
            )
        )
    return tuple(found)


def best_of(positions: Sequence[BoltPosition]) -> BoltPosition:
    """The position with the least run-out; of equal ones the one with the least turning."""
    return min(positions, key=lambda one: (round(one.together.amplitude, 10), one.step))


def _vector(lean: Lean) -> complex:
    return cmath.rect(lean.amplitude, lean.angle)


def _lean(vector: complex) -> Lean:
    return Lean(abs(vector), cmath.phase(vector) % (2 * math.pi))
