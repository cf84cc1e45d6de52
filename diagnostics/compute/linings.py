"""How far the brake linings will last, from two measurements of their thickness. Pure.

Both thicknesses have the same expanded uncertainty U (k = 2) and are independent; the distance
between them is taken as exact. The distance left is (t₂ − minimum)/(t₁ − t₂) times the distance
driven. Both parts of that fraction hold t₂, so its range is taken from Fieller's theorem, which is
finite only while the wear is larger than its own uncertainty √2 U. (Fieller 1954, from memory.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

CLEAR_WEAR = 2.0
"""The wear must be this many times its uncertainty before a range is given: the longest is then
about twice the likeliest. This product's own rule."""


class Wear(StrEnum):
    """What two measurements say: they may not be able to say it yet."""

    KNOWN = "known"
    NOT_YET = "not_yet"
    GREW = "grew"


@dataclass(frozen=True, slots=True)
class Life:
    """What is left of a lining; metres throughout.

    worn: t₁ − t₂. worn_uncertainty: expanded, k = 2.
    rate, slowest, fastest: metres worn per metre driven; slowest never below nought.
    left, shortest, longest: distance to the minimum, 0 when it is reached; only when known.
    needed: distance from the first measurement at which the wear would be clear, when it is not
        yet; with no wear seen at all, at the fastest wear that the readings allow.
    """

    wear: Wear
    worn: float
    worn_uncertainty: float
    rate: float
    slowest: float
    fastest: float
    left: float | None
    shortest: float | None
    longest: float | None
    needed: float | None
    reason: str


@dataclass(frozen=True, slots=True)
class Pair:
    """Thickness before and now, the distance between, the minimum, and the gauge's U (k = 2)."""

    before: float
    now: float
    driven: float
    minimum: float
    uncertainty: float

    @property
    def worn(self) -> float:
        # To a picometre, so that equal readings wear nothing.
        return round(self.before - self.now, 12)

    @property
    def worn_uncertainty(self) -> float:
        return math.sqrt(2) * self.uncertainty


def life_left(pair: Pair) -> Life:
    """Wear rate and distance left with their ranges (k = 2).

    All of `pair` in metres; thicknesses and distance above nought, minimum and uncertainty not
    below. Raises ValueError with a sentence for what cannot be. A lining that grew by more than the
    uncertainty, or whose wear is not yet clear, gets no distance left.
    """
    _check(pair)
    worn, doubt = pair.worn, pair.worn_uncertainty
    rate = worn / pair.driven
    slowest, fastest = max(0.0, worn - doubt) / pair.driven, (worn + doubt) / pair.driven
    if worn < -doubt:
        return _unknown(pair, Wear.GREW, None, "The lining is thicker than it was.")
    if worn <= 0 or worn < CLEAR_WEAR * doubt:
        surest = worn if worn > 0 else worn + doubt
        needed = pair.driven * CLEAR_WEAR * doubt / surest if surest > 0 else None
        return _unknown(pair, Wear.NOT_YET, needed, "The wear is lost in the gauge's uncertainty.")
    left = (pair.now - pair.minimum) / worn * pair.driven
    low, high = _fieller(pair)
    return Life(
        Wear.KNOWN,
        worn,
        doubt,
        rate,
        slowest,
        fastest,
        max(0.0, left),
        max(0.0, low * pair.driven),
        max(0.0, high * pair.driven),
        None,
        "Thickness above the minimum, divided by the wear per distance.",
    )


def thickness_at(pair: Pair, onward: float) -> tuple[float, float]:
    """Thickness `onward` metres after the second measurement, and its expanded uncertainty.

    The straight line through both measurements: t = t₂(1 + λ) − λt₁ with λ = onward/driven, so
    U(t) = U √((1 + λ)² + λ²).
    """
    share = onward / pair.driven
    thickness = pair.now * (1 + share) - share * pair.before
    return thickness, pair.uncertainty * math.hypot(1 + share, share)


def _fieller(pair: Pair) -> tuple[float, float]:
    """The shares of the driven distance at which the fan meets the minimum, least first.

    (a − θw)² = U²((1 + θ)² + θ²) with a = t₂ − minimum and w = t₁ − t₂, solved for θ.
    """
    above, square = pair.now - pair.minimum, pair.uncertainty**2
    first = pair.worn**2 - 2 * square
    half = above * pair.worn + square
    root = math.sqrt(max(0.0, half**2 - first * (above**2 - square)))
    return (half - root) / first, (half + root) / first


def _unknown(pair: Pair, wear: Wear, needed: float | None, reason: str) -> Life:
    worn, doubt = pair.worn, pair.worn_uncertainty
    return Life(
        wear,
        worn,
        doubt,
        worn / pair.driven,
        max(0.0, worn - doubt) / pair.driven,
        max(0.0, worn + doubt) / pair.driven,
        None,
        None,
        None,
        needed,
        reason,
    )


def _check(pair: Pair) -> None:
    numbers = (pair.before, pair.now, pair.driven, pair.minimum, pair.uncertainty)
    if not all(math.isfinite(one) for one in numbers):
        raise ValueError("Only numbers can be worked with.")
    if pair.before <= 0 or pair.now <= 0:
        raise ValueError("A thickness is above zero.")
    if pair.driven <= 0:
        raise ValueError("Between the two measurements a distance must have been driven.")
    if pair.minimum < 0 or pair.uncertainty < 0:
        raise ValueError("A minimum or an uncertainty is not below zero.")
