"""The table of stages: who may move what from where, and whose move it is."""

from __future__ import annotations

from uuid import uuid4

import pytest

from jobs.models import RepairOrder, Replacement
from jobs.next_step import next_step
from jobs.services import moves, parts
from jobs.stages import CLOSED, MOVES, OPEN, Facts, Move, Stage, moves_from, unmet
from jobs.whose_move import Whose, awaited
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Role
from tests.asserts import refused
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, go

T, M, C = Role.TECHNICIAN, Role.MANAGER, Role.COUNTER

# Written down apart from the table itself: from where, by whom, to where.
EXPECTED: dict[tuple[Stage, Move], tuple[set[Role], Stage]] = {
    (Stage.RECEIVED, Move.BEGIN): ({T, M}, Stage.DIAGNOSING),
    (Stage.RECEIVED, Move.VOID): ({M}, Stage.VOID),
    (Stage.DIAGNOSING, Move.ASK_AUTHORITY): ({T, M}, Stage.AWAITING_AUTHORITY),
    (Stage.DIAGNOSING, Move.NOTHING_TO_REPAIR): ({T, M}, Stage.PROVING),
    (Stage.DIAGNOSING, Move.VOID): ({M}, Stage.VOID),
    (Stage.AWAITING_AUTHORITY, Move.AUTHORISE): ({M}, Stage.AWAITING_ASSEMBLY),
    (Stage.AWAITING_AUTHORITY, Move.AUTHORISE_AT_HAND): ({M}, Stage.REPAIRING),
    (Stage.AWAITING_AUTHORITY, Move.DECLINE): ({M}, Stage.DECLINED),
    (Stage.AWAITING_AUTHORITY, Move.GO_ON_PROVING): ({M}, Stage.PROVING),
    (Stage.AWAITING_ASSEMBLY, Move.ASK_MORE): ({T, M}, Stage.AWAITING_AUTHORITY),
    (Stage.REPAIRING, Move.ASK_MORE): ({T, M}, Stage.AWAITING_AUTHORITY),
    (Stage.PROVING, Move.ASK_MORE): ({T, M}, Stage.AWAITING_AUTHORITY),
    (Stage.AWAITING_AUTHORITY, Move.DIAGNOSE_AGAIN): ({T, M}, Stage.DIAGNOSING),
    (Stage.AWAITING_AUTHORITY, Move.VOID): ({M}, Stage.VOID),
    (Stage.AWAITING_ASSEMBLY, Move.ASSEMBLY_HERE): ({C, M}, Stage.REPAIRING),
    (Stage.AWAITING_ASSEMBLY, Move.DIAGNOSE_AGAIN): ({T, M}, Stage.DIAGNOSING),
    (Stage.AWAITING_ASSEMBLY, Move.VOID): ({M}, Stage.VOID),
    (Stage.REPAIRING, Move.WRONG_ASSEMBLY): ({C, M}, Stage.AWAITING_ASSEMBLY),
    (Stage.REPAIRING, Move.ALL_FITTED): ({T, M}, Stage.PROVING),
    (Stage.REPAIRING, Move.DIAGNOSE_AGAIN): ({T, M}, Stage.DIAGNOSING),
    (Stage.PROVING, Move.PROVED): ({T, M}, Stage.READY),
    (Stage.PROVING, Move.NOT_CURED): ({T, M}, Stage.DIAGNOSING),
    (Stage.PROVING, Move.RELEASE): ({M}, Stage.RELEASED),
    (Stage.READY, Move.NOT_CURED): ({T, M}, Stage.DIAGNOSING),
    (Stage.READY, Move.RELEASE): ({M}, Stage.RELEASED),
    (Stage.DECLINED, Move.LEAVE_UNREPAIRED): ({M}, Stage.RELEASED),
    (Stage.DECLINED, Move.VOID): ({M}, Stage.VOID),
}

