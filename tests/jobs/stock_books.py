"""What must be true of stock, orders and numbers after every act, whoever did it."""

from __future__ import annotations

from collections import Counter

from jobs.models import (
    HeldPart,
    NumberSeries,
    RepairOrder,
    Replacement,
    StockItem,
    StockMovement,
    SupplyLine,
    SupplyOrder,
    SupplyReceipt,
)
from jobs.services.numbers import FIRST
from jobs.stages import CLOSED, Stage
from jobs.supersession import normal
from shop.models import Workshop

State = Replacement.State
Kind = StockMovement.Kind


def check_books(workshop: Workshop) -> None:
    """Raises AssertionError with what does not add up."""
    check_items(workshop)
    check_reserved(workshop)
    check_lines(workshop)
    check_pieces_of_jobs(workshop)
    check_jobs(workshop)
    check_numbers(workshop)


def check_items(workshop: Workshop) -> None:
    """Never negative; the count is the sum of the movements, and each balance follows the last."""
    for item in StockItem.objects.filter(workshop=workshop):
        balance = 0
        for moved in item.movements.order_by("pk"):
            balance += moved.quantity
            assert moved.balance == balance, f"{item}: {moved} leaves {moved.balance}"
            assert balance >= 0, f"{item} fell to {balance}"
        assert item.on_hand == balance, f"{item}: {item.on_hand} on hand, movements make {balance}"
        assert 0 <= item.reserved <= item.on_hand, f"{item}: {item.reserved} of {item.on_hand}"


def check_reserved(workshop: Workshop) -> None:
    """What is kept for jobs is what came for them and was not handed over."""
    waiting = Counter(
        normal(number)
        for number in Replacement.objects.filter(
            workshop=workshop, state=State.RECEIVED, handed_at__isnull=True
        ).values_list("part_number", flat=True)
    )
    kept = dict(
        StockItem.objects.filter(workshop=workshop, reserved__gt=0).values_list(
            "part_key", "reserved"
        )
    )
    assert kept == dict(waiting)


def check_lines(workshop: Workshop) -> None:
    """Awaited is the rest; nobody waits for more; what came went into stock, and back out of it."""
    for line in SupplyLine.objects.filter(workshop=workshop).select_related("order"):
        assert line.awaited == line.quantity - line.received - line.cancelled >= 0, str(line)
        waiting = line.replacements.filter(state=State.ORDERED).count()
        assert waiting <= line.awaited, f"{line}: {waiting} jobs wait for {line.awaited}"
        assert not (line.order.voided_at and line.awaited), f"{line} is void and awaited"
        moved = sum(
            line.movements.filter(kind__in=[Kind.RECEIVED, Kind.RETURNED]).values_list(
                "quantity", flat=True
            )
        )
        assert moved == line.received, f"{line}: {line.received} received, {moved} in stock"
        good = sum(
            line.receipts.filter(found=SupplyReceipt.Found.GOOD).values_list("quantity", flat=True)
        )
        assert line.received <= good, f"{line}: {line.received} received, {good} came good"


def check_pieces_of_jobs(workshop: Workshop) -> None:
    """A piece at the Bay left the shelf once; every other job's pieces all came back."""
    for row in Replacement.objects.filter(workshop=workshop):
        out = -sum(row.movements.values_list("quantity", flat=True))
        assert out == (row.handed_at is not None), f"{row}, {row.state}: {out} handed over"
        if row.state == State.ORDERED:
            assert row.supply_line is not None, f"{row} is ordered on no line"


def check_jobs(workshop: Workshop) -> None:
    """A closed job keeps nothing; a job at the Bay has everything it is to fit."""
    for order in RepairOrder.objects.filter(workshop=workshop):
        states = set(
            Replacement.objects.filter(complaint__order=order).values_list("state", flat=True)
        )
        if Stage(order.stage) in CLOSED:
            assert not states & {State.ORDERED, State.RECEIVED}, f"{order} is closed: {states}"
        if order.stage == Stage.REPAIRING:
            assert not states & {State.ORDERED, State.TO_ORDER}, f"{order} repairs: {states}"


def check_numbers(workshop: Workshop) -> None:
    """From the first on, none left out and none twice, and the series knows the last."""
    for kind, rows in (("supply", SupplyOrder), ("tag", HeldPart), ("order", RepairOrder)):
        serials = sorted(rows.objects.filter(workshop=workshop).values_list("serial", flat=True))
        assert serials == list(range(FIRST, FIRST + len(serials))), f"{kind}: {serials}"
        last = NumberSeries.objects.filter(workshop=workshop, kind=kind).values_list(
            "last", flat=True
        )
        assert list(last) in ([], [FIRST - 1 + len(serials)]), f"{kind}: {list(last)}"
