"""Short ways to jobs that wait, orders that are placed and deliveries that come."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from jobs.models import (
    Complaint,
    RepairOrder,
    Replacement,
    StockItem,
    SupplyLine,
    SupplyOrder,
)
from jobs.services import receiving, stock, supply
from jobs.services.receiving import BookedIn, Came
from jobs.stages import Stage
from shop import clock
from tests.factories import a_repair_order
from tests.jobs.along import Crew, the_hub

State = Replacement.State
NUMBER = "PL2-20-214"


def day(days: int) -> date:
    return clock.today() + timedelta(days=days)


def asking(
    crew: Crew, *, promised_in_hours: float | None = None, number: str = NUMBER, **more: Any
) -> Replacement:
    """A job awaiting one assembly that is to be ordered."""
    order = a_repair_order(crew.manager)
    promised = clock.now() + timedelta(hours=promised_in_hours) if promised_in_hours else None
    RepairOrder.objects.filter(pk=order.pk).update(
        stage=Stage.AWAITING_ASSEMBLY, promised_at=promised
    )
    order.complaints.update(
        decision=Complaint.Decision.AUTHORISED, payer=more.pop("payer", "customer")
    )
    said: dict[str, Any] = {
        "position": "LR",
        "price": Decimal("184.00"),
        "supplier": "Ostrel",
        "state": State.TO_ORDER,
    }
    row: Replacement = Replacement.objects.create(
        workshop=order.workshop,
        complaint=order.complaints.get(),
        component=the_hub(order),
        part_number=number,
        state_since=clock.now(),
        **(said | more),
    )
    return row


def placed(
    crew: Crew, *rows: Replacement, quantity: int | None = None, cost: str = "100", **more: Any
) -> SupplyOrder:
    """One order of one line for these assemblies, `quantity` pieces."""
    number = rows[0].part_number if rows else NUMBER
    line = supply.Wanted(
        number,
        len(rows) if quantity is None else quantity,
        Decimal(cost),
        replacements=tuple(row.pk for row in rows),
    )
    said: dict[str, Any] = {"supplier": "Ostrel", "expected_on": day(1), "lines": [line]}
    return supply.place(crew.counter, act=uuid4(), **(said | more))


def line_of(order: SupplyOrder) -> SupplyLine:
    return order.lines.get()


def came(crew: Crew, order: SupplyOrder, *, hand_over: bool = False, **found: Any) -> BookedIn:
    """One delivery of an order of one line, seen as it stands now."""
    line = line_of(order)
    revision = found.pop("revision", line.revision)
    return receiving.receive(
        crew.counter,
        act=uuid4(),
        order=order,
        lines=[Came(line.pk, revision, **found)],
        delivery_note="DN 1",
        hand_over=hand_over,
    )


def state_of(row: Replacement) -> str:
    return Replacement.objects.get(pk=row.pk).state


def stage_of(row: Replacement) -> str:
    return RepairOrder.objects.get(pk=row.complaint.order_id).stage


def on_the_shelf(crew: Crew, pieces: int, number: str = NUMBER) -> StockItem:
    item = stock.item_for(crew.counter.workshop, number, text="Hub")
    stock.post(crew.counter, item, stock.Kind.COUNTED, pieces)
    return item


def check_stock(number: str = NUMBER) -> tuple[int, int]:
    """On hand and reserved; the count is the sum of the movements, and of the kept pieces."""
    item = StockItem.objects.get(part_number=number)
    assert item.on_hand == sum(item.movements.values_list("quantity", flat=True))
    kept = Replacement.objects.filter(
        part_number=number, state=State.RECEIVED, handed_at__isnull=True
    )
    assert item.reserved == kept.count()
    return item.on_hand, item.reserved
