"""What was promised: a warranty, a contract, a campaign. Pure.

The order of kinds is the order in which payers are asked: who must remedy without charge first,
then the maker of the vehicle, then who sold the unit, then what the owner bought. Common
practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum


class Kind(StrEnum):
    """Who promised; the values are the payers of a complaint."""

    CAMPAIGN = "campaign"
    VEHICLE_WARRANTY = "vehicle_warranty"
    PARTS_WARRANTY = "parts_warranty"
    SERVICE_CONTRACT = "service_contract"


IN_ORDER = tuple(Kind)


@dataclass(frozen=True, slots=True)
class Scope:
    """What a term speaks of. `components` and `systems` are keys; both empty means everything.

    `left_out` are components that it excludes although they fall under it, as parts that wear do.
    `failure_modes`, when any, are the only ones covered (rusting through, say).
    """

    components: frozenset[str] = frozenset()
    systems: frozenset[str] = frozenset()
    left_out: frozenset[str] = frozenset()
    failure_modes: frozenset[str] = frozenset()

    def __repr__(self) -> str:
        """The same in every process, whichever order its sets have there: pages compare by it."""
        sets = (self.components, self.systems, self.left_out, self.failure_modes)
        return f"Scope({', '.join(str(sorted(one)) for one in sets)})"

    @property
    def of_everything(self) -> bool:
        return not (self.components or self.systems)


@dataclass(frozen=True, slots=True)
class Term:
    """One promise. Whichever of `months` and `distance_m` is reached first ends it; None is no
    limit. Both run from `starts_on` and `starts_at_m`; a start of None is not known.

    `waiting_days` and `waiting_m` must both have passed before it holds. `percent` of the price
    is borne, less `deductible` in the workshop's money. `remedied_on` is the day a campaign was
    carried out on this vehicle: it pays for that visit and for no later one. `ended_on` is the
    last day of a contract that was ended early. `source` is where the promise is written.
    """

    key: str
    name: str
    kind: Kind
    starts_on: date | None
    starts_at_m: int | None = 0
    months: int | None = None
    distance_m: int | None = None
    waiting_days: int = 0
    waiting_m: int = 0
    scope: Scope = Scope()
    percent: Decimal = Decimal(100)
    deductible: Decimal = Decimal(0)
    remedied_on: date | None = None
    source: str = ""
    ended_on: date | None = None
    starts_with: str = "the in-service date"  # what the start is called in a sentence

    def __post_init__(self) -> None:
        """Raises ValueError for spans, shares and sums that cannot be."""
        spans = (self.months, self.distance_m, self.waiting_days, self.waiting_m)
        if any(span is not None and span < 0 for span in spans):
            raise ValueError("Months, days and distances are not below nought.")
        if not 0 < self.percent <= 100:
            raise ValueError("What is borne lies above 0 and up to 100 percent.")
        if self.deductible < 0:
            raise ValueError("A deductible is not below nought.")
