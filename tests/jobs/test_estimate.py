"""Putting an estimate together and giving it."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from diagnostics.models import Component, LabourOperation
from jobs.models import Complaint, Estimate, How, LabourLine, RepairOrder, Replacement
from jobs.queries.estimate import price_of, sheet, standing
from jobs.services import estimate
from jobs.stages import Move, Stage
from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import LogEntry
from shop.money import LARGEST
from tests.asserts import counted, refused
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, answer, bring_to, conclude_the_hub, give_estimate, go, the_hub

D = Decimal


@pytest.fixture
def complaint(crew: Crew) -> Complaint:
    """A complaint whose rear hub-and-sensor assembly, left rear, was concluded."""
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, order, crew)
    found = order.complaints.get()
    conclude_the_hub(crew.technician, found)
    found.refresh_from_db()
    return found


def a_component(order: RepairOrder, key: str) -> Component:
    return Component.objects.get(platform=order.vehicle.platform, key=key)


def add_hub(
    actor: Actor, complaint: Complaint, position: str = "RR", **more: object
) -> Replacement:
    return estimate.add_assembly(
        actor,
        act=uuid4(),
        complaint=complaint,
        component=the_hub(complaint.order),
        position=position,
        **more,  # type: ignore[arg-type]
    )


def test_the_concluded_component_is_put_on_with_its_living_number_and_its_labour(
    crew: Crew, complaint: Complaint
) -> None:
    row = estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    assert (row.part_number, row.position, row.price) == ("PL2-20-214", "LR", D("184.00"))
    assert row.state == Replacement.State.PROPOSED
    operation = LabourOperation.objects.get(version=complaint.order.session.version, code="WE-20")
    line = complaint.labour.get(operation=operation)
    assert (line.tenths, line.rate) == (operation.tenths, D("90.00"))
    expected = D("184.00") + sum(
        (D(one.tenths) / 10 * D("90.00") for one in complaint.labour.all()), D(0)
    )
    assert price_of(complaint.order).total == expected


def test_the_sheet_proposes_it_until_it_is_there_and_shows_the_chain_of_numbers(
    crew: Crew, complaint: Complaint
) -> None:
    (before,) = sheet(complaint.order).complaints
    assert before.proposal is not None
    assert before.proposal.living is not None
    assert before.proposal.living.chain == ("PL2-20-210", "PL2-20-212", "PL2-20-214")
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    (after,) = sheet(complaint.order).complaints
    assert after.proposal is None
    assert after.lines[0].replaced == ("PL2-20-210", "PL2-20-212")


def test_it_refuses_a_second_assembly_at_the_same_place_and_takes_the_other_side(
    crew: Crew, complaint: Complaint
) -> None:
    add_hub(crew.technician, complaint, "LR")
    with refused(says="already, for complaint 1"):
        add_hub(crew.technician, complaint, "LR")
    with refused(says="already"):
        estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    assert add_hub(crew.technician, complaint, "RR").position == "RR"


def test_it_refuses_a_place_the_component_does_not_have(crew: Crew, complaint: Complaint) -> None:
    with refused(field="assembly", says="left rear, right rear"):
        add_hub(crew.technician, complaint, "LF")
    with refused(field="assembly", says="it has no place"):
        estimate.add_assembly(
            crew.technician,
            act=uuid4(),
            complaint=complaint,
            component=a_component(complaint.order, "pressure_modulator"),
            position="LF",
        )
    assert add_hub(crew.technician, complaint, "RR").pk


def test_a_superseded_number_that_is_typed_becomes_the_living_one(
    crew: Crew, complaint: Complaint
) -> None:
    row = add_hub(crew.technician, complaint, part_number="pl2 20 210")
    assert (row.part_number, row.supplier) == ("PL2-20-214", "Ostrel")


def test_a_number_of_our_own_needs_a_price_and_a_supplier(crew: Crew, complaint: Complaint) -> None:
    with refused(field="price", says="does not know X-9"):
        add_hub(crew.technician, complaint, part_number="X-9")
    with refused(field="supplier"):
        add_hub(crew.technician, complaint, part_number="X-9", price=D("99.00"))
    row = add_hub(
        crew.technician, complaint, part_number="x-9", price=D("99.00"), supplier="Kerb Parts"
    )
    assert (row.part_number, row.supplier, row.price) == ("X-9", "Kerb Parts", D("99.00"))


def test_it_refuses_the_number_of_another_corner(crew: Crew, complaint: Complaint) -> None:
    sensor = a_component(complaint.order, "front_speed_sensor")

    def put(position: str) -> Replacement:
        return estimate.add_assembly(
            crew.technician,
            act=uuid4(),
            complaint=complaint,
            component=sensor,
            position=position,
            part_number="PL2-40-101",
        )

    with refused(field="part_number", says="left front"):
        put("RF")
    assert put("LF").part_number == "PL2-40-101"


def test_labour_in_own_words_takes_tenths_and_refuses_none(
    crew: Crew, complaint: Complaint
) -> None:
    def add(text: str, tenths: int | None) -> None:
        estimate.add_labour(
            crew.technician, act=uuid4(), complaint=complaint, text=text, tenths=tenths
        )

    with refused(field="text"):
        add("", 5)
    for tenths in (None, 0, 401):
        with refused(field="hours", says="0.1 to 40.0"):
            add("Clean the ground", tenths)
    add("Clean the ground", 5)
    assert price_of(complaint.order).labour == D("45.00")


def test_what_was_taken_off_no_longer_counts(crew: Crew, complaint: Complaint) -> None:
    row = estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    for line in complaint.labour.all():
        estimate.remove_labour(crew.technician, act=uuid4(), line=line)
    assert price_of(complaint.order).total == D("184.00")
    estimate.remove_assembly(crew.technician, act=uuid4(), replacement=row)
    row.refresh_from_db()
    assert row.state == Replacement.State.CANCELLED
    assert price_of(complaint.order).total == D("0.00")


def test_the_estimate_is_given_with_every_line_kept_as_it_was_said(
    crew: Crew, complaint: Complaint
) -> None:
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    order = complaint.order
    give_estimate(crew, order)
    given = Estimate.objects.get(order=order)
    assert given.number == 1
    assert given.total == sum((line.amount for line in given.lines.all()), D(0))
    texts = list(given.lines.values_list("text", flat=True))
    assert texts[0] == "Rear hub-and-sensor assembly, left rear, PL2-20-214"
    assert standing([order.pk]) == {order.pk}
    said = LogEntry.objects.filter(subject_id=order.pk, kind="estimate").latest("pk").words
    assert said.startswith("gave estimate 1, $")
    assert said.endswith("before tax, to Ada W. by telephone")


def test_it_refuses_a_total_that_no_record_holds(crew: Crew, complaint: Complaint) -> None:
    order = complaint.order
    for number in range(3):
        estimate.add_labour(
            crew.technician, act=uuid4(), complaint=complaint, text=f"Job {number}", tenths=400
        )
    LabourLine.objects.update(rate=LARGEST)
    with refused(says="more than"):
        give_estimate(crew, order)
    LabourLine.objects.update(rate=D("90.00"))
    give_estimate(crew, order)
    assert Estimate.objects.get(order=order).total == D("10800.00")


def test_it_refuses_to_give_the_same_twice_and_numbers_the_next_revision(
    crew: Crew, complaint: Complaint
) -> None:
    order = complaint.order
    with refused(says="Nothing is on the estimate"):
        give_estimate(crew, order)
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    give_estimate(crew, order)
    with refused(says="given already"):
        give_estimate(crew, order)
    first = Estimate.objects.get(order=order)
    add_hub(crew.technician, complaint, "RR")
    assert standing([order.pk]) == set()
    give_estimate(crew, order)
    last = Estimate.objects.filter(order=order).latest("number")
    assert (last.number, last.total) == (2, first.total + D("184.00"))
    first.refresh_from_db()
    assert first.total == sum((line.amount for line in first.lines.all()), D(0))


def test_it_asks_for_the_number_used_but_not_face_to_face(crew: Crew, complaint: Complaint) -> None:
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)

    def give(how: str, contact: str = "") -> Estimate:
        return estimate.give(
            crew.manager,
            act=uuid4(),
            order=complaint.order,
            given_to="Ada W.",
            how=how,
            contact=contact,
        )

    for how in (How.PHONE, How.EMAIL, How.MESSAGE):
        with refused(field="contact"):
            give(how)
    with refused(field="how"):
        give("by pigeon")
    assert give(How.IN_PERSON).how == How.IN_PERSON


def test_once_authorised_an_addition_is_stopped_until_it_is_asked_for(
    crew: Crew, complaint: Complaint
) -> None:
    order = complaint.order
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    go(crew.technician, order, Move.ASK_AUTHORITY)
    give_estimate(crew, order)
    answer(crew, order)
    with refused(says="$292.00 is authorised. Ask for authority"):
        add_hub(crew.technician, complaint, "RR")
    go(crew.technician, order, Move.DIAGNOSE_AGAIN, "The other side is noisy too")
    add_hub(crew.technician, complaint, "RR")
    complaint.refresh_from_db()
    assert complaint.decision == Complaint.Decision.UNDECIDED


def test_a_counter_hand_may_not_change_the_estimate_and_a_technician_may(
    crew: Crew, complaint: Complaint
) -> None:
    with refused(says="proposes parts and labour"):
        add_hub(crew.counter, complaint)
    assert add_hub(crew.technician, complaint).pk


def test_a_double_tap_puts_one_assembly_on(crew: Crew, complaint: Complaint) -> None:
    act = uuid4()
    estimate.accept_proposal(crew.technician, act=act, complaint=complaint)
    with pytest.raises(AlreadyDone):
        estimate.accept_proposal(crew.technician, act=act, complaint=complaint)
    assert complaint.replacements.count() == 1


def test_whether_estimates_still_stand_costs_four_queries_for_any_number(crew: Crew) -> None:
    orders = [
        bring_to(
            Stage.AWAITING_AUTHORITY,
            a_repair_order(
                crew.manager,
                technician=crew.technician,
                complaints=[a_complaint_line(), a_complaint_line(words="Pulls to the left")],
            ),
            crew,
        )
        for _ in range(3)
    ]
    give_estimate(crew, orders[0])
    for few in (orders[:1], orders):
        with counted() as queries:
            assert standing([order.pk for order in few]) == {orders[0].pk}
        assert len(queries) == 4


def test_what_was_fitted_is_not_proposed_again_until_it_is_concluded_anew(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.PROVING, order, crew)
    assert sheet(order).complaints[0].proposal is None
    go(crew.technician, order, Move.NOT_CURED, "The lamp came back")
    assert sheet(order).complaints[0].proposal is None
    conclude_the_hub(crew.technician, order.complaints.get())
    again = sheet(order).complaints[0].proposal
    assert again is not None
    assert again.component == the_hub(order)
