"""What follows from a measurement: figures, what they mean, and a picture. Pure.

An outcome is kept as it was shown, with the version of the kind that made it, so that it can be
looked at again when the computation has changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shop.charting import Chart, Table

Tone = Literal["good", "near", "bad", "unknown"]


@dataclass(frozen=True, slots=True)
class Allowed:
    """A limit that follows from the measurement itself (a rule's table, a fluid's grade), where the
    catalogue's does not serve. SI-coherent; `unit` to write it in."""

    unit: str
    source: str
    low: float | None = None
    high: float | None = None
    conditions: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """One derived figure.

    quantity: key of one of the kind's quantities.
    value: SI-coherent and finite. unit: in which it is shown; decimals: None for three digits.
    position: "" for the measurement's own place.
    keep: becomes a reading of the session, judged, on the plan of the car and fit as evidence;
        otherwise it is shown only.
    allowed: None to be judged by the catalogue's limit for the quantity and place.
    uncertainty: expanded (k = 2), SI, None for the limit's own.
    reason: how it came about, a sentence.
    pressure_pa: at which it was measured, for limits that hold under a pressure.
    """

    quantity: str
    name: str
    value: float
    unit: str
    position: str = ""
    keep: bool = False
    allowed: Allowed | None = None
    uncertainty: float | None = None
    decimals: int | None = None
    reason: str = ""
    pressure_pa: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What the figures mean, a sentence that stands alone; `position` where it is about one."""

    tone: Tone
    says: str
    position: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """The result of a measurement.

    says: the sentence that leads. findings: worst first. notes: what was assumed or corrected, and
    how the input was read. sources: of formulas and figures, with how sure they are ("common
    practice, no source"; "from memory"). temperature_k, engine: the conditions noted, by which the
    catalogue's limits are judged; corrected: the sentence that says a value was already brought to
    the limit's temperature.
    """

    says: str
    figures: tuple[Figure, ...] = ()
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()
    table: Table | None = None
    charts: tuple[Chart, ...] = ()
    sources: tuple[str, ...] = ()
    temperature_k: float | None = None
    engine: str = ""
    corrected: str = ""
