"""What to keep: counted from the workshop's own replacements and deliveries, by living number."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from diagnostics.models import Component, PartNumber
from jobs.demand import Strength
from jobs.models import (
    RepairOrder,
    Replacement,
    StockItem,
    Supplier,
    SupplyLine,
    SupplyOrder,
    SupplyReceipt,
)
from jobs.queries.lead_times import ASSUMED_DAYS, Basis
from jobs.queries.shelf_advice import shelf, top_ups
from jobs.queries.shelf_rows import Advice
from jobs.supersession import normal
from shop import clock
from shop.actor import Actor
from tests.asserts import counted
from tests.factories import a_repair_order
from tests.jobs.along import the_hub

State = Replacement.State


@pytest.fixture
def old_job(bela: Actor) -> RepairOrder:
    """The workshop took its first vehicle in three years ago."""
    order = a_repair_order(bela)
    RepairOrder.objects.filter(pk=order.pk).update(taken_in_at=clock.now() - timedelta(days=1100))
    order.refresh_from_db()
    return order


def hub_part(order: RepairOrder) -> PartNumber:
    """The living number of the rear left hub."""
    part = the_hub(order).part_numbers.filter(superseded_by=None, retired=False).first()
    assert part is not None
    return part


def wanted(
    order: RepairOrder,
    days_ago: int,
    *,
    ordered: bool = True,
    took: int = 3,
    number: str = "",
    component: Component | None = None,
) -> Replacement:
    """A replacement that was wanted then and fitted once it had come."""
    then = clock.now() - timedelta(days=days_ago)
    came = then + timedelta(days=took if ordered else 0)
    first = order.complaints.first()
    assert first is not None
    part: Replacement = Replacement.objects.create(
        workshop=order.workshop,
        complaint=first,
        component=component or the_hub(order),
        part_number=number or hub_part(order).number,
        price=Decimal("100.00"),
        state=State.FITTED,
        state_since=came,
        ordered_at=then if ordered else None,
        received_at=came,
        fitted_at=min(came, clock.now()),
    )
    return part


def a_supply(
    actor: Actor, number: str, *, quantity: int, days_ago: int = 0, took: int | None = None
) -> SupplyLine:
    """An order to a supplier; `took` days later all of it came, good."""
    supplier, _made = Supplier.objects.get_or_create(workshop=actor.workshop, name="Northway")
    serial = SupplyOrder.objects.count() + 1
    placed = clock.now() - timedelta(days=days_ago)
    order = SupplyOrder.objects.create(
        workshop=actor.workshop,
        serial=serial,
        number=f"QS{serial}",
        supplier=supplier,
        expected_on=placed.date(),
        placed_at=placed,
        placed_by=actor.user,
    )
    came = 0 if took is None else quantity
    line: SupplyLine = SupplyLine.objects.create(
        workshop=actor.workshop,
        order=order,
        part_number=number,
        part_key=normal(number),
        text="a part",
        quantity=quantity,
        received=came,
        awaited=quantity - came,
        expected_on=placed.date(),
    )
    if took is not None:
        SupplyReceipt.objects.create(
            workshop=actor.workshop,
            line=line,
            found="good",
            quantity=quantity,
            at=placed + timedelta(days=took),
            by=actor.user,
        )
    return line


def an_item(actor: Actor, number: str, **said: object) -> StockItem:
    item: StockItem = StockItem.objects.create(
        workshop=actor.workshop, part_number=number, part_key=normal(number), text="a part", **said
    )
    return item


def row_of(actor: Actor, number: str) -> Advice:
    return next(row for row in shelf(actor).rows if row.position.part_key == normal(number))


def test_the_rate_counts_the_pieces_of_the_last_24_months(
    nuri: Actor, old_job: RepairOrder
) -> None:
    for days_ago in (10, 100, 400, 700, 800):  # the last lies outside
        wanted(old_job, days_ago)
    row = row_of(nuri, hub_part(old_job).number)
    assert row.demand.count == 4
    assert row.demand.days == 732
    assert row.demand.strength is Strength.VERY_SMALL
    assert row.fits == (str(old_job.vehicle.platform),)


def test_a_young_workshop_counts_from_its_first_vehicle(nuri: Actor, bela: Actor) -> None:
    order = a_repair_order(bela)
    RepairOrder.objects.update(taken_in_at=clock.now() - timedelta(days=89))
    order.refresh_from_db()
    wanted(order, 20)
    assert row_of(nuri, hub_part(order).number).demand.days == 90


def test_the_lead_time_is_the_parts_own_then_its_suppliers_then_assumed(
    nuri: Actor, old_job: RepairOrder
) -> None:
    part = hub_part(old_job)
    wanted(old_job, 10)
    assert row_of(nuri, part.number).lead.basis is Basis.ASSUMED
    assert row_of(nuri, part.number).lead.days == ASSUMED_DAYS
    supplier = Supplier.objects.create(workshop=nuri.workshop, name="Northway")
    an_item(nuri, part.number, supplier=supplier)
    a_supply(nuri, "ELSE-1", quantity=1, days_ago=30, took=8)
    lead = row_of(nuri, part.number).lead
    assert (lead.basis, lead.days, lead.count) == (Basis.SUPPLIER, 8, 1)
    a_supply(nuri, part.number, quantity=4, days_ago=30, took=2)
    a_supply(nuri, part.number, quantity=1, days_ago=20, took=4)
    lead = row_of(nuri, part.number).lead
    assert (lead.basis, lead.days, lead.count) == (Basis.PART, 3, 2)


def test_superseded_numbers_count_with_the_one_that_lives(
    nuri: Actor, old_job: RepairOrder
) -> None:
    living = hub_part(old_job)
    old = PartNumber.objects.create(
        component=living.component,
        position=living.position,
        number="OLD-77",
        price=1,
        superseded_by=living,
    )
    wanted(old_job, 50, number=old.number)
    wanted(old_job, 60)
    an_item(nuri, old.number, on_hand=2, reserved=1, target=3)
    row = row_of(nuri, living.number)
    assert row.demand.count == 2
    assert (row.position.free, row.position.target) == (1, 3)
    assert "OLD-77" in row.position.replaced
    (short,) = top_ups(nuri)
    assert (short.part_number, short.missing) == (living.number, 2)


def test_the_waits_are_those_seen_and_those_replayed(nuri: Actor, old_job: RepairOrder) -> None:
    """Three days to come. Of 100, 98 and 40 days ago, one shelf piece misses the one on day 98."""
    part = hub_part(old_job)
    a_supply(nuri, part.number, quantity=1, days_ago=500, took=3)
    wanted(old_job, 100)
    wanted(old_job, 98)
    wanted(old_job, 40, ordered=False)
    wanted(old_job, 500)  # over a year ago: counted in the rate, not among the waits
    an_item(nuri, part.number, target=1)
    waits = row_of(nuri, part.number).waits
    assert (waits.wanted, waits.waited, waits.kept) == (3, 2, 1)
    assert waits.cautious <= waits.expected


def test_a_piece_is_not_wanted_before_its_vehicle_came(nuri: Actor, old_job: RepairOrder) -> None:
    row = wanted(old_job, 40)
    Replacement.objects.filter(pk=row.pk).update(ordered_at=clock.now() - timedelta(days=2000))
    RepairOrder.objects.filter(pk=old_job.pk).update(taken_in_at=clock.now() - timedelta(days=45))
    a_repair = RepairOrder.objects.get(pk=old_job.pk)
    days = row_of(nuri, hub_part(a_repair).number).days
    assert days == (timezone.localdate(clock.now() - timedelta(days=45)),)


def test_the_upper_limit_never_advises_less_and_money_is_level_times_cost(
    nuri: Actor, old_job: RepairOrder
) -> None:
    part = hub_part(old_job)
    for days_ago in range(5, 700, 12):
        wanted(old_job, days_ago)
    an_item(nuri, part.number, unit_cost=Decimal("61.25"), target=1)
    row = row_of(nuri, part.number)
    assert 0 < row.expected.level <= row.cautious.level
    assert row.money == row.expected.level * Decimal("61.25")
    assert row.money_kept == Decimal("61.25")
    assert row.demand.strength is Strength.FAIR
    assert row.waits.expected <= row.waits.kept


def test_top_ups_leave_jobs_what_lies_and_comes_for_them(nuri: Actor, old_job: RepairOrder) -> None:
    """Keep 5: 2 free, 4 awaited of which 1 is a job's, 3 jobs still to order: spare 2, short 3."""
    number = hub_part(old_job).number
    an_item(nuri, number, on_hand=3, reserved=1, target=5)
    line = a_supply(nuri, number, quantity=4)
    rows = [wanted(old_job, 1) for _ in range(4)]
    mine, *others = [row.pk for row in rows]
    Replacement.objects.filter(pk=mine).update(state=State.ORDERED, supply_line=line)
    Replacement.objects.filter(pk__in=others).update(state=State.TO_ORDER)
    (short,) = top_ups(nuri)
    assert (short.free, short.coming, short.waiting) == (2, 3, 3)
    assert (short.spare, short.missing) == (2, 3)


