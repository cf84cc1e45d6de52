"""The migration that gives rows to what was ordered and received before there were any."""

from __future__ import annotations

from datetime import timedelta
from importlib import import_module

import pytest
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.test import override_settings

from jobs.models import (
    Complaint,
    NumberSeries,
    RepairOrder,
    Replacement,
    StockItem,
    StockMovement,
    SupplyLine,
    SupplyOrder,
)
from jobs.stages import Stage
from shop import clock
from tests.factories import a_repair_order
from tests.jobs.along import Crew, the_hub

State = Replacement.State
migration = import_module("jobs.migrations.0004_orders_of_before")


@override_settings(MIGRATION_MODULES={})  # pytest's --nomigrations hides them
def run() -> None:
    """With the models as they were at that migration, not as they are today."""
    loader = MigrationLoader(connection, replace_migrations=False)
    state = loader.project_state(("jobs", "0004_orders_of_before"))
    migration.give_rows(state.apps, None)


def of_before(
    crew: Crew, stage: Stage, state: str, *, supplier: str = "Ostrel", reference: str = "A 17"
) -> Replacement:
    """A job with one assembly as they were kept before: a reference in words, no rows."""
    order = a_repair_order(crew.manager)
    closed = {"closed_at": clock.now()} if stage is Stage.RELEASED else {}
    RepairOrder.objects.filter(pk=order.pk).update(stage=stage, **closed)
    order.complaints.update(decision=Complaint.Decision.AUTHORISED)
    row: Replacement = Replacement.objects.create(
        workshop=order.workshop,
        complaint=order.complaints.get(),
        component=the_hub(order),
        position="LR",
        part_number="PL2-20-214",
        price=184,
        supplier=supplier,
        order_reference=reference,
        state=state,
        state_since=clock.now(),
        ordered_at=clock.now() - timedelta(days=2),
        expected_on=clock.today() + timedelta(days=1),
        received_at=clock.now() if state == State.RECEIVED else None,
        fitted_at=clock.now() if state == State.FITTED else None,
        fitted_by=crew.technician.user if state == State.FITTED else None,
    )
    return row


def test_what_was_ordered_gets_one_order_for_each_supplier_and_reference(crew: Crew) -> None:
    first = of_before(crew, Stage.AWAITING_ASSEMBLY, State.ORDERED)
    second = of_before(crew, Stage.AWAITING_ASSEMBLY, State.ORDERED)
    other = of_before(crew, Stage.AWAITING_ASSEMBLY, State.ORDERED, reference="A 18")
    tindle = of_before(crew, Stage.AWAITING_ASSEMBLY, State.ORDERED, supplier="Tindle")
    nameless = of_before(crew, Stage.AWAITING_ASSEMBLY, State.ORDERED, supplier="")
    closed = of_before(crew, Stage.RELEASED, State.ORDERED)
    run()
    found = {
        (order.supplier.name, order.their_reference): order for order in SupplyOrder.objects.all()
    }
    assert set(found) == {
        ("Ostrel", "A 17"),
        ("Ostrel", "A 18"),
        ("Tindle", "A 17"),
        (migration.NOT_NAMED, "A 17"),
    }
    assert {order.serial for order in found.values()} == {1001, 1002, 1003, 1004}
    assert NumberSeries.objects.get(kind="supply").last == 1004
    line = found["Ostrel", "A 17"].lines.get()
    assert (line.quantity, line.awaited, line.received) == (2, 2, 0)
    for row in (first, second, other, tindle, nameless):
        row.refresh_from_db()
        assert row.supply_line is not None
    assert first.supply_line == second.supply_line
    closed.refresh_from_db()
    assert closed.supply_line is None


@pytest.mark.parametrize(
    ("stage", "on_hand", "reserved", "moved"),
    [
        (Stage.AWAITING_ASSEMBLY, 1, 1, [1]),
        (Stage.AWAITING_AUTHORITY, 1, 1, [1]),
        (Stage.REPAIRING, 0, 0, [1, -1]),
    ],
)
def test_what_was_received_lies_in_stock_for_its_job_or_was_handed_over(
    crew: Crew, stage: Stage, on_hand: int, reserved: int, moved: list[int]
) -> None:
    row = of_before(crew, stage, State.RECEIVED)
    run()
    item = StockItem.objects.get()
    assert (item.on_hand, item.reserved) == (on_hand, reserved)
    movements = StockMovement.objects.order_by("pk")
    assert list(movements.values_list("quantity", flat=True)) == moved
    assert [move.balance for move in movements][-1] == on_hand
    row.refresh_from_db()
    assert (row.handed_at is not None) is (stage is Stage.REPAIRING)


def test_what_was_fitted_counts_as_handed_over_and_closed_jobs_make_no_stock(crew: Crew) -> None:
    fitted = of_before(crew, Stage.PROVING, State.FITTED)
    of_before(crew, Stage.RELEASED, State.RECEIVED)
    run()
    fitted.refresh_from_db()
    assert (fitted.handed_at, fitted.handed_by) == (fitted.fitted_at, fitted.fitted_by)
    assert not StockItem.objects.exists()
    assert not SupplyLine.objects.exists()


def test_going_back_takes_nothing_away() -> None:
    (operation,) = migration.Migration.operations
    assert operation.reversible
    assert operation.reverse_code is operation.noop
