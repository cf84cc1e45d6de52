"""No way round what was authorised: whatever is added, moved to another payer or asked again."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from uuid import uuid4

import pytest

from diagnostics.models import LabourOperation, SharedStep
from jobs.models import Complaint, LabourLine, LabourRate, Payer, RepairOrder, Replacement, Terms
from jobs.queries.estimate import authorised_total, bill_of
from jobs.queries.limit import limit_of
from jobs.services import authority, authority_limit, estimate, parts, supply
from jobs.services.supply import Wanted
from jobs.stages import Move, Stage
from shop import clock
from tests.asserts import refused
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, answer, bring_to, give_estimate, go

D = Decimal
YES, NO = Complaint.Decision.AUTHORISED, Complaint.Decision.DECLINED


def shared_job(crew: Crew) -> RepairOrder:
    """The hub is the customer's; 2.0 h on the other complaint are the warranty's."""
    order = a_repair_order(
        crew.manager,
        technician=crew.technician,
        complaints=[
            a_complaint_line(),
            a_complaint_line(words="Pulls", payer=Payer.VEHICLE_WARRANTY),
        ],
    )
    bring_to(Stage.AWAITING_AUTHORITY, order, crew)
    add_labour(crew, order, 2, tenths=20)
    return order


def add_labour(crew: Crew, order: RepairOrder, line: int = 1, tenths: int = 1) -> LabourLine:
    return estimate.add_labour(
        crew.technician,
        act=uuid4(),
        complaint=order.complaints.get(line=line),
        text="Free the seized bolt",
        tenths=tenths,
    )


def add_other(crew: Crew, order: RepairOrder, kind: str) -> None:
    estimate.add_other(
        crew.technician,
        act=uuid4(),
        complaint=order.complaints.get(),
        kind=kind,
        text="Brake fluid, glycol-ether",
        supplier="Turned Discs",
        quantity=D(1),
        unit_price=D("0.01"),
    )


def add_extra_time(crew: Crew, order: RepairOrder) -> None:
    estimate.add_labour(
        crew.technician,
        act=uuid4(),
        complaint=order.complaints.get(),
        text="Rust",
        kind=LabourLine.Kind.EXTRA,
        tenths=1,
        reason="The bolt is seized",
    )


def let_nobody_else_pay(crew: Crew, order: RepairOrder) -> None:
    estimate.share(
        crew.manager,
        act=uuid4(),
        complaint=order.complaints.get(),
        payer=Payer.GOODWILL,
        percent=D(50),
        because="Twice here",
    )


WAYS: dict[str, Callable[[Crew, RepairOrder], object]] = {
    "labour": add_labour,
    "extra time": add_extra_time,
    "sublet": lambda crew, order: add_other(crew, order, "sublet"),
    "material": lambda crew, order: add_other(crew, order, "material"),
    "share": let_nobody_else_pay,
}


@pytest.mark.parametrize("way", WAYS)
def test_nothing_is_added_or_shared_out_anew_without_asking(crew: Crew, way: str) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    before = bill_of(order)
    with refused(says="Ask for"):
        WAYS[way](crew, order)
    assert bill_of(order) == before
    assert order.complaints.get().decision == YES


def test_what_the_warranty_bears_does_not_become_the_customers(crew: Crew) -> None:
    order = shared_job(crew)
    give_estimate(crew, order)
    answer(crew, order)
    theirs = order.complaints.get(line=2).labour.get()
    estimate.remove_labour(crew.technician, act=uuid4(), line=theirs)
    room = authorised_total(order) - bill_of(order).before_tax
    assert room == D("180.00")
    with refused(says="The customer would pay"):
        add_labour(crew, order, 1, tenths=20)
    add_labour(crew, order, 2, tenths=20)
    assert not limit_of(order).over
    Terms.objects.create(workshop=order.workshop, tolerance_percent=D(100))
    add_labour(crew, order, 1, tenths=1)
    assert order.complaints.get(line=1).decision == YES


def test_an_assembly_below_the_limit_is_held_to_who_pays_too(crew: Crew) -> None:
    order = shared_job(crew)
    give_estimate(crew, order)
    answer(crew, order)
    row = Replacement.objects.get(complaint__order=order)
    Replacement.objects.filter(pk=row.pk).update(price=row.price + D("0.01"))
    LabourLine.objects.filter(complaint__line=2).update(withdrawn=True)
    with refused(says="The customer would pay"):
        authority_limit.check(order)


def test_what_was_declined_is_not_added_again_unasked(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.REPAIRING, order, crew)
    go(crew.technician, order, Move.ASK_MORE, "The bolt is seized")
    add_labour(crew, order, tenths=9)
    give_estimate(crew, order)
    answer(crew, order, NO)
    order.refresh_from_db()
    assert Stage(order.stage) is Stage.REPAIRING
    with refused(says="is authorised. Ask for authority"):
        add_labour(crew, order, tenths=9)


def test_a_no_to_another_payer_leaves_who_pays_and_the_rate_as_agreed(crew: Crew) -> None:
    order = shared_job(crew)
    LabourRate.objects.create(
        workshop=order.workshop, payer=Payer.VEHICLE_WARRANTY, rate=D("80.00")
    )
    estimate.share(
        crew.manager,
        act=uuid4(),
        complaint=order.complaints.get(line=2),
        payer=Payer.VEHICLE_WARRANTY,
        percent=D(100),
        because="",
    )
    give_estimate(crew, order)
    answer(crew, order)
    agreed = bill_of(order)
    order.refresh_from_db()
    go(crew.technician, order, Move.ASK_MORE, "The warranty has run out")
    estimate.share(
        crew.manager,
        act=uuid4(),
        complaint=order.complaints.get(line=2),
        payer=Payer.CUSTOMER,
        percent=D(100),
        because="",
    )
    assert bill_of(order).customer > agreed.customer
    give_estimate(crew, order)
    order.refresh_from_db()
    authority.record(
        crew.manager,
        act=uuid4(),
        order=order,
        revision=order.revision,
        who="Ada W.",
        how="phone",
        contact="555 0123",
        answered_at=clock.now(),
        decisions={order.complaints.get(line=2).pk: NO},
    )
    now = bill_of(order)
    assert (now.total, now.customer, now.other) == (agreed.total, agreed.customer, agreed.other)
    assert not limit_of(order).over


def test_a_superseded_number_and_a_dearer_cost_leave_the_customers_price(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    row = Replacement.objects.get(complaint__order=order)
    said = bill_of(order)
    supply.place(
        crew.counter,
        act=uuid4(),
        supplier="Axle House",
        lines=[Wanted("PL2-20-299", 1, unit_cost=row.price * 3, replacements=(row.pk,))],
        expected_on=clock.today(),
    )
    parts.receive(crew.counter, act=uuid4(), replacements=[row.pk], hand_over=True)
    row.refresh_from_db()
    assert (row.part_number, row.cost) == ("PL2-20-299", row.price * 3)
    now = bill_of(order)
    assert (now.before_tax, now.total) == (said.before_tax, said.total)
    authority_limit.check(order)


def test_whoever_shared_a_step_is_asked_again_when_it_falls_to_them(crew: Crew) -> None:
    order = shared_job(crew)
    version = order.session.version
    assert version is not None
    SharedStep.objects.filter(version=version).delete()
    one, two = LabourOperation.objects.filter(version=version, diagnosis=False)[:2]
    step = SharedStep.objects.create(
        version=version, key="bleed_made", words="Bleed", tenths=1, each_place=False
    )
    step.operations.set([one, two])
    first, second = order.complaints.order_by("line")
    lines = [
        estimate.add_labour(crew.technician, act=uuid4(), complaint=complaint, operation=operation)
        for complaint, operation in ((first, one), (second, two))
    ]
    give_estimate(crew, order)
    answer(crew, order)
    order.refresh_from_db()
    for line in lines:
        line.refresh_from_db()
    stays, goes = sorted(lines, key=lambda line: line.shared_tenths, reverse=True)
    assert (stays.shared_tenths, goes.shared_tenths) == (1, 0)
    go(crew.technician, order, Move.ASK_MORE, "Something else instead")
    estimate.remove_labour(crew.technician, act=uuid4(), line=goes)
    stays.complaint.refresh_from_db()
    assert stays.complaint.decision == Complaint.Decision.UNDECIDED
    give_estimate(crew, order)
    order.refresh_from_db()
    before = order.stage
    authority.record(
        crew.manager,
        act=uuid4(),
        order=order,
        revision=order.revision,
        who="Ada W.",
        how="phone",
        contact="555 0123",
        answered_at=clock.now(),
        decisions={goes.complaint_id: YES},
    )
    order.refresh_from_db()
    assert order.stage == before