def test_another_workshop_sees_nothing_of_it(nuri: Actor, pim: Actor, old_job: RepairOrder) -> None:
    wanted(old_job, 10)
    an_item(nuri, "AB-1", target=2)
    assert shelf(pim).rows == ()
    assert top_ups(pim) == ()


def test_an_empty_workshop_has_an_empty_shelf(nuri: Actor) -> None:
    found = shelf(nuri)
    assert (found.rows, found.money_kept, found.would_wait) == ((), Decimal("0.00"), 0)


def test_the_advice_costs_the_same_however_much_was_done(nuri: Actor, old_job: RepairOrder) -> None:
    part = hub_part(old_job)
    wanted(old_job, 9)
    an_item(nuri, part.number, target=2)
    with counted() as few:
        shelf(nuri)
    with counted() as few_short:
        top_ups(nuri)
    for number in range(12):
        wanted(old_job, 10 + number)
        a_supply(nuri, f"X-{number}", quantity=1, days_ago=20, took=2)
        an_item(nuri, f"Y-{number}", target=1)
    with counted() as many:
        shelf(nuri)
    with counted() as many_short:
        top_ups(nuri)
    assert (len(few), len(few_short)) == (len(many), len(many_short))
    assert len(few_short) <= 6


def test_what_would_change_comes_first(nuri: Actor, old_job: RepairOrder) -> None:
    part = hub_part(old_job)
    wanted(old_job, 9)
    an_item(nuri, "AAA-1", on_hand=1)  # lies there, nobody wants it, nobody means to keep it
    an_item(nuri, "AAA-2", target=9)
    numbers = [row.position.part_number for row in shelf(nuri).rows]
    assert numbers[0] == "AAA-2"
    assert set(numbers) == {"AAA-1", "AAA-2", part.number}
