"""One order to a supplier, and the list of all of them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, Exists, F, Min, OuterRef, Q, QuerySet, Sum
from django.http import Http404

from jobs.models import Replacement, SupplyLine, SupplyOrder, SupplyReceipt, SupplyReturn
from jobs.queries.on_the_way import jobs_behind
from shop import clock
from shop.actor import Actor
from shop.models import LogEntry
from shop.money import line_total, total


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line with the jobs that wait for it and what came of it so far."""

    row: SupplyLine
    jobs: tuple[Replacement, ...]
    receipts: tuple[SupplyReceipt, ...]
    late: bool

    @property
    def amount(self) -> Decimal:
        return line_total(self.row.quantity, self.row.unit_cost)

    @property
    def shelf(self) -> int:
        """Awaited pieces that no job waits for."""
        return max(0, self.row.awaited - len(self.jobs))


@dataclass(frozen=True, slots=True)
class OrderSheet:
    """Everything the page of a supplier order shows."""

    order: SupplyOrder
    lines: tuple[OrderLine, ...]
    returns: tuple[SupplyReturn, ...]
    story: tuple[LogEntry, ...]

    @property
    def awaited(self) -> int:
        return sum(line.row.awaited for line in self.lines)

    @property
    def pieces(self) -> int:
        return sum(line.row.quantity for line in self.lines)

    @property
    def brought(self) -> bool:
        """Whether anything came, good or not: such an order is not voided any more."""
        return any(line.receipts for line in self.lines)

    @property
    def total(self) -> Decimal:
        return total(line.amount for line in self.lines)


def get_supply(actor: Actor, number: str) -> SupplyOrder:
    """The order of that number in the actor's workshop. A stranger's is 404, as none at all."""
    found: SupplyOrder | None = (
        SupplyOrder.objects.of(actor)
        .filter(number__iexact=number)
        .select_related("supplier", "placed_by", "voided_by", "workshop")
        .first()
    )
    if found is None:
        raise Http404
    return found


def sheet(actor: Actor, order: SupplyOrder) -> OrderSheet:
    """Five queries, however many lines."""
    lines = list(order.lines.select_related("component").order_by("pk"))
    waiting: dict[int, list[Replacement]] = defaultdict(list)
    for row in jobs_behind([order.pk]).get(order.pk, []):
        if row.supply_line_id is not None:
            waiting[row.supply_line_id].append(row)
    came: dict[int, list[SupplyReceipt]] = defaultdict(list)
    receipts = SupplyReceipt.objects.filter(line__order=order).select_related("by")
    for receipt in receipts.order_by("pk"):
        came[receipt.line_id].append(receipt)
    today = clock.today()
    story = LogEntry.objects.filter(
        workshop=actor.workshop, subject_kind="supply", subject_id=order.pk
    )
    return OrderSheet(
        order=order,
        lines=tuple(
            OrderLine(
                line,
                tuple(waiting[line.pk]),
                tuple(came[line.pk]),
                bool(line.awaited and line.expected_on < today),
            )
            for line in lines
        ),
        returns=tuple(
            SupplyReturn.objects.filter(line__order=order).select_related("supplier").order_by("pk")
        ),
        story=tuple(story.select_related("by").order_by("at", "pk")),
    )


def all_orders(actor: Actor, *, open_only: bool = False) -> QuerySet[SupplyOrder]:
    """The newest first, with what is awaited of each and the first day for it."""
    rows = SupplyOrder.objects.of(actor).select_related("supplier").order_by("-serial")
    if open_only:
        waits = SupplyLine.objects.filter(order=OuterRef("pk"), awaited__gt=0)
        rows = rows.filter(Exists(waits))
    counted: QuerySet[SupplyOrder] = rows.annotate(
        pieces=Sum("lines__quantity"),
        awaited=Sum("lines__awaited"),
        line_count=Count("lines"),
        next_on=Min("lines__expected_on", filter=Q(lines__awaited__gt=0)),
    )
    return counted


def returns(actor: Actor, *, closed: bool = False) -> QuerySet[SupplyReturn]:
    """Open ones the oldest first; closed ones the newest first."""
    rows = SupplyReturn.objects.of(actor).select_related("supplier", "line__order")
    if closed:
        return rows.filter(credited_at__isnull=False).order_by("-credited_at", "-pk")
    return rows.filter(credited_at__isnull=True).order_by(F("sent_at").asc(nulls_first=True), "pk")


def returns_open(actor: Actor) -> tuple[int, int]:
    """How many are still to be sent, and how many wait for their credit. One query."""
    rows = SupplyReturn.objects.of(actor).filter(credited_at__isnull=True)
    unsent = Q(sent_at__isnull=True)
    sums = rows.aggregate(unsent=Count("pk", filter=unsent), sent=Count("pk", filter=~unsent))
    return sums["unsent"], sums["sent"]
