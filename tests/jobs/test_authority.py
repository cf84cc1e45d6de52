"""Recording what the customer answered, line by line."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from diagnostics.models import Component
from jobs.models import Authority, Complaint, Estimate, How, RepairOrder, Replacement
from jobs.queries.estimate import price_of
from jobs.services import authority, estimate
from jobs.stages import Move, Stage
from shop import clock
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from tests.asserts import refused
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, bring_to, give_estimate, go

D = Decimal
YES, NO = Complaint.Decision.AUTHORISED, Complaint.Decision.DECLINED


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    """Two complaints with an assembly each, waiting to be asked; nothing given yet."""
    found = a_repair_order(
        crew.manager,
        technician=crew.technician,
        complaints=[a_complaint_line(), a_complaint_line(words="Heavy when parking")],
    )
    bring_to(Stage.AWAITING_AUTHORITY, found, crew)
    estimate.add_assembly(
        crew.technician,
        act=uuid4(),
        complaint=found.complaints.get(line=2),
        component=Component.objects.get(platform=found.vehicle.platform, key="steering_pump"),
    )
    return found


def record(
    crew: Crew, order: RepairOrder, first: str = "", second: str = "", **more: object
) -> Authority:
    order.refresh_from_db()
    one, two = order.complaints.order_by("line")
    said: dict[str, object] = {
        "act": uuid4(),
        "revision": order.revision,
        "who": "Ada W.",
        "how": How.PHONE,
        "contact": "555 0123",
        "answered_at": clock.now(),
        "decisions": {one.pk: first, two.pk: second},
    }
    return authority.record(crew.manager, order=order, **(said | more))  # type: ignore[arg-type]


def states(order: RepairOrder) -> list[str]:
    rows = Replacement.objects.filter(complaint__order=order).order_by("complaint__line")
    return list(rows.values_list("state", flat=True))


def test_what_is_authorised_goes_to_the_counter_and_what_is_declined_is_cancelled(
    crew: Crew, order: RepairOrder
) -> None:
    give_estimate(crew, order)
    given = Estimate.objects.get(order=order)
    answer = record(crew, order, YES, NO, note="Wants the old part back")
    assert states(order) == [Replacement.State.TO_ORDER, Replacement.State.CANCELLED]
    assert list(order.complaints.values_list("decision", flat=True)) == [YES, NO]
    first = sum((one.amount for one in given.lines.filter(complaint__line=1)), D(0))
    assert (answer.amount, answer.total_after) == (first, first)
    assert answer.note == "Wants the old part back"
    order.refresh_from_db()
    assert order.stage == Stage.AWAITING_ASSEMBLY
    said = LogEntry.objects.get(subject_id=order.pk, kind="authority")
    assert "Ada W., by telephone: authorised line 1; declined line 2" in said.words
    assert said.reason == "Wants the old part back"


def test_when_everything_is_declined_the_job_ends_declined(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    answer = record(crew, order, NO, NO)
    order.refresh_from_db()
    assert order.stage == Stage.DECLINED
    assert set(states(order)) == {Replacement.State.CANCELLED}
    assert answer.total_after == D("0.00")


def test_the_job_waits_until_every_complaint_is_answered(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    first = record(crew, order, YES)
    order.refresh_from_db()
    assert order.stage == Stage.AWAITING_AUTHORITY
    second = record(crew, order, "", YES)
    order.refresh_from_db()
    assert order.stage == Stage.AWAITING_ASSEMBLY
    assert second.total_after == first.total_after + second.amount
    assert second.amount > 0


def test_it_refuses_an_answer_before_the_estimate_and_after_it_changed(
    crew: Crew, order: RepairOrder
) -> None:
    with refused(says="No estimate has been given"):
        record(crew, order, YES, YES)
    give_estimate(crew, order)
    pump = Replacement.objects.get(complaint__order=order, complaint__line=2)
    estimate.remove_assembly(crew.technician, act=uuid4(), replacement=pump)
    with refused(says="changed after revision 1"):
        record(crew, order, YES, YES)
    give_estimate(crew, order)
    assert record(crew, order, YES, YES).estimate.number == 2


def test_it_asks_who_answered_how_and_what(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    with refused(field="who"):
        record(crew, order, YES, YES, who=" ")
    with refused(field="contact"):
        record(crew, order, YES, YES, contact="")
    with refused(says="at least one complaint"):
        record(crew, order)
    assert record(crew, order, YES, YES, how=How.IN_PERSON, contact="").how == How.IN_PERSON


def test_the_answer_lies_between_the_estimate_and_now(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    with refused(field="answered_at", says="still to come"):
        record(crew, order, YES, YES, answered_at=clock.now() + timedelta(minutes=5))
    with refused(field="answered_at", says="before the estimate was given"):
        record(crew, order, YES, YES, answered_at=clock.now() - timedelta(hours=1))
    # The screen knows minutes only; the minute of the estimate itself is late enough.
    minute = clock.now().replace(second=0, microsecond=0)
    assert record(crew, order, YES, YES, answered_at=minute).answered_at == minute


def test_a_second_desk_that_saw_an_older_job_is_told(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    order.refresh_from_db()
    seen = order.revision
    record(crew, order, YES, YES)
    with pytest.raises(Clash, match="meanwhile"):
        record(crew, order, NO, NO, revision=seen)
    assert Authority.objects.filter(estimate__order=order).count() == 1


def test_it_refuses_an_answer_to_an_estimate_that_another_has_taken_the_place_of(
    crew: Crew, order: RepairOrder
) -> None:
    give_estimate(crew, order)
    order.refresh_from_db()
    seen = order.revision
    second = order.complaints.get(line=2)
    estimate.add_labour(
        crew.technician, act=uuid4(), complaint=second, text="Flush the system", tenths=12
    )
    give_estimate(crew, order)
    with pytest.raises(Clash, match="another estimate"):
        record(crew, order, YES, YES, revision=seen)
    assert record(crew, order, YES, YES).estimate.number == 2


def test_a_double_tap_records_one_answer(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    act = uuid4()
    record(crew, order, YES, YES, act=act)
    with pytest.raises(AlreadyDone):
        record(crew, order, YES, YES, act=act)
    assert Authority.objects.filter(estimate__order=order).count() == 1


def test_a_technician_may_not_record_it_and_the_manager_may(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    with refused(says="Only the service manager"):
        record(Crew(crew.technician, crew.technician, crew.counter), order, YES, YES)
    assert record(crew, order, YES, YES).pk


def test_extra_work_adds_to_the_authorised_total_and_waits_only_for_the_new_assembly(
    crew: Crew, order: RepairOrder
) -> None:
    """16 CCR 3354: the extra parts and labour, their cost and the revised total."""
    give_estimate(crew, order)
    before = record(crew, order, YES, NO)
    go(crew.technician, order, Move.DIAGNOSE_AGAIN, "Grinding on the other side as well")
    first = order.complaints.get(line=1)
    assert first.conclusion is not None
    extra = estimate.add_assembly(
        crew.technician,
        act=uuid4(),
        complaint=first,
        component=Component.objects.get(platform=order.vehicle.platform, key="hub_and_sensor"),
        position="RR",
    )
    order.refresh_from_db()
    # Back at asking, as the stage table would once the complaint is concluded anew.
    RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.AWAITING_AUTHORITY)
    give_estimate(crew, order)
    answer = record(crew, order, YES)
    assert answer.amount == extra.price
    assert answer.total_after == before.total_after + extra.price
    extra.refresh_from_db()
    assert extra.state == Replacement.State.TO_ORDER


def test_declining_the_extra_leaves_what_was_authorised_before(
    crew: Crew, order: RepairOrder
) -> None:
    give_estimate(crew, order)
    before = record(crew, order, YES, NO)
    go(crew.technician, order, Move.DIAGNOSE_AGAIN, "Grinding on the other side as well")
    first = order.complaints.get(line=1)
    kept = first.replacements.get()
    extra = estimate.add_assembly(
        crew.technician,
        act=uuid4(),
        complaint=first,
        component=kept.component,
        position="RR",
    )
    estimate.add_labour(crew.technician, act=uuid4(), complaint=first, text="Other side", tenths=9)
    RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.AWAITING_AUTHORITY)
    give_estimate(crew, order)
    answer = record(crew, order, NO)
    assert (answer.amount, answer.total_after) == (D("0.00"), before.total_after)
    first.refresh_from_db()
    extra.refresh_from_db()
    kept.refresh_from_db()
    assert first.decision == YES
    assert (kept.state, extra.state) == (Replacement.State.TO_ORDER, Replacement.State.CANCELLED)
    assert not first.labour.filter(text="Other side", withdrawn=False).exists()
    order.refresh_from_db()
    assert order.stage == Stage.AWAITING_ASSEMBLY


def test_what_was_declined_costs_nothing(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    answer = record(crew, order, YES, NO)
    assert price_of(order).total == answer.total_after
    assert price_of(order).of(order.complaints.get(line=2).pk).total == D("0.00")


def test_labour_alone_goes_straight_to_the_bay(crew: Crew) -> None:
    found = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_AUTHORITY, found, crew)
    hub = Replacement.objects.get(complaint__order=found)
    estimate.remove_assembly(crew.technician, act=uuid4(), replacement=hub)
    give_estimate(crew, found)
    found.refresh_from_db()
    authority.record(
        crew.manager,
        act=uuid4(),
        order=found,
        revision=found.revision,
        who="Ada W.",
        how=How.IN_PERSON,
        answered_at=clock.now(),
        decisions={found.complaints.get().pk: YES},
    )
    found.refresh_from_db()
    assert found.stage == Stage.REPAIRING


def test_two_desks_do_not_answer_for_the_same_line(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    order.refresh_from_db()
    seen = order.revision
    record(crew, order, YES)
    with pytest.raises(Clash, match="recorded an answer"):
        record(crew, order, NO, revision=seen)
    assert order.complaints.get(line=1).decision == YES
    assert record(crew, order, second=NO).pk
