"""Suppliers: who they are, what they owe us, how long they take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from math import ceil
from statistics import median

from django.db.models import Case, Count, IntegerField, Min, QuerySet, Sum, Value, When
from django.http import Http404
from django.utils import timezone

from jobs.models import Supplier, SupplyLine, SupplyOrder, SupplyReceipt, SupplyReturn
from shop import clock
from shop.actor import Actor

SEEN = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Times:
    """Days from order to good delivery in the last twelve months, one figure for each line.

    `late` of `n` came after the day first expected.
    """

    n: int
    median: float = 0.0
    shortest: int = 0
    longest: int = 0
    late: int = 0

    @property
    def few(self) -> bool:
        return 0 < self.n < 5

    @property
    def late_percent(self) -> int:
        return round(100 * self.late / self.n) if self.n else 0


def suppliers(actor: Actor) -> QuerySet[Supplier]:
    """By name, each with what is awaited from it."""
    awaited = (
        SupplyLine.objects.of(actor)
        .filter(awaited__gt=0)
        .order_by()
        .values("order__supplier")
        .annotate(pieces=Sum("awaited"))
    )
    found = {row["order__supplier"]: row["pieces"] for row in awaited}
    cases = [When(pk=pk, then=Value(pieces)) for pk, pieces in found.items()]
    pieces = Case(*cases, default=Value(0), output_field=IntegerField())
    rows: QuerySet[Supplier] = Supplier.objects.of(actor).annotate(awaited=pieces)
    return rows.order_by("name")


def get_supplier(actor: Actor, pk: int) -> Supplier:
    found: Supplier | None = Supplier.objects.of(actor).filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def open_lines(actor: Actor, supplier: Supplier) -> QuerySet[SupplyLine]:
    return (
        SupplyLine.objects.of(actor)
        .filter(order__supplier=supplier, awaited__gt=0)
        .select_related("order")
        .order_by("expected_on", "pk")
    )


def owed(actor: Actor, supplier: Supplier) -> tuple[int, Decimal]:
    """Returns that are not credited yet, and the credit expected for them. One query."""
    rows = SupplyReturn.objects.of(actor).filter(supplier=supplier, credited_at__isnull=True)
    sums = rows.aggregate(number=Count("pk"), credit=Sum("credit_expected"))
    return sums["number"], sums["credit"] or Decimal(0)


def times_of(actor: Actor, supplier_ids: Sequence[int]) -> dict[int, Times]:
    """How long each of these took. One query."""
    since = clock.now() - SEEN
    rows = (
        SupplyReceipt.objects.of(actor)
        .filter(
            found=SupplyReceipt.Found.GOOD,
            at__gte=since,
            line__order__supplier__in=supplier_ids,
        )
        .order_by()
        .values_list(
            "line", "line__order__supplier", "line__order__placed_at", "line__order__expected_on"
        )
        .annotate(first=Min("at"))
    )
    seen: dict[int, list[tuple[int, bool]]] = {pk: [] for pk in supplier_ids}
    for _line, supplier, placed_at, expected_on, first in rows:
        seen[supplier].append(_took(placed_at, expected_on, first))
    return {pk: _times(found) for pk, found in seen.items()}


def usual_day(actor: Actor, name: str) -> date | None:
    """The day on which what is ordered today would come, by the middle of the times seen.

    None where nothing of this supplier came in the last twelve months. Two queries.
    """
    row = Supplier.objects.of(actor).filter(name__iexact=name).first()
    if row is None:
        return None
    times = times_of(actor, [row.pk])[row.pk]
    return clock.today() + timedelta(days=ceil(times.median)) if times.n else None


def orders_of(actor: Actor, supplier: Supplier) -> QuerySet[SupplyOrder]:
    return SupplyOrder.objects.of(actor).filter(supplier=supplier).order_by("-serial")


def _took(placed_at: datetime, expected_on: date, came_at: datetime) -> tuple[int, bool]:
    came = timezone.localtime(came_at).date()
    return (came - timezone.localtime(placed_at).date()).days, came > expected_on


def _times(found: list[tuple[int, bool]]) -> Times:
    days = sorted(day for day, _late in found)
    if not days:
        return Times(0)
    late = sum(late for _day, late in found)
    return Times(len(days), float(median(days)), days[0], days[-1], late)