# Everything a move could need holds.
READY = Facts(
    technician=True,
    complaints=1,
    concluded=1,
    labour=1,
    estimate_given=True,
    decided=1,
    authorised=1,
)
REFUSED = READY.__class__(
    technician=True, complaints=1, concluded=1, labour=1, estimate_given=True, decided=1
)
NOTHING_PROPOSED = READY.__class__(technician=True, complaints=1, concluded=1)
FITTING_FACTS = {Move.DECLINE: REFUSED, Move.NOTHING_TO_REPAIR: NOTHING_PROPOSED}


@pytest.mark.parametrize("stage", Stage)
def test_every_move_of_every_role_is_made_or_refused_as_the_table_says(
    stage: Stage, bela: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = a_repair_order(bela)
    for which in Move:
        facts = FITTING_FACTS.get(which, READY)
        monkeypatch.setattr(moves, "facts_of", lambda _order, facts=facts: facts)
        for role in Role:
            _try(order, stage, which, Actor(bela.user, bela.workshop, frozenset({role})))


def _try(order: RepairOrder, stage: Stage, which: Move, actor: Actor) -> None:
    closed_at = clock.now() if stage in CLOSED else None
    RepairOrder.objects.filter(pk=order.pk).update(stage=stage, closed_at=closed_at)
    order.refresh_from_db()
    roles, target = EXPECTED.get((stage, which), (set(), stage))
    allowed = bool(actor.roles & roles)
    try:
        moves.move(
            actor, order, which, act=uuid4(), revision=order.revision, reason="Because of the test"
        )
    except Clash:
        assert (stage, which) not in EXPECTED, (stage, which)
    except Refusal as refusal:
        assert not allowed, (stage, which, actor.roles, refusal.sentence)
        assert (stage, which) in EXPECTED
        assert "is for the" in refusal.sentence
    else:
        assert allowed, (stage, which, actor.roles)
        assert Stage(order.stage) is target
        assert (order.closed_at is not None) == (target in CLOSED)
    order.refresh_from_db()


def test_the_table_has_no_move_that_this_test_does_not_know() -> None:
    in_table = {(stage, rule.move) for rule in MOVES for stage in rule.source}
    assert in_table == set(EXPECTED)
    assert {rule.move for rule in MOVES} == set(Move)
    assert len({rule.move for rule in MOVES}) == len(MOVES)


def test_nothing_leads_out_of_a_closed_order_and_everything_open_has_a_way_on() -> None:
    assert all(not moves_from(stage) for stage in CLOSED)
    assert all(moves_from(stage) for stage in OPEN)


def test_every_condition_says_a_sentence_when_it_does_not_hold() -> None:
    nothing = Facts(
        complaints=2,
        to_fit=1,
        not_received=1,
        not_fitted=2,
        missing_to_release=("The lamps have not been looked at.",),
        unsafe=True,
        conclude_anew=True,
    )
    for rule in MOVES:
        for need in rule.needs:
            for facts in (nothing, Facts(), READY):
                sentence = unmet(need, facts)
                assert sentence is None or sentence.rstrip().endswith("."), sentence


@pytest.mark.parametrize(
    ("stage", "facts", "whose", "what"),
    [
        (Stage.RECEIVED, Facts(), Whose.DESK, "Choose a technician and a bay"),
        (Stage.RECEIVED, Facts(technician=True), Whose.BAY, "Not begun"),
        (Stage.DIAGNOSING, Facts(complaints=2), Whose.BAY, "Find 2 faults"),
        (Stage.DIAGNOSING, Facts(complaints=1, concluded=1, to_fit=1), Whose.BAY, "Concluded: ask"),
        (
            Stage.DIAGNOSING,
            Facts(complaints=1, concluded=1, to_fit=1, conclude_anew=True),
            Whose.BAY,
            "Find the fault again",
        ),
        (Stage.AWAITING_AUTHORITY, Facts(), Whose.DESK, "Estimate ready: ask the customer"),
        (
            Stage.AWAITING_AUTHORITY,
            Facts(payer_is_customer=False),
            Whose.DESK,
            "Estimate ready: ask the payer",
        ),
        (
            Stage.AWAITING_AUTHORITY,
            Facts(estimate_given=True, complaints=1),
            Whose.CUSTOMER,
            "no answer yet",
        ),
        (
            Stage.AWAITING_AUTHORITY,
            Facts(estimate_given=True, complaints=1, payer_is_customer=False),
            Whose.PAYER,
            "no answer yet",
        ),
        (Stage.AWAITING_ASSEMBLY, Facts(not_ordered=1), Whose.COUNTER, "Order 1 assembly"),
        (Stage.AWAITING_ASSEMBLY, Facts(not_received=2), Whose.COUNTER, "2 assemblies ordered"),
        (Stage.AWAITING_ASSEMBLY, Facts(not_fitted=1), Whose.COUNTER, "All here"),
        (Stage.AWAITING_ASSEMBLY, Facts(), Whose.DESK, "Nothing to order"),
        (Stage.REPAIRING, Facts(not_fitted=1), Whose.BAY, "Fit 1 assembly"),
        (Stage.REPAIRING, Facts(), Whose.BAY, "Finish the repair"),
        (Stage.PROVING, Facts(missing_to_release=("No road test.",)), Whose.BAY, "No road test"),
        (Stage.PROVING, Facts(), Whose.BAY, "Say that it is proved"),
        (Stage.READY, Facts(), Whose.DESK, "Release: all proved"),
        (Stage.READY, Facts(unsafe=True), Whose.DESK, "Lift the not-to-be-driven mark"),
        (Stage.DECLINED, Facts(), Whose.CUSTOMER, "to be collected"),
        (Stage.DECLINED, Facts(unsafe=True), Whose.DESK, "settle how it leaves"),
        (Stage.RELEASED, Facts(), Whose.NOBODY, "released"),
        (Stage.VOID, Facts(), Whose.NOBODY, "void"),
    ],
)
def test_whose_move_it_is_follows_from_the_stage_and_the_facts(
    stage: Stage, facts: Facts, whose: Whose, what: str
) -> None:
    answer = awaited(stage, facts)
    assert answer.whose is whose
    assert what in answer.what


@pytest.mark.parametrize("stage", sorted(OPEN))
def test_somebody_always_has_a_next_step_in_an_open_order(stage: Stage) -> None:
    steps = {role: next_step(stage, READY, frozenset({role})) for role in Role}
    assert any(not step.waits for step in steps.values())
    assert steps[Role.OWNER].waits, "the owner does no technical act"
    assert all(step.words for step in steps.values())


def test_a_move_offered_as_next_step_is_one_that_the_table_allows_that_role() -> None:
    for stage in Stage:
        for role in Role:
            step = next_step(stage, READY, frozenset({role}))
            if step.move:
                assert role in EXPECTED[stage, step.move][0]


def test_it_refuses_to_void_a_job_with_an_assembly_on_order_until_that_is_cancelled(
    crew: Crew,
) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    part = Replacement.objects.get(complaint__order=order)
    parts.order(
        crew.counter,
        act=uuid4(),
        replacements=[part.pk],
        reference="A 17",
        expected_on=clock.today(),
    )
    with refused(says="1 assembly is ordered or here for this job"):
        go(crew.manager, order, Move.VOID, reason="Customer took it away")
    part.refresh_from_db()
    parts.cancel(crew.counter, act=uuid4(), replacement=part, because="Not needed")
    go(crew.manager, order, Move.VOID, reason="Customer took it away")
    assert Stage(order.stage) is Stage.VOID


def test_what_is_not_ordered_yet_leaves_the_counter_when_the_job_is_diagnosed_again(
    crew: Crew,
) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    go(crew.technician, order, Move.DIAGNOSE_AGAIN, reason="It is the ground after all")
    assert Replacement.objects.get(complaint__order=order).state == Replacement.State.PROPOSED


def test_it_refuses_a_move_that_needs_a_reason_without_one_and_makes_it_with_one(
    bela: Actor,
) -> None:
    order = a_repair_order(bela)
    with refused(field="reason"):
        moves.move(bela, order, Move.VOID, act=uuid4(), revision=order.revision, reason="  ")
    moves.move(bela, order, Move.VOID, act=uuid4(), revision=order.revision, reason="Twice opened")
    assert Stage(order.stage) is Stage.VOID
    assert order.moves.get().reason == "Twice opened"
