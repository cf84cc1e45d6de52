"""Why a part that came off is kept, and what is to be done with it today. Pure.

Exchange parts, and parts that go back to the maker under warranty, are not returned to the
customer but shown (16 CCR 3355, as summarised in the profile); local law decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum


class Why(StrEnum):
    """Why a part is kept; the same words are kept in its row."""

    CORE = "core"
    PAYER = "payer"
    CUSTOMER = "customer"
    SCRAP = "scrap"


class Due(StrEnum):
    """What is to be done with a part that is held."""

    OVERDUE = "overdue"  # to be sent, and the day has passed
    SEND = "send"
    GIVE = "give"
    MAY_GO = "may_go"
    KEPT = "kept"


@dataclass(frozen=True, slots=True)
class Proposal:
    """`because` is the fact it rests on, as a clause that reads on after a colon."""

    why: Why
    because: str


def proposed(*, payer: str, core_credit: Decimal | None, customer_wants: bool) -> Proposal:
    """Why a part is kept, from the facts of its job.

    payer: the words of a payer who may ask for the part, "" when there is none. That payer comes
    first, because a part that was sent away for its core cannot be shown to them any more.
    """
    if payer:
        return Proposal(Why.PAYER, f"the {payer} pays and may ask for it")
    if core_credit is not None and core_credit > 0:
        return Proposal(Why.CORE, "the supplier gives credit for the old unit")
    if customer_wants:
        return Proposal(Why.CUSTOMER, "the customer wants the replaced parts back")
    return Proposal(Why.SCRAP, "nobody has asked for it")


def wanted_back(*, unless_waived: bool, answer: str) -> bool:
    """Does the customer get replaced parts? `answer` is "wanted", "not_wanted" or ""."""
    return answer == "wanted" or (unless_waived and answer != "not_wanted")


@dataclass(frozen=True, slots=True)
class Held:
    """One part that is held. `left_on` is the day its job was closed, None while it is open;
    `keep_days` how long replaced parts stay after that."""

    why: Why
    hold_until: date
    asked_for_on: date | None = None
    left_on: date | None = None
    keep_days: int = 0

    @property
    def send_by(self) -> date | None:
        """The day by which it must be sent; None when nobody waits for it."""
        return self.asked_for_on or (self.hold_until if self.why is Why.CORE else None)

    @property
    def last_day(self) -> date | None:
        """The last day on which it stays; None while its job is open."""
        if self.left_on is None:
            return None
        return max(self.hold_until, self.left_on + timedelta(days=self.keep_days))


def due(part: Held, today: date) -> Due:
    """What is to be done with `part` today. The day it is held until is a day it stays."""
    if part.send_by is not None:
        return Due.OVERDUE if part.send_by < today else Due.SEND
    if part.last_day is not None and part.last_day < today:
        return Due.MAY_GO
    return Due.GIVE if part.why is Why.CUSTOMER else Due.KEPT


def stays_because(part: Held, today: date) -> str:
    """Why it may not be scrapped today, as a sentence; "" when it may."""
    if part.asked_for_on is not None:
        return f"The payer asked for it by {_day(part.asked_for_on)}. Send it instead."
    if part.why is Why.CORE:
        return "Credit is expected for this core. Send it, or say first that it is kept as scrap."
    if part.last_day is None:
        return "Its job is still open: what came off stays until the vehicle has left."
    if part.last_day >= today:
        who = _WHO[part.why]
        return f"It stays until {_day(part.last_day)}: {who}."
    return ""


_WHO = {
    Why.PAYER: "until then the payer may ask for it",
    Why.CUSTOMER: "the customer asked for it",
    Why.SCRAP: "so long are replaced parts kept here",
}


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


# Words in a component's key that say it is filled with fluid.
_FILLED = frozenset(
    {"modulator", "cylinder", "caliper", "hose", "hydraulics", "pump", "gear", "actuator"}
    | {"accumulator", "reservoir", "pipe", "rack", "valve"}
)
_FLUID = {
    "brake_control": "Brake fluid may run out: cap it, bag it, keep it off paint and eyes.",
    "base_brakes": "Brake fluid may run out: cap it, bag it, keep it off paint and eyes.",
    "power_steering": "Steering fluid may run out: cap it, bag it, wipe up what drips.",
}
_DUST = "Brake dust: treat it as harmful, keep the bag closed."


def caution(system: str, component: str) -> str:
    """What a part that came off may be soiled with, by the keys of its system and of itself.

    "" when nothing is known of it. Common practice, no source; brake dust as in jobs.cautions.
    """
    if system in _FLUID and _FILLED & set(component.split("_")):
        return _FLUID[system]
    return _DUST if system in ("base_brakes", "wheel_ends") else ""
