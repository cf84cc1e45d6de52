"""Facts are gathered in a constant number of queries, and follow what was recorded."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.urls import reverse

from diagnostics.services.conclusions import Finding
from jobs.models import RepairOrder
from jobs.queries.desk import desk_of
from jobs.queries.facts import facts_for, facts_of
from jobs.queries.orders import get_order
from jobs.queries.stub import stub_of
from jobs.services import conclusions
from jobs.stages import Move, Stage
from jobs.whose_move import awaited
from tests.asserts import counted
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, answer, bring_to, conclude_the_hub, give_estimate, go, prove

STAGES = (
    Stage.DIAGNOSING,
    Stage.AWAITING_AUTHORITY,
    Stage.AWAITING_ASSEMBLY,
    Stage.REPAIRING,
    Stage.PROVING,
)


def a_job_at(stage: Stage, crew: Crew) -> RepairOrder:
    return bring_to(stage, a_repair_order(crew.manager, technician=crew.technician), crew)


def test_facts_cost_the_same_queries_for_two_orders_as_for_many(crew: Crew) -> None:
    """The second set has every stage twice, with flags, readings, lamps and assemblies."""
    for stage in STAGES:
        a_job_at(stage, crew)
    orders = list(RepairOrder.objects.all())
    with counted() as few:
        facts_for(orders)
        desk_of(crew.manager)
    for stage in STAGES:
        a_job_at(stage, crew)
    proved = a_job_at(Stage.PROVING, crew)
    prove(crew, proved)
    orders = list(RepairOrder.objects.all())
    with counted() as many:
        facts_for(orders)
        desk_of(crew.manager)
    assert len(many) == len(few), [query["sql"][:120] for query in many.captured_queries]
    assert len(few) < 60


@pytest.mark.parametrize("name", ["order", "proving", "story"])
def test_a_sheet_costs_the_same_queries_for_a_long_job_as_for_a_short_one(
    crew: Crew, name: str
) -> None:
    order = a_job_at(Stage.PROVING, crew)
    browser = client_of(crew.manager)
    address = reverse(name, args=["quay-street", order.number])
    prove(crew, order)
    browser.get(address)
    with counted() as short:
        browser.get(address)
    prove(crew, order)
    prove(crew, order)
    with counted() as long:
        browser.get(address)
    assert len(long) == len(short)


def test_the_stub_is_cheap_when_the_facts_are_known(crew: Crew) -> None:
    order = get_order(crew.manager, a_job_at(Stage.DIAGNOSING, crew).number)
    facts = facts_of(order)
    with counted() as queries:
        stub_of(crew.manager, order, facts)
    assert len(queries) <= 2


def test_answers_count_again_only_after_a_new_estimate(crew: Crew) -> None:
    order = a_job_at(Stage.AWAITING_ASSEMBLY, crew)
    assert facts_of(order).authorised == 1
    go(crew.technician, order, Move.DIAGNOSE_AGAIN, reason="The other side reads open too")
    facts = facts_of(order)
    assert (facts.authorised, facts.decided, facts.conclude_anew) == (0, 0, True)
    assert awaited(Stage.DIAGNOSING, facts).what == "Find the fault again"
    complaint = order.complaints.get()
    complaint.order = order
    conclude_the_hub(crew.technician, complaint)
    assert not facts_of(order).conclude_anew
    go(crew.technician, order, Move.ASK_AUTHORITY)
    if not facts_of(order).estimate_given:
        give_estimate(crew, order)
    answer(crew, order)
    order.refresh_from_db()
    assert Stage(order.stage) is Stage.AWAITING_ASSEMBLY


def test_a_job_without_a_fault_goes_straight_to_proving_and_counts_from_diagnosis(
    crew: Crew,
) -> None:
    order = a_job_at(Stage.DIAGNOSING, crew)
    complaint = order.complaints.get()
    complaint.order = order
    conclusions.conclude(
        crew.technician,
        complaint,
        act=uuid4(),
        finding=Finding(no_fault_found=True),
        without_evidence=True,
    )
    assert awaited(Stage.DIAGNOSING, facts_of(order)).what == "No fault found: prove it"
    go(crew.technician, order, Move.NOTHING_TO_REPAIR)
    prove(crew, order, but_for=["clearing", "reading"])
    assert facts_of(order).missing_to_release == ()
    go(crew.technician, order, Move.PROVED)
    assert Stage(order.stage) is Stage.READY
