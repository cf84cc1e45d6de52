"""From "to order" to the Bay: what the Counter records of each assembly."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from uuid import uuid4

import pytest

from jobs.models import (
    RepairOrder,
    Replacement,
    StockItem,
    SupplyLine,
    SupplyOrder,
    SupplyReturn,
)
from jobs.services import parts, receiving, stock
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from tests.asserts import refused
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to

State = Replacement.State


def a_waiting_job(crew: Crew) -> Replacement:
    """A job awaiting assembly with one assembly to order."""
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    found: Replacement = Replacement.objects.select_related("complaint__order").get(
        complaint__order=order
    )
    return found


@pytest.fixture
def hub(crew: Crew) -> Replacement:
    return a_waiting_job(crew)


def tomorrow() -> object:
    return clock.today() + timedelta(days=1)


def order_them(
    actor: Actor, rows: Sequence[Replacement], *, reference: str = "OS-7714", **more: object
) -> list[Replacement]:
    said: dict[str, object] = {
        "act": uuid4(),
        "replacements": [row.pk for row in rows],
        "reference": reference,
        "expected_on": tomorrow(),
    }
    return parts.order(actor, **(said | more))  # type: ignore[arg-type]


def on_the_shelf(crew: Crew, row: Replacement, pieces: int) -> StockItem:
    """So many of its part number, counted, none kept for a job."""
    item = stock.item_for(row.workshop, row.part_number, text=str(row.component))
    stock.post(crew.counter, item, stock.Kind.COUNTED, pieces)
    return item


def sum_of(item: StockItem) -> int:
    return sum(item.movements.values_list("quantity", flat=True))


def stage_of(row: Replacement) -> str:
    return RepairOrder.objects.get(pk=row.complaint.order_id).stage


def test_several_assemblies_of_one_supplier_go_out_under_one_reference(
    crew: Crew, hub: Replacement
) -> None:
    rows = order_them(crew.counter, [hub, a_waiting_job(crew)])
    assert {(row.state, row.order_reference, row.expected_on) for row in rows} == {
        (State.ORDERED, "OS-7714", tomorrow())
    }
    order = SupplyOrder.objects.get()
    assert (order.number, order.supplier.name) == ("QS1001", "Ostrel")
    assert {row.supply_line for row in rows} == {order.lines.get()}
    line = order.lines.get()
    assert (line.part_number, line.quantity, line.awaited) == (hub.part_number, 2, 2)
    said = LogEntry.objects.filter(
        subject_kind="order", subject_id=hub.complaint.order_id, kind="parts"
    ).get()
    assert said.words.endswith("from Ostrel, QS1001, OS-7714")


def test_it_refuses_two_suppliers_in_one_order_and_takes_each_alone(
    crew: Crew, hub: Replacement
) -> None:
    other = a_waiting_job(crew)
    Replacement.objects.filter(pk=other.pk).update(supplier="Tindle")
    with refused(says="for Ostrel, Tindle"):
        order_them(crew.counter, [hub, other])
    assert order_them(crew.counter, [hub])
    assert order_them(crew.counter, [other])


def test_without_the_suppliers_reference_our_own_number_stands_for_it(
    crew: Crew, hub: Replacement
) -> None:
    (row,) = order_them(crew.counter, [hub], reference=" ")
    assert row.order_reference == "QS1001"


def test_it_refuses_an_order_without_line_or_coming_day(crew: Crew, hub: Replacement) -> None:
    with refused(says="at least one"):
        order_them(crew.counter, [])
    with refused(field="expected_on", says="over"):
        order_them(crew.counter, [hub], expected_on=clock.today() - timedelta(days=1))
    with refused(field="expected_on", says="Check the year"):
        order_them(crew.counter, [hub], expected_on=clock.today() + timedelta(days=4000))
    assert not SupplyOrder.objects.exists()
    assert order_them(crew.counter, [hub], expected_on=clock.today())


def test_it_asks_for_the_supplier_only_when_none_is_named(crew: Crew, hub: Replacement) -> None:
    Replacement.objects.filter(pk=hub.pk).update(supplier="")
    with refused(field="supplier"):
        order_them(crew.counter, [hub])
    (row,) = order_them(crew.counter, [hub], supplier="Kerb Parts")
    assert row.supplier == "Kerb Parts"


def test_a_second_counter_that_orders_the_same_is_told(crew: Crew, hub: Replacement) -> None:
    order_them(crew.counter, [hub])
    with pytest.raises(Clash, match="is ordered by now"):
        order_them(crew.manager, [hub], reference="twice")
    hub.refresh_from_db()
    assert hub.order_reference == "OS-7714"


def test_a_double_tap_orders_once(crew: Crew, hub: Replacement) -> None:
    act = uuid4()
    order_them(crew.counter, [hub], act=act)
    with pytest.raises(AlreadyDone):
        order_them(crew.counter, [hub], act=act)


def test_a_stranger_cannot_order_it_and_its_own_counter_can(
    crew: Crew, hub: Replacement, pim: Actor
) -> None:
    with refused(says="not in this workshop"):
        order_them(pim, [hub])
    assert order_them(crew.counter, [hub])


def test_a_technician_may_not_order_and_the_counter_may(crew: Crew, hub: Replacement) -> None:
    with refused(says="orders parts"):
        order_them(crew.technician, [hub])
    assert order_them(crew.counter, [hub])


def test_what_came_stays_at_the_counter_until_it_is_handed_over(
    crew: Crew, hub: Replacement
) -> None:
    order_them(crew.counter, [hub])
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk])
    hub.refresh_from_db()
    assert (hub.state, stage_of(hub)) == (State.RECEIVED, Stage.AWAITING_ASSEMBLY)
    order = RepairOrder.objects.get(pk=hub.complaint.order_id)
    parts.hand_over(crew.counter, act=uuid4(), order=order, revision=order.revision)
    assert stage_of(hub) == Stage.REPAIRING


def test_the_last_one_may_be_handed_over_in_the_same_act(crew: Crew, hub: Replacement) -> None:
    second = Replacement.objects.create(
        workshop=hub.workshop,
        complaint=hub.complaint,
        component=hub.component,
        position="RR",
        part_number=hub.part_number,
        price=hub.price,
        supplier=hub.supplier,
        state=State.TO_ORDER,
        state_since=clock.now(),
    )
    order_them(crew.counter, [hub, second])
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk], hand_over=True)
    assert stage_of(hub) == Stage.AWAITING_ASSEMBLY
    parts.receive(crew.counter, act=uuid4(), replacements=[second.pk], hand_over=True)
    assert stage_of(hub) == Stage.REPAIRING


def test_one_that_was_not_ordered_comes_from_our_own_shelf_if_it_lies_there(
    crew: Crew, hub: Replacement
) -> None:
    with refused(says="lies free on the shelf"):
        parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk])
    item = on_the_shelf(crew, hub, 1)
    (row,) = parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk])
    assert (row.state, row.order_reference) == (State.RECEIVED, parts.OWN_SHELF)
    item.refresh_from_db()
    assert (item.on_hand, item.reserved) == (1, 1)
    with pytest.raises(Clash, match="received"):
        parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk])


def test_a_late_one_gets_a_new_day_with_its_reason(crew: Crew, hub: Replacement) -> None:
    order_them(crew.counter, [hub])
    later = clock.today() + timedelta(days=4)

    def late(because: str) -> None:
        parts.late(crew.counter, act=uuid4(), replacement=hub, expected_on=later, because=because)

    with refused(field="because"):
        late(" ")
    late("Held at the port")
    hub.refresh_from_db()
    assert (hub.state, hub.expected_on) == (State.ORDERED, later)
    assert LogEntry.objects.latest("pk").reason == "Held at the port"


def test_a_wrong_one_goes_back_and_is_awaited_again(crew: Crew, hub: Replacement) -> None:
    order_them(crew.counter, [hub])
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk])
    parts.wrong(
        crew.counter,
        act=uuid4(),
        replacement=hub,
        expected_on=clock.today() + timedelta(days=2),
        because="Connector broken",
    )
    hub.refresh_from_db()
    assert (hub.state, hub.received_at) == (State.ORDERED, None)
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk], hand_over=True)
    assert stage_of(hub) == Stage.REPAIRING


@pytest.mark.parametrize("again", [True, False])
def test_a_wrong_one_found_at_the_bay_takes_the_job_back_to_waiting(
    crew: Crew, hub: Replacement, again: bool
) -> None:
    order_them(crew.counter, [hub])
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk], hand_over=True)
    assert stage_of(hub) == Stage.REPAIRING
    parts.wrong(
        crew.counter,
        act=uuid4(),
        replacement=hub,
        expected_on=clock.today(),
        because="Right-hand unit in a left-hand box",
        again=again,
    )
    assert stage_of(hub) == Stage.AWAITING_ASSEMBLY
    hub.refresh_from_db()
    back = SupplyReturn.objects.get()
    assert (back.why, back.quantity, back.supplier.name) == ("wrong", 1, "Ostrel")
    line = SupplyLine.objects.get()
    assert (line.received, line.awaited, line.cancelled) == (0, int(again), int(not again))
    assert hub.state == (State.ORDERED if again else State.TO_ORDER)
    item = StockItem.objects.get()
    assert (item.on_hand, item.reserved, sum_of(item)) == (0, 0, 0)
    if not again:
        order_them(crew.counter, [hub])
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk], hand_over=True)
    assert stage_of(hub) == Stage.REPAIRING
    item.refresh_from_db()
    assert (item.on_hand, item.reserved, sum_of(item)) == (0, 0, 0)


def test_a_wrong_one_from_our_own_shelf_goes_back_and_is_to_be_ordered(
    crew: Crew, hub: Replacement
) -> None:
    item = on_the_shelf(crew, hub, 2)
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk], hand_over=True)
    item.refresh_from_db()
    assert (item.on_hand, item.reserved) == (1, 0)
    parts.wrong(crew.counter, act=uuid4(), replacement=hub, because="Cracked", damaged=True)
    hub.refresh_from_db()
    assert (hub.state, stage_of(hub)) == (State.TO_ORDER, Stage.AWAITING_ASSEMBLY)
    item.refresh_from_db()
    assert (item.on_hand, item.reserved, sum_of(item)) == (1, 0, 1)
    assert SupplyReturn.objects.get().why == "damaged"


def test_a_cancelled_one_that_lay_here_is_free_on_the_shelf(crew: Crew, hub: Replacement) -> None:
    order_them(crew.counter, [hub])
    parts.receive(crew.counter, act=uuid4(), replacements=[hub.pk])
    item = StockItem.objects.get()
    assert (item.on_hand, item.reserved) == (1, 1)
    parts.cancel(crew.counter, act=uuid4(), replacement=hub, because="Repaired the harness")
    item.refresh_from_db()
    assert (item.on_hand, item.reserved) == (1, 0)


def test_one_cancelled_on_its_way_comes_for_the_shelf(crew: Crew, hub: Replacement) -> None:
    order_them(crew.counter, [hub])
    parts.cancel(crew.counter, act=uuid4(), replacement=hub, because="Repaired the harness")
    line = SupplyLine.objects.get()
    receiving.receive(
        crew.counter,
        act=uuid4(),
        order=line.order,
        lines=[receiving.Came(line.pk, line.revision, good=1)],
    )
    item = StockItem.objects.get()
    assert (item.on_hand, item.reserved) == (1, 0)


def test_a_cancelled_one_says_why_and_no_longer_holds_the_job(crew: Crew, hub: Replacement) -> None:
    with refused(field="because"):
        parts.cancel(crew.counter, act=uuid4(), replacement=hub, because="")
    parts.cancel(crew.counter, act=uuid4(), replacement=hub, because="Repaired the harness instead")
    hub.refresh_from_db()
    assert (hub.state, hub.cancelled_because) == (State.CANCELLED, "Repaired the harness instead")
    with pytest.raises(Clash):
        parts.cancel(crew.counter, act=uuid4(), replacement=hub, because="again")
    order = RepairOrder.objects.get(pk=hub.complaint.order_id)
    parts.hand_over(crew.manager, act=uuid4(), order=order, revision=order.revision)
    assert stage_of(hub) == Stage.REPAIRING
