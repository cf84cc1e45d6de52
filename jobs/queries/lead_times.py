"""How long what was ordered took to come: by part, by supplier, or assumed and said to be."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from django.db.models import Avg, Count, DurationField, ExpressionWrapper, F

from jobs.models import SupplyReceipt
from jobs.queries.shelf_position import Living
from jobs.supersession import normal
from shop.actor import Actor

ASSUMED_DAYS = 5.0  # where nothing has come yet; the page says that it is assumed


class Basis(StrEnum):
    PART = "part"
    SUPPLIER = "supplier"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Lead:
    """The mean of `count` good deliveries in days; `count` is 0 where it is assumed."""

    days: float
    count: int
    basis: Basis


@dataclass(slots=True)
class _Seen:
    days: float = 0.0
    count: int = 0

    def add(self, mean: timedelta, count: int) -> None:
        self.days += mean / timedelta(days=1) * count
        self.count += count


@dataclass(slots=True)
class LeadTimes:
    by_part: dict[str, _Seen] = field(default_factory=lambda: defaultdict(_Seen))
    by_supplier: dict[str, _Seen] = field(default_factory=lambda: defaultdict(_Seen))

    def of(self, part_key: str, supplier: str) -> Lead:
        """What this part took; else what this supplier takes; else what is assumed."""
        for seen, basis in (
            (self.by_part.get(part_key), Basis.PART),
            (self.by_supplier.get(supplier.casefold()), Basis.SUPPLIER),
        ):
            if seen and seen.count:
                return Lead(max(0.0, seen.days / seen.count), seen.count, basis)
        return Lead(ASSUMED_DAYS, 0, Basis.ASSUMED)


def lead_times(actor: Actor, since: datetime, living: Living) -> LeadTimes:
    """From the day an order was placed to each good delivery since then. One query."""
    took = ExpressionWrapper(F("at") - F("line__order__placed_at"), output_field=DurationField())
    rows = (
        SupplyReceipt.objects.of(actor)
        .filter(found=SupplyReceipt.Found.GOOD, at__gte=since)
        .order_by()
        .values_list("line__part_number", "line__order__supplier__name")
        .annotate(mean=Avg(took), good=Count("pk"))
    )
    found = LeadTimes()
    for number, supplier, mean, count in rows:
        found.by_part[normal(living.of(number)[0])].add(mean, count)
        found.by_supplier[supplier.casefold()].add(mean, count)
    return found
