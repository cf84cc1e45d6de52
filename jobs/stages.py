"""The stages of a repair order: one table of allowed moves, and whose move it is. Pure.

A move's `needs` names conditions from `Facts`; the first one not met is the sentence said.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from shop.roles import Role


class Stage(StrEnum):
    RECEIVED = "received"
    DIAGNOSING = "diagnosing"
    AWAITING_AUTHORITY = "awaiting_authority"
    AWAITING_ASSEMBLY = "awaiting_assembly"
    REPAIRING = "repairing"
    PROVING = "proving"
    READY = "ready"
    RELEASED = "released"
    DECLINED = "declined"
    VOID = "void"

    @property
    def words(self) -> str:
        return self.value.replace("_", " ")


OPEN = frozenset(Stage) - {Stage.RELEASED, Stage.VOID}
CLOSED = frozenset({Stage.RELEASED, Stage.VOID})
UNDER_REPAIR = frozenset({Stage.REPAIRING, Stage.PROVING})


class Move(StrEnum):
    """What a person does; the button's words are in `MoveRule.button`."""

    BEGIN = "begin"
    ASK_AUTHORITY = "ask_authority"
    NOTHING_TO_REPAIR = "nothing_to_repair"
    AUTHORISE = "authorise"
    AUTHORISE_AT_HAND = "authorise_at_hand"
    DECLINE = "decline"
    ASSEMBLY_HERE = "assembly_here"
    ALL_FITTED = "all_fitted"
    PROVED = "proved"
    NOT_CURED = "not_cured"
    DIAGNOSE_AGAIN = "diagnose_again"
    RELEASE = "release"
    LEAVE_UNREPAIRED = "leave_unrepaired"
    VOID = "void"


@dataclass(frozen=True, slots=True)
class Facts:
    """What is true of an order; each field answers one condition or one question of the Desk."""

    technician: bool = False
    complaints: int = 0
    concluded: int = 0
    faults: int = 0  # conclusions that name a component
    conclude_anew: bool = False  # taken up again, and nothing concluded since
    to_fit: int = 0  # proposed assemblies not yet fitted
    labour: int = 0  # operations on the estimate
    not_ordered: int = 0
    not_received: int = 0
    not_fitted: int = 0
    on_order: int = 0  # ordered, or here and not fitted
    estimate_given: bool = False
    decided: int = 0
    authorised: int = 0
    payer_is_customer: bool = True
    missing_to_release: tuple[str, ...] = ()
    unsafe: bool = False


class Need(StrEnum):
    """Conditions a move may have; `unmet` says what is missing in a sentence."""

    ALL_CONCLUDED = "all_concluded"
    CONCLUDED_ANEW = "concluded_anew"
    SOMETHING_TO_DO = "something_to_do"
    NOTHING_TO_FIT = "nothing_to_fit"
    ESTIMATE_GIVEN = "estimate_given"
    SOME_AUTHORISED = "some_authorised"
    NONE_AUTHORISED = "none_authorised"
    ALL_RECEIVED = "all_received"
    ALL_FITTED = "all_fitted"
    PROOF_COMPLETE = "proof_complete"
    SAFE_TO_DRIVE = "safe_to_drive"
    NOTHING_ON_ORDER = "nothing_on_order"


