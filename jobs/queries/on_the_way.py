"""Orders of which something is still awaited, the most overdue first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import F, Min, Q, QuerySet, Sum

from jobs.models import RepairOrder, Replacement, SupplyLine, SupplyOrder
from shop import clock
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class Coming:
    """One order: what of it is awaited, for which jobs, and whether its day is over."""

    order: SupplyOrder
    lines: tuple[SupplyLine, ...]
    jobs: tuple[RepairOrder, ...]
    expected_on: date
    late: bool

    @property
    def awaited(self) -> int:
        return sum(line.awaited for line in self.lines)


def orders_awaited(actor: Actor) -> QuerySet[SupplyOrder]:
    """The one expected first stands first, which is the one that is late."""
    lines = SupplyLine.objects.of(actor).filter(awaited__gt=0)
    rows: QuerySet[SupplyOrder] = (
        SupplyOrder.objects.of(actor)
        .filter(pk__in=lines.values("order"))
        .select_related("supplier")
        .annotate(next_on=Min("lines__expected_on", filter=Q(lines__awaited__gt=0)))
        .order_by("next_on", "serial")
    )
    return rows


def coming(orders: Sequence[SupplyOrder]) -> tuple[Coming, ...]:
    """The orders with their awaited lines and the jobs behind them. Two queries."""
    if not orders:
        return ()
    keys = [order.pk for order in orders]
    lines: dict[int, list[SupplyLine]] = defaultdict(list)
    for line in SupplyLine.objects.filter(order__in=keys, awaited__gt=0).order_by("pk"):
        lines[line.order_id].append(line)
    jobs = jobs_behind(keys)
    today = clock.today()
    found = []
    for order in orders:
        own = tuple(lines[order.pk])
        expected = min((line.expected_on for line in own), default=order.expected_on)
        mine = {row.complaint.order_id: row.complaint.order for row in jobs.get(order.pk, ())}
        found.append(Coming(order, own, tuple(mine.values()), expected, expected < today))
    return tuple(found)


def jobs_behind(order_ids: Sequence[int]) -> dict[int, list[Replacement]]:
    """The assemblies that wait for each order, the earliest promise first. One query."""
    rows = (
        Replacement.objects.filter(
            supply_line__order__in=order_ids, state=Replacement.State.ORDERED
        )
        .filter(complaint__order__closed_at__isnull=True)
        .select_related("component", "supply_line", "complaint__order__vehicle")
        .order_by(F("complaint__order__promised_at").asc(nulls_last=True), "pk")
    )
    found: dict[int, list[Replacement]] = defaultdict(list)
    for row in rows:
        if row.supply_line is not None:
            found[row.supply_line.order_id].append(row)
    return found


def pieces_awaited(actor: Actor) -> tuple[int, int]:
    """How many pieces are awaited, and how many of them are late. One query."""
    late = Q(expected_on__lt=clock.today())
    sums = (
        SupplyLine.objects.of(actor)
        .filter(awaited__gt=0)
        .aggregate(all=Sum("awaited"), late=Sum("awaited", filter=late))
    )
    return sums["all"] or 0, sums["late"] or 0
