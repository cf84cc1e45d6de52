"""The stages of a repair order: one table of allowed moves. Pure.

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
    ASK_MORE = "ask_more"
    GO_ON_PROVING = "go_on_proving"
    ASSEMBLY_HERE = "assembly_here"
    WRONG_ASSEMBLY = "wrong_assembly"
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
    asked_while_proving: bool = False  # more was asked for while the repair was being proved
    diagnosis_to_bill: int = 0  # lines of diagnosis that stay though the repair was declined
    payer_is_customer: bool = True
    missing_to_release: tuple[str, ...] = ()
    unsafe: bool = False
    to_invoice: bool = False  # something was done that no standing invoice bills


def counted(number: int, one: str, many: str) -> str:
    """ "1 assembly", "2 assemblies"."""
    return f"{number} {one if number == 1 else many}"


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
    condition = _CONDITIONS[need]
    return None if condition.holds(facts) else condition.says(facts)


@dataclass(frozen=True, slots=True)
class _Condition:
    holds: Callable[[Facts], bool]
    says: Callable[[Facts], str]


def _without_conclusion(facts: Facts) -> str:
    if not facts.complaints:
        return "The job has no complaint yet; write down what the customer says."
    left = facts.complaints - facts.concluded
    has = "has" if left == 1 else "have"
    of = counted(facts.complaints, "complaint", "complaints")
    return f"{left} of {of} still {has} no conclusion."


def _all_answered(facts: Facts) -> bool:
    return facts.decided == facts.complaints


_CONDITIONS: dict[Need, _Condition] = {
    Need.ALL_CONCLUDED: _Condition(
        lambda facts: 0 < facts.complaints == facts.concluded, _without_conclusion
    ),
    Need.CONCLUDED_ANEW: _Condition(
        lambda facts: not facts.conclude_anew,
        lambda _: "Diagnosis was taken up again; conclude the complaint anew before going on.",
    ),
    Need.SOMETHING_TO_DO: _Condition(
        lambda facts: facts.to_fit > 0 or facts.labour > 0,
        lambda _: (
            "Nothing is on the estimate: add the assembly or the work first, "
            "or say that there is nothing to repair."
        ),
    ),
    Need.NOTHING_TO_FIT: _Condition(
        lambda facts: facts.to_fit == 0 and facts.labour == 0,
        lambda facts: (
            f"{'An assembly' if facts.to_fit else 'Labour'} is on the estimate: ask for authority, "
            "or take it off before saying nothing is to be repaired."
        ),
    ),
    Need.ESTIMATE_GIVEN: _Condition(
        lambda facts: facts.estimate_given,
        lambda _: "No estimate has been given yet; give it, then record the answer.",
    ),
    Need.SOME_AUTHORISED: _Condition(
        lambda facts: facts.authorised > 0 and _all_answered(facts),
        lambda _: "Record the answer for every complaint, with at least one authorised.",
    ),
    Need.NONE_AUTHORISED: _Condition(
        lambda facts: facts.authorised == 0 and _all_answered(facts),
        lambda _: "Record the answer for every complaint; with one authorised the job goes on.",
    ),
    Need.ALL_RECEIVED: _Condition(
        lambda facts: facts.not_received == 0,
        lambda facts: (
            f"{counted(facts.not_received, 'assembly has', 'assemblies have')} not arrived."
        ),
    ),
    Need.ALL_FITTED: _Condition(
        lambda facts: facts.not_fitted == 0,
        lambda facts: (
            f"{counted(facts.not_fitted, 'assembly is', 'assemblies are')} not recorded as fitted."
        ),
    ),
    Need.PROOF_COMPLETE: _Condition(
        lambda facts: not facts.missing_to_release,
        lambda facts: "The repair is not proved yet. " + " ".join(facts.missing_to_release),
    ),
    Need.SAFE_TO_DRIVE: _Condition(
        lambda facts: not facts.unsafe,
        lambda _: (
            "The vehicle is marked not to be driven; the service manager lifts that with a reason."
        ),
    ),
    Need.NOTHING_ON_ORDER: _Condition(
        lambda facts: facts.on_order == 0,
        lambda facts: (
            f"{counted(facts.on_order, 'assembly is', 'assemblies are')} ordered or here for "
            "this job; cancel at the Counter first."
        ),
    ),
}


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
        Move.ASK_MORE,
        # What was authorised stays so; the technician concludes nothing anew.
        frozenset({Stage.AWAITING_ASSEMBLY, Stage.REPAIRING, Stage.PROVING}),
        Stage.AWAITING_AUTHORITY,
        _BAY,
        "Ask for more",
        reason_asked=True,
    ),
    MoveRule(
        Move.GO_ON_PROVING,
        frozenset({Stage.AWAITING_AUTHORITY}),
        Stage.PROVING,
        _DESK,
        "Answered: go on proving",
        needs=(Need.ESTIMATE_GIVEN, Need.SOME_AUTHORISED, Need.ALL_FITTED),
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
        Move.WRONG_ASSEMBLY,
        frozenset({Stage.REPAIRING}),
        Stage.AWAITING_ASSEMBLY,
        _PARTS,
        "Wrong assembly: wait for the right one",
        reason_asked=True,
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
        frozenset({Stage.PROVING, Stage.READY}),
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
        # A marked vehicle may leave too, carried: its mark stays and comes back with it.
        reason_asked=True,
    ),
    MoveRule(
        Move.VOID,
        OPEN - {Stage.REPAIRING, Stage.PROVING, Stage.READY},
        Stage.VOID,
        _DESK,
        "Void this order",
        # A voided order takes its mark along; what stands must be settled first.
        needs=(Need.NOTHING_ON_ORDER, Need.SAFE_TO_DRIVE),
        reason_asked=True,
    ),
)


def rule_for(move: Move) -> MoveRule:
    """The one rule of a move. Raises KeyError only if the table lost a move (a test keeps it)."""
    return {rule.move: rule for rule in MOVES}[move]


def moves_from(stage: Stage) -> tuple[MoveRule, ...]:
    """The moves that the table allows from a stage, whoever may make them."""
    return tuple(rule for rule in MOVES if stage in rule.source)
