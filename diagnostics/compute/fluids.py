"""Brake fluid against its grade: boiling points, water and copper. Pure.

Boiling points of the grades (equilibrium reflux, at the least): FMVSS 116 (49 CFR 571.116), read
second hand in pages that quote it. "Wet" is the fluid after humidifying until the reference fluid
holds 3.70 per cent of water by weight (S6.2, read second hand).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

GradeKey = Literal["dot3", "dot4", "dot5", "dot51"]
State = Literal["as_new", "in_wear", "below_wet"]

CELSIUS = 273.15
WET_WATER = 0.0370
"""Ratio by weight at which the wet boiling point is defined, to 0.0005 either way."""
FIELD_WATER = 0.03
"""Ratio at which many shops change the fluid (common practice, no source)."""
FIELD_BOILING = {"dot4": 180.0 + CELSIUS}
"""K below which many shops change a fluid of that grade (common practice, no source)."""
FIELD_COPPER = 200e-6
"""Ratio above which a test strip says that the inhibitors are used up (common practice)."""


@dataclass(frozen=True, slots=True)
class Grade:
    """dry, wet: least boiling point new and humidified, K. silicone: does not mix with the rest."""

    key: str
    name: str
    dry: float
    wet: float
    silicone: bool = False


GRADES: Mapping[str, Grade] = MappingProxyType(
    {
        one.key: one
        for one in (
            Grade("dot3", "DOT 3", 205 + CELSIUS, 140 + CELSIUS),
            Grade("dot4", "DOT 4", 230 + CELSIUS, 155 + CELSIUS),
            Grade("dot51", "DOT 5.1", 260 + CELSIUS, 180 + CELSIUS),
            Grade("dot5", "DOT 5", 260 + CELSIUS, 180 + CELSIUS, silicone=True),
        )
    }
)


@dataclass(frozen=True, slots=True)
class BoilingPoint:
    """A boiling point against its grade.

    share: how far it has come from dry (0) to wet (1); beyond these above and below.
    early: above the wet minimum, but below what many shops ask for.
    """

    state: State
    share: float
    early: bool
    reason: str


def judge_boiling(kelvin: float, grade: Grade) -> BoilingPoint:
    """Where a boiling point, K, lies between the grade's dry and wet minimum.

    On the wet minimum still counts as in wear. Raises ValueError for what is not finite or below
    nought.
    """
    if not math.isfinite(kelvin) or kelvin <= 0:
        raise ValueError("A boiling point is a temperature above absolute nought.")
    share = (grade.dry - kelvin) / (grade.dry - grade.wet)
    least = FIELD_BOILING.get(grade.key)
    if kelvin < grade.wet:
        reason = f"Below the wet minimum of {grade.name}."
        return BoilingPoint("below_wet", share, True, reason)
    early = least is not None and kelvin < least
    if kelvin >= grade.dry:
        return BoilingPoint("as_new", share, False, f"At or above the dry minimum of {grade.name}.")
    return BoilingPoint("in_wear", share, early, f"Between wet and dry minimum of {grade.name}.")


WaterState = Literal["low", "change", "as_wet"]


def judge_water(ratio: float) -> WaterState:
    """Water by weight against the field figure and the wet definition. Raises ValueError outside
    0 to 1. Not for silicone fluid, which takes up none."""
    if not 0 <= ratio <= 1:
        raise ValueError("Water is between 0 and 100 %.")
    if ratio >= WET_WATER:
        return "as_wet"
    return "change" if ratio >= FIELD_WATER else "low"
