"""Additions once the work is authorised: within the tolerance, or asked for first."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from diagnostics.models import Component
from jobs.models import Authority, Complaint, How, RepairOrder, Replacement, Terms
from jobs.queries.estimate import authorised_total
from jobs.services import authority, authority_limit, estimate
from jobs.stages import Move, Stage
from shop import clock
from shop.money import format_amount
from tests.asserts import refused
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, give_estimate, go

D = Decimal
YES, NO = Complaint.Decision.AUTHORISED, Complaint.Decision.DECLINED


def at(stage: Stage, crew: Crew) -> RepairOrder:
    return bring_to(stage, a_repair_order(crew.manager, technician=crew.technician), crew)


def tolerate(order: RepairOrder, percent: str) -> None:
    Terms.objects.update_or_create(
        workshop=order.workshop, defaults={"tolerance_percent": D(percent)}
    )


def add_hours(crew: Crew, order: RepairOrder, tenths: int, text: str = "Free the bolt") -> None:
    estimate.add_labour(
        crew.technician, act=uuid4(), complaint=order.complaints.get(), text=text, tenths=tenths
    )


def answer(crew: Crew, order: RepairOrder, decision: str, **more: object) -> Authority:
    order.refresh_from_db()
    said: dict[str, object] = {
        "who": "Ada W.",
        "how": How.PHONE,
        "contact": "555 0123",
        "answered_at": clock.now(),
    }
    return authority.record(
        crew.manager,
        act=uuid4(),
        order=order,
        revision=order.revision,
        decisions={order.complaints.get().pk: decision},
        **(said | more),  # type: ignore[arg-type]
    )


def test_at_no_tolerance_any_rise_is_stopped_with_the_sums(crew: Crew) -> None:
    order = at(Stage.REPAIRING, crew)
    authorised = authorised_total(order)
    with refused(says=f"{format_amount(authorised, '$')} is authorised. Ask for authority"):
        add_hours(crew, order, 1)
    assert not order.complaints.get().labour.filter(text="Free the bolt").exists()
    authority_limit.check(order)
    assert order.complaints.get().decision == YES


def test_within_the_tolerance_it_is_added_without_asking_and_above_it_not(crew: Crew) -> None:
    order = at(Stage.REPAIRING, crew)
    tolerate(order, "10")
    room = int(authorised_total(order) / 10 / D("9.00"))  # tenths at 90.00 an hour
    add_hours(crew, order, room)
    assert order.complaints.get().decision == YES
    with refused(says="10 % more is allowed"):
        add_hours(crew, order, 1 + room)
    order.refresh_from_db()
    assert order.stage == Stage.REPAIRING


def test_a_part_that_became_dearer_is_the_same_case(crew: Crew) -> None:
    order = at(Stage.AWAITING_ASSEMBLY, crew)
    part = Replacement.objects.get(complaint__order=order)
    Replacement.objects.filter(pk=part.pk).update(price=part.price + D("0.01"))
    with refused(says="is authorised"):
        authority_limit.check(order)
    Replacement.objects.filter(pk=part.pk).update(price=part.price, part_number="PL2-20-299")
    authority_limit.check(order)


def test_another_assembly_in_the_bay_is_asked_for_first(crew: Crew) -> None:
    order = at(Stage.REPAIRING, crew)
    tolerate(order, "100")
    with refused(says="would have to be waited for"):
        _add_pump(crew, order)


def _add_pump(crew: Crew, order: RepairOrder) -> Replacement:
    return estimate.add_assembly(
        crew.technician,
        act=uuid4(),
        complaint=order.complaints.get(),
        component=Component.objects.get(platform=order.vehicle.platform, key="steering_pump"),
    )


@pytest.mark.parametrize("stage", [Stage.REPAIRING, Stage.PROVING])
def test_what_was_authorised_stays_when_the_addition_is_declined(crew: Crew, stage: Stage) -> None:
    order = at(stage, crew)
    before = authorised_total(order)
    states = list(Replacement.objects.filter(complaint__order=order).values_list("state"))
    go(crew.technician, order, Move.ASK_MORE, "The bolt is seized")
    assert order.complaints.get().decision == YES
    add_hours(crew, order, 9)
    give_estimate(crew, order)
    said = answer(crew, order, NO)
    order.refresh_from_db()
    assert Stage(order.stage) is stage
    assert (said.amount, said.total_after) == (D("0.00"), before)
    assert order.complaints.get().decision == YES
    assert order.complaints.get().labour.get(text="Free the bolt").withdrawn
    assert list(Replacement.objects.filter(complaint__order=order).values_list("state")) == states


def test_an_authorised_addition_goes_on_without_concluding_anew(crew: Crew) -> None:
    order = at(Stage.PROVING, crew)
    before, concluded = authorised_total(order), order.complaints.get().conclusion_id
    go(crew.technician, order, Move.ASK_MORE, "A second place leaks")
    add_hours(crew, order, 9)
    give_estimate(crew, order)
    said = answer(crew, order, YES)
    order.refresh_from_db()
    assert Stage(order.stage) is Stage.REPAIRING
    assert (said.amount, said.total_after) == (D("81.00"), before + D("81.00"))
    assert order.complaints.get().conclusion_id == concluded
    authority_limit.check(order)


def test_an_authorised_assembly_is_waited_for(crew: Crew) -> None:
    order = at(Stage.REPAIRING, crew)
    go(crew.technician, order, Move.ASK_MORE, "The pump leaks too")
    pump = _add_pump(crew, order)
    give_estimate(crew, order)
    answer(crew, order, YES)
    order.refresh_from_db()
    pump.refresh_from_db()
    assert Stage(order.stage) is Stage.AWAITING_ASSEMBLY
    assert pump.state == Replacement.State.TO_ORDER


def test_nothing_more_goes_back_where_it_was(crew: Crew) -> None:
    order = at(Stage.PROVING, crew)
    go(crew.technician, order, Move.ASK_MORE, "Perhaps the hose")
    order.refresh_from_db()
    authority.nothing_more(crew.manager, act=uuid4(), order=order, revision=order.revision)
    order.refresh_from_db()
    assert Stage(order.stage) is Stage.PROVING
    go(crew.technician, order, Move.ASK_MORE, "The hose after all")
    add_hours(crew, order, 2)
    order.refresh_from_db()
    with refused(says="not answered yet"):
        authority.nothing_more(crew.manager, act=uuid4(), order=order, revision=order.revision)


def test_the_answer_keeps_parts_tax_and_signature(crew: Crew) -> None:
    order = at(Stage.AWAITING_AUTHORITY, crew)
    give_estimate(crew, order)
    with refused(field="signature"):
        answer(crew, order, YES, signature="9999,1 2,3")
    with refused(field="parts_wanted"):
        answer(crew, order, YES, parts_wanted="perhaps")
    said = answer(
        crew,
        order,
        YES,
        who="Jo, her brother",
        how=How.IN_PERSON,
        contact="",
        parts_wanted="wanted",
        signature="10,20 30,40",
    )
    assert (said.who, said.signature) == ("Jo, her brother", "10,20 30,40")
    order.refresh_from_db()
    assert said.parts_wanted == order.parts_wanted == "wanted"
    assert said.total_with_tax >= said.total_after > 0