def unmet(need: Need, facts: Facts) -> str | None:
    """The sentence that says what is missing, or None when the condition holds."""
    open_complaints = facts.complaints - facts.concluded
    table: dict[Need, tuple[bool, str]] = {
        Need.ALL_CONCLUDED: (
            facts.complaints > 0 and open_complaints == 0,
            f"{open_complaints} of {_count(facts.complaints, 'complaint', 'complaints')} "
            f"still {'has' if open_complaints == 1 else 'have'} no conclusion."
            if facts.complaints
            else "The job has no complaint yet; write down what the customer says.",
        ),
        Need.CONCLUDED_ANEW: (
            not facts.conclude_anew,
            "Diagnosis was taken up again; conclude the complaint anew before going on.",
        ),
        Need.SOMETHING_TO_DO: (
            facts.to_fit > 0 or facts.labour > 0,
            (
                "Nothing is on the estimate: add the assembly or the work first, "
                "or say that there is nothing to repair."
            ),
        ),
        Need.NOTHING_TO_FIT: (
            facts.to_fit == 0,
            "An assembly is on the estimate; take it off before saying nothing is to be repaired.",
        ),
        Need.ESTIMATE_GIVEN: (
            facts.estimate_given,
            "No estimate has been given yet; give it, then record the answer.",
        ),
        Need.SOME_AUTHORISED: (
            facts.authorised > 0 and facts.decided == facts.complaints,
            "Record the answer for every complaint, with at least one authorised.",
        ),
        Need.NONE_AUTHORISED: (
            facts.authorised == 0 and facts.decided == facts.complaints,
            "Record the answer for every complaint; with one authorised the job goes on.",
        ),
        Need.ALL_RECEIVED: (
            facts.not_received == 0,
            f"{_count(facts.not_received, 'assembly has', 'assemblies have')} not arrived.",
        ),
        Need.ALL_FITTED: (
            facts.not_fitted == 0,
            f"{_count(facts.not_fitted, 'assembly is', 'assemblies are')} not recorded as fitted.",
        ),
        Need.PROOF_COMPLETE: (
            not facts.missing_to_release,
            "The repair is not proved yet. " + " ".join(facts.missing_to_release),
        ),
        Need.SAFE_TO_DRIVE: (
            not facts.unsafe,
            "The vehicle is marked not to be driven; the service manager lifts that with a reason.",
        ),
        Need.NOTHING_ON_ORDER: (
            facts.on_order == 0,
            (
                f"{_count(facts.on_order, 'assembly is', 'assemblies are')} ordered or here for this "
                "job; cancel at the Counter first."
            ),
        ),
    }
    holds, sentence = table[need]
    return None if holds else sentence


@dataclass(frozen=True, slots=True)
class MoveRule:
    move: Move
    source: frozenset[Stage]
    target: Stage
    roles: frozenset[Role]
    button: str
    needs: tuple[Need, ...] = ()
    reason_asked: bool = False
    overridable: frozenset[Need] = frozenset()


_BAY = frozenset({Role.TECHNICIAN, Role.MANAGER})
_DESK = frozenset({Role.MANAGER})
_PARTS = frozenset({Role.COUNTER, Role.MANAGER})

