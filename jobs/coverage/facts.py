"""What is known of a complaint when somebody asks who pays. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Reason(StrEnum):
    """Why a payer might refuse although its term runs."""

    DAMAGE = "damage"
    MODIFICATION = "modification"
    NEGLECT = "neglect"
    OTHER_BRAND = "other_brand"


@dataclass(frozen=True, slots=True)
class Objection:
    """Somebody says that the term does not hold. `shown` is what proves that this caused the
    failure, "" while nothing does: the burden is on who refuses."""

    reason: Reason
    words: str
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """On the day the vehicle came in: the distance in metres, and what was concluded since.

    None and "" mean not known. `component` and `system` are keys of the catalogue; a system
    without a component is the one that is complained of, and decides nothing.
    """

    on: date
    distance_m: int | None = None
    component: str = ""
    system: str = ""
    failure_mode: str = ""
    no_fault_found: bool = False
    objections: tuple[Objection, ...] = ()


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact that could not be found, and what its lack does, as a sentence."""

    fact: str
    sentence: str
