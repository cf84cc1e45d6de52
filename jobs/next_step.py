"""What one person does next on a job: the page's one rust button. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from jobs.stages import Facts, Move, Stage
from shop.roles import Permit, Role, decide


@dataclass(frozen=True, slots=True)
class NextStep:
    """Go to `sheet` (a name of an address), make `move`, or wait: then neither is set.

    `words` is the button, or the sentence that says what is waited for.
    """

    words: str
    sheet: str = ""
    move: Move | None = None

    @property
    def waits(self) -> bool:
        return not self.sheet and self.move is None


def next_step(stage: Stage, facts: Facts, roles: frozenset[Role]) -> NextStep:
    """The next action of somebody with these roles, worked out from the stage and the facts."""
    return _STEPS[stage](facts, roles)


_WAIT_BAY = NextStep("Waits for the Bay.")
_WAIT_DESK = NextStep("Waits for the Desk.")
_WAIT_COUNTER = NextStep("Waits for the Counter.")
_WAIT_ANSWER = NextStep("Waits for the answer to the estimate.")


def _may(roles: frozenset[Role], permit: Permit) -> bool:
    return bool(decide(roles, permit))


def _received(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if not facts.technician and _may(roles, Permit.ASSIGN):
        return NextStep("Choose a technician and a bay", sheet="order-assign")
    if _may(roles, Permit.DIAGNOSE):
        return NextStep("Begin diagnosis", move=Move.BEGIN)
    return _WAIT_BAY


def _diagnosing(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if not _may(roles, Permit.DIAGNOSE):
        return _WAIT_BAY
    if not facts.complaints:
        return NextStep("Write down the complaint", sheet="complaint-add")
    if facts.concluded < facts.complaints or facts.conclude_anew:
        return NextStep("Go on with the checklist", sheet="session")
    if facts.to_fit or facts.labour:
        return NextStep("Ask for authority", move=Move.ASK_AUTHORITY)
    if not facts.faults:
        return NextStep("Nothing to repair: prove it", move=Move.NOTHING_TO_REPAIR)
    return NextStep("Put the work on the estimate", sheet="estimate")


def _authority(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if not _may(roles, Permit.RECORD_AUTHORITY):
        return _WAIT_ANSWER
    if facts.estimate_given and 0 < facts.complaints == facts.decided:
        return NextStep("Put the addition on the estimate", sheet="estimate")
    words = "Record the answer" if facts.estimate_given else "Give the estimate"
    return NextStep(words, sheet="estimate")


def _assembly(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if not _may(roles, Permit.ORDER_PARTS):
        return _WAIT_COUNTER
    if facts.not_ordered:
        return NextStep("Order the assembly", sheet="counter")
    if facts.not_received:
        return NextStep("Receive the assembly", sheet="counter")
    return NextStep("Hand over to the Bay", move=Move.ASSEMBLY_HERE)


def _repairing(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if facts.not_fitted:
        if _may(roles, Permit.FIT):
            return NextStep("Fit the assembly", sheet="fitting")
        return _WAIT_BAY
    if _may(roles, Permit.PROVE):
        return NextStep("Repaired: begin proving", move=Move.ALL_FITTED)
    return _WAIT_BAY


def _proving(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if not _may(roles, Permit.PROVE):
        return _WAIT_BAY
    if facts.missing_to_release:
        return NextStep("Prove the repair", sheet="proving")
    return NextStep("Proved: ready for release", move=Move.PROVED)


def _ready(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if not _may(roles, Permit.RELEASE):
        return _WAIT_DESK
    if facts.unsafe:
        return NextStep("Lift the not-to-be-driven mark", sheet="unsafe-lift")
    return NextStep("Release the vehicle", sheet="proving")


def _declined(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if not _may(roles, Permit.RELEASE):
        return _WAIT_DESK
    words = "Have the vehicle carried away" if facts.unsafe else "Let the vehicle leave unrepaired"
    return NextStep(words, sheet="proving")


def _released(facts: Facts, roles: frozenset[Role]) -> NextStep:
    if facts.to_invoice and _may(roles, Permit.ISSUE_INVOICE):
        return NextStep("Make out the bill", sheet="bill")
    return NextStep("Open the repair order", sheet="repair-order-pdf")


def _void(facts: Facts, roles: frozenset[Role]) -> NextStep:
    return NextStep("This order is void.")


_STEPS: dict[Stage, Callable[[Facts, frozenset[Role]], NextStep]] = {
    Stage.RECEIVED: _received,
    Stage.DIAGNOSING: _diagnosing,
    Stage.AWAITING_AUTHORITY: _authority,
    Stage.AWAITING_ASSEMBLY: _assembly,
    Stage.REPAIRING: _repairing,
    Stage.PROVING: _proving,
    Stage.READY: _ready,
    Stage.DECLINED: _declined,
    Stage.RELEASED: _released,
    Stage.VOID: _void,
}
