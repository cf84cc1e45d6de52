"""Whose move an order waits for, and what exactly is awaited. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from jobs.stages import Facts, Stage, counted


class Whose(StrEnum):
    """Whose move it is. The order is the order of the Desk's groups."""

    DESK = "desk"
    BAY = "bay"
    COUNTER = "counter"
    CUSTOMER = "customer"
    PAYER = "payer"
    NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class Awaited:
    """Whose move an order waits for, and what exactly is awaited, in a few words."""

    whose: Whose
    what: str


def awaited(stage: Stage, facts: Facts) -> Awaited:
    """Work out whose move it is from the stage and the facts."""
    return _AWAITED[stage](facts) if stage in _AWAITED else Awaited(Whose.NOBODY, stage.words)


def _awaited_start(facts: Facts) -> Awaited:
    if not facts.technician:
        return Awaited(Whose.DESK, "Choose a technician and a bay")
    return Awaited(Whose.BAY, "Not begun")


def _awaited_cause(facts: Facts) -> Awaited:
    left = facts.complaints - facts.concluded
    if left:
        return Awaited(Whose.BAY, "Find the fault" if left == 1 else f"Find {left} faults")
    if facts.conclude_anew:
        return Awaited(Whose.BAY, "Find the fault again")
    if not facts.to_fit and not facts.labour:
        if not facts.faults:
            return Awaited(Whose.BAY, "No fault found: prove it")
        return Awaited(Whose.BAY, "Concluded: put the work on the estimate")
    return Awaited(Whose.BAY, "Concluded: ask for authority")


def _awaited_authority(facts: Facts) -> Awaited:
    if not facts.estimate_given:
        who = "customer" if facts.payer_is_customer else "payer"
        return Awaited(Whose.DESK, f"Estimate ready: ask the {who}")
    if facts.complaints and facts.decided == facts.complaints:
        return Awaited(Whose.DESK, "More to ask: put it on the estimate")
    whose = Whose.CUSTOMER if facts.payer_is_customer else Whose.PAYER
    return Awaited(whose, "Estimate given, no answer yet")


def _awaited_assembly(facts: Facts) -> Awaited:
    if facts.not_ordered:
        return Awaited(
            Whose.COUNTER, f"Order {counted(facts.not_ordered, 'assembly', 'assemblies')}"
        )
    if facts.not_received:
        return Awaited(
            Whose.COUNTER,
            f"{counted(facts.not_received, 'assembly', 'assemblies')} ordered, not here yet",
        )
    if not facts.not_fitted:
        return Awaited(Whose.DESK, "Nothing to order: hand over to the Bay")
    return Awaited(Whose.COUNTER, "All here: hand over to the Bay")


def _awaited_repair(facts: Facts) -> Awaited:
    if not facts.not_fitted:
        return Awaited(Whose.BAY, "Finish the repair and begin proving")
    return Awaited(Whose.BAY, f"Fit {counted(facts.not_fitted, 'assembly', 'assemblies')}")


def _awaited_proof(facts: Facts) -> Awaited:
    missing = facts.missing_to_release
    return Awaited(Whose.BAY, missing[0].rstrip(".") if missing else "Say that it is proved")


def _awaited_release(facts: Facts) -> Awaited:
    if facts.unsafe:
        return Awaited(Whose.DESK, "Lift the not-to-be-driven mark, then release")
    return Awaited(Whose.DESK, "Release: all proved")


def _awaited_collection(facts: Facts) -> Awaited:
    if facts.unsafe:
        return Awaited(Whose.DESK, "Declined and marked not to be driven: settle how it leaves")
    if facts.diagnosis_to_bill:
        return Awaited(Whose.CUSTOMER, "Declined: diagnosis to pay, vehicle to be collected")
    return Awaited(Whose.CUSTOMER, "Declined: vehicle to be collected")


_AWAITED: dict[Stage, Callable[[Facts], Awaited]] = {
    Stage.RECEIVED: _awaited_start,
    Stage.DIAGNOSING: _awaited_cause,
    Stage.AWAITING_AUTHORITY: _awaited_authority,
    Stage.AWAITING_ASSEMBLY: _awaited_assembly,
    Stage.REPAIRING: _awaited_repair,
    Stage.PROVING: _awaited_proof,
    Stage.READY: _awaited_release,
    Stage.DECLINED: _awaited_collection,
}
