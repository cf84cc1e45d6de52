"""The charge of a lead battery from its voltage at rest. Pure."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

BCI_SOURCE = "rest-voltage table of BCI for 12 V flooded batteries at 26.7 °C, read on a page"
OTHER_SOURCE = "another published table of rest voltages, read"
AGM_SOURCE = "absorbed-mat batteries stand about 0.1 to 0.2 V higher: common practice, no source"

# (volts, charge 0 to 1) of a 12 V flooded battery at rest, 26.7 °C, specific gravity 1.265 full.
BCI_TABLE = ((11.89, 0.0), (12.06, 0.25), (12.24, 0.5), (12.45, 0.75), (12.65, 1.0))
# A second table, made for another use, shows how far such tables lie apart. Begins at 10 %.
OTHER_TABLE = (
    (11.72, 0.1),
    (11.88, 0.2),
    (12.02, 0.3),
    (12.12, 0.4),
    (12.20, 0.5),
    (12.28, 0.6),
    (12.36, 0.7),
    (12.46, 0.8),
    (12.58, 0.9),
    (12.70, 1.0),
)
AGM_HIGHER = (0.1, 0.2)
"""Volts by which an absorbed-mat battery stands higher. Common practice, no source."""
CHARGE_FIRST = 12.45
"""Volts, 75 % of a flooded battery: below this, charge before measuring anything else."""
SURFACE_CHARGE = 12.75
"""Volts. Above this a flooded battery still holds a surface charge. Common practice, no source."""
REST_SECONDS = 6 * 3600.0
"""Least rest before reading, 6 to 24 h, unless surface charge was removed: read second-hand."""


@dataclass(frozen=True, slots=True)
class Charge:
    """State of charge, 0 to 1. low and high: what the sort of battery leaves open (the same as
    `share` for a flooded one). other: by the second table. ends: "below" or "above" when the
    voltage lies off the table."""

    share: float
    low: float
    high: float
    other: float
    ends: str


def charge_from_rest_voltage(volts: float, *, absorbed_mat: bool = False) -> Charge:
    """Charge of a 12 V lead battery by its rest voltage, straight lines between the table's points.

    Flooded: 12.65 V full, 12.45, 12.24, 12.06, 11.89 V empty (BCI, read). An absorbed-mat battery
    is read 0.1 and 0.2 V lower, which leaves a range; `share` is its middle. The table holds at
    26.7 °C after 6 to 24 h of rest. Raises ValueError outside 0 to 20 V: no 12 V battery rests
    there.
    """
    if not math.isfinite(volts) or not 0 <= volts <= 20:
        raise ValueError("A 12 V battery at rest shows between 0 and 20 V.")
    lifts = AGM_HIGHER if absorbed_mat else (0.0, 0.0)
    high, low = (_between(volts - lift, BCI_TABLE) for lift in lifts)
    middle = volts - sum(lifts) / 2
    ends = "below" if middle < BCI_TABLE[0][0] else "above" if middle > BCI_TABLE[-1][0] else ""
    return Charge(_between(middle, BCI_TABLE), low, high, _between(middle, OTHER_TABLE), ends)


def _between(volts: float, table: tuple[tuple[float, float], ...]) -> float:
    """The share by straight lines; the ends of the table beyond them, and below the second nought
    only as far as its first row says."""
    if volts <= table[0][0]:
        return table[0][1]
    for (low_v, low), (high_v, high) in itertools.pairwise(table):
        if volts <= high_v:
            return low + (volts - low_v) / (high_v - low_v) * (high - low)
    return table[-1][1]
