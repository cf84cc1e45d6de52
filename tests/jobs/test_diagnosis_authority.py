"""Authority to look for the fault before any work, and what becomes of it."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.models import Authority, Complaint, How, RepairOrder
from jobs.queries.estimate import authorised_total, bill_of
from jobs.queries.facts import facts_of
from jobs.services import authority_limit, estimate
from jobs.services.diagnosis_authority import authorise_diagnosis
from jobs.stages import Move, Stage
from jobs.whose_move import awaited
from shop import clock
from shop.errors import Clash
from tests.asserts import refused
from tests.factories import a_repair_order
from tests.jobs.along import Crew, answer, bring_to, conclude_the_hub, give_estimate, go

D = Decimal


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    return a_repair_order(crew.manager, technician=crew.technician)


def diagnose(crew: Crew, order: RepairOrder, **more: object) -> Authority:
    order.refresh_from_db()
    said: dict[str, object] = {
        "revision": order.revision,
        "who": "Ada W.",
        "how": How.PHONE,
        "contact": "555 0123",
        "answered_at": clock.now(),
    }
    if "amount" not in more:
        said["tenths"] = 10
    return authorise_diagnosis(
        crew.manager,
        act=uuid4(),
        complaint=order.complaints.get(),
        **(said | more),  # type: ignore[arg-type]
    )


def test_it_gives_a_revision_with_the_diagnosis_and_records_its_authority(
    crew: Crew, order: RepairOrder
) -> None:
    said = diagnose(crew, order, parts_wanted="wanted")
    assert (said.estimate.number, said.amount, said.total_after) == (1, D("90.00"), D("90.00"))
    line = said.estimate.lines.get()
    assert (line.kind, line.amount, line.text) == ("diagnosis", D("90.00"), "Diagnosis, 1.0 h")
    assert order.complaints.get().decision == Complaint.Decision.UNDECIDED
    authority_limit.check(order)


def test_an_amount_is_as_many_tenths_as_it_covers(crew: Crew, order: RepairOrder) -> None:
    said = diagnose(crew, order, amount=D("100.00"))
    assert said.amount == D("99.00")  # 1.1 h at 90.00
    assert said.note == "Up to $100.00 before tax for the diagnosis."
    with refused(field="amount", says="does not cover a tenth"):
        diagnose(crew, order, amount=D("8.99"))
    with refused(field="amount", says="not both"):
        diagnose(crew, order, amount=D("90.00"), tenths=10)
    with refused(field="hours"):
        diagnose(crew, order, tenths=None)


def test_it_asks_who_how_when_and_refuses_an_old_page(crew: Crew, order: RepairOrder) -> None:
    with refused(field="who"):
        diagnose(crew, order, who=" ")
    with refused(field="contact"):
        diagnose(crew, order, contact="")
    diagnose(crew, order)
    with pytest.raises(Clash):
        diagnose(crew, order, revision=0)
    technician = Crew(crew.technician, crew.technician, crew.counter)
    with refused(says="Only the service manager"):
        diagnose(technician, order)


def _until_asked(crew: Crew, order: RepairOrder) -> None:
    diagnose(crew, order)
    bring_to(Stage.DIAGNOSING, order, crew)
    complaint = order.complaints.get()
    conclude_the_hub(crew.technician, complaint)
    complaint.refresh_from_db()
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    go(crew.technician, order, Move.ASK_AUTHORITY)
    give_estimate(crew, order)


def test_declining_the_repair_keeps_and_bills_the_diagnosis(crew: Crew, order: RepairOrder) -> None:
    _until_asked(crew, order)
    answer(crew, order, "declined")
    order.refresh_from_db()
    assert order.stage == Stage.DECLINED
    bill = bill_of(order)
    assert [one.line.kind for one in bill.lines] == ["diagnosis"]
    assert bill.before_tax == authorised_total(order) == D("90.00")
    authority_limit.check(order)
    facts = facts_of(order)
    assert (facts.diagnosis_to_bill, facts.labour, facts.to_fit) == (1, 0, 0)
    assert "diagnosis to pay" in awaited(Stage.DECLINED, facts).what


def test_a_diagnosis_that_nobody_authorised_before_is_declined_with_the_repair(
    crew: Crew, order: RepairOrder
) -> None:
    bring_to(Stage.AWAITING_AUTHORITY, order, crew)
    estimate.add_labour(
        crew.technician,
        act=uuid4(),
        complaint=order.complaints.get(),
        text="Looking",
        tenths=10,
        kind="diagnosis",
    )
    give_estimate(crew, order)
    answer(crew, order, "declined")
    assert bill_of(order).total == D("0.00")


def test_authorising_the_repair_counts_the_diagnosis_once(crew: Crew, order: RepairOrder) -> None:
    _until_asked(crew, order)
    answer(crew, order)
    assert authorised_total(order) == bill_of(order).before_tax
    authority_limit.check(order)


def test_without_a_fault_the_job_goes_to_proving_with_its_diagnosis_on_the_bill(
    crew: Crew, order: RepairOrder
) -> None:
    diagnose(crew, order)
    go(crew.technician, order, Move.BEGIN)
    assert facts_of(order).labour == 0
    assert bill_of(order).before_tax == D("90.00")


def test_once_diagnosis_is_over_it_is_put_on_the_estimate(crew: Crew, order: RepairOrder) -> None:
    bring_to(Stage.AWAITING_AUTHORITY, order, crew)
    with refused(says="Put the diagnosis on the estimate instead"):
        diagnose(crew, order)
