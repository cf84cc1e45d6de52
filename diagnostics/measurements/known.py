"""What is known of the vehicle before anything is typed. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from diagnostics.captures import Samples
from diagnostics.compute.verdict import Limit


@dataclass(frozen=True, slots=True)
class KnownFigure:
    """A figure of the platform, SI-coherent: tooth count, sense resistor, diameter. `unit` to show
    it in; `words` instead of a number for a choice ("passive")."""

    value: float | None
    unit: str
    source: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class KnownCurve:
    """What a quantity should be against another, as straight lines between points (x, y), SI.

    tolerance: SI, to either side of the curve.
    """

    quantity: str
    against: str
    points: tuple[tuple[float, float], ...]
    tolerance: float
    unit: str
    against_unit: str
    source: str


@dataclass(frozen=True, slots=True)
class KnownLimit:
    """The catalogue's limit for a quantity at the measurement's place, with its source."""

    limit: Limit
    source: str


@dataclass(frozen=True, slots=True)
class Known:
    """Facts for a computation.

    tyre: the size on the vehicle's record as written, "" when not known.
    position: where the measurement is made, "" for the whole car.
    figures, curves, limits: by key (figures the platform gives for this position).
    brake_rule: "gb" or "us" or "" as set for the workshop; first_used: the vehicle's.
    today: the day of the measurement. capture: the samples of the file, where one was given.
    """

    tyre: str = ""
    position: str = ""
    figures: Mapping[str, KnownFigure] = field(default_factory=dict)
    curves: Mapping[str, KnownCurve] = field(default_factory=dict)
    limits: Mapping[str, KnownLimit] = field(default_factory=dict)
    brake_rule: str = ""
    first_used: date | None = None
    today: date | None = None
    capture: Samples | None = None

    def figure(self, key: str) -> float | None:
        known = self.figures.get(key)
        return known.value if known else None