MOVES: tuple[MoveRule, ...] = (
    MoveRule(Move.BEGIN, frozenset({Stage.RECEIVED}), Stage.DIAGNOSING, _BAY, "Begin diagnosis"),
    MoveRule(
        Move.ASK_AUTHORITY,
        frozenset({Stage.DIAGNOSING}),
        Stage.AWAITING_AUTHORITY,
        _BAY,
        "Ask for authority",
        needs=(Need.ALL_CONCLUDED, Need.CONCLUDED_ANEW, Need.SOMETHING_TO_DO),
    ),
    MoveRule(
        Move.NOTHING_TO_REPAIR,
        frozenset({Stage.DIAGNOSING}),
        Stage.PROVING,
        _BAY,
        "Nothing to repair: prove it",
        needs=(Need.ALL_CONCLUDED, Need.CONCLUDED_ANEW, Need.NOTHING_TO_FIT),
    ),
    MoveRule(
        Move.AUTHORISE,
        frozenset({Stage.AWAITING_AUTHORITY}),
        Stage.AWAITING_ASSEMBLY,
        _DESK,
        "Authority given",
        needs=(Need.ESTIMATE_GIVEN, Need.SOME_AUTHORISED),
    ),
    MoveRule(
        Move.AUTHORISE_AT_HAND,
        frozenset({Stage.AWAITING_AUTHORITY}),
        Stage.REPAIRING,
        _DESK,
        "Authority given, nothing to wait for",
        needs=(Need.ESTIMATE_GIVEN, Need.SOME_AUTHORISED, Need.ALL_RECEIVED),
    ),
    MoveRule(
        Move.DECLINE,
        frozenset({Stage.AWAITING_AUTHORITY}),
        Stage.DECLINED,
        _DESK,
        "Declined",
        needs=(Need.ESTIMATE_GIVEN, Need.NONE_AUTHORISED),
    ),
    MoveRule(
        Move.ASSEMBLY_HERE,
        frozenset({Stage.AWAITING_ASSEMBLY}),
        Stage.REPAIRING,
        _PARTS,
        "Hand over to the Bay",
        needs=(Need.ALL_RECEIVED,),
    ),
    MoveRule(
        Move.ALL_FITTED,
        frozenset({Stage.REPAIRING}),
        Stage.PROVING,
        _BAY,
        "Repaired: begin proving",
        needs=(Need.ALL_FITTED,),
    ),
    MoveRule(
        Move.PROVED,
        frozenset({Stage.PROVING}),
        Stage.READY,
        _BAY,
        "Proved: ready for release",
        needs=(Need.PROOF_COMPLETE,),
    ),
    MoveRule(
        Move.NOT_CURED,
        frozenset({Stage.PROVING}),
        Stage.DIAGNOSING,
        _BAY,
        "Not cured: diagnose again",
        reason_asked=True,
    ),
    MoveRule(
        Move.DIAGNOSE_AGAIN,
        frozenset({Stage.AWAITING_AUTHORITY, Stage.AWAITING_ASSEMBLY, Stage.REPAIRING}),
        Stage.DIAGNOSING,
        _BAY,
        "Back to diagnosis",
        reason_asked=True,
    ),
    MoveRule(
        Move.RELEASE,
        frozenset({Stage.READY, Stage.PROVING}),
        Stage.RELEASED,
        _DESK,
        "Release the vehicle",
        needs=(Need.PROOF_COMPLETE, Need.SAFE_TO_DRIVE),
        overridable=frozenset({Need.PROOF_COMPLETE}),
    ),
    MoveRule(
        Move.LEAVE_UNREPAIRED,
        frozenset({Stage.DECLINED}),
        Stage.RELEASED,
        _DESK,
        "Vehicle leaves unrepaired",
        needs=(Need.SAFE_TO_DRIVE,),
        reason_asked=True,
    ),
    MoveRule(
        Move.VOID,
        OPEN - {Stage.REPAIRING, Stage.PROVING, Stage.READY},
        Stage.VOID,
        _DESK,
        "Void this order",
        needs=(Need.NOTHING_ON_ORDER,),
        reason_asked=True,
    ),
)


def rule_for(move: Move) -> MoveRule:
    """The one rule of a move. Raises KeyError only if the table lost a move (a test keeps it)."""
    return {rule.move: rule for rule in MOVES}[move]


def moves_from(stage: Stage) -> tuple[MoveRule, ...]:
    """The moves that the table allows from a stage, whoever may make them."""
    return tuple(rule for rule in MOVES if stage in rule.source)


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
        return Awaited(Whose.DESK, "Answer recorded: move the job on")
    whose = Whose.CUSTOMER if facts.payer_is_customer else Whose.PAYER
    return Awaited(whose, "Estimate given, no answer yet")


def _awaited_assembly(facts: Facts) -> Awaited:
    if facts.not_ordered:
        return Awaited(
            Whose.COUNTER, f"Order {_count(facts.not_ordered, 'assembly', 'assemblies')}"
        )
    if facts.not_received:
        return Awaited(
            Whose.COUNTER,
            f"{_count(facts.not_received, 'assembly', 'assemblies')} ordered, not here yet",
        )
    if not facts.not_fitted:
        return Awaited(Whose.DESK, "Nothing to order: hand over to the Bay")
    return Awaited(Whose.COUNTER, "All here: hand over to the Bay")


def _awaited_repair(facts: Facts) -> Awaited:
    if not facts.not_fitted:
        return Awaited(Whose.BAY, "Finish the repair and begin proving")
    return Awaited(Whose.BAY, f"Fit {_count(facts.not_fitted, 'assembly', 'assemblies')}")


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


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"
