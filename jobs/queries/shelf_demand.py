"""When a workshop wanted which part: its own replacements, day by day, and which had to wait."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from django.db.models import BooleanField, Case, Count, ExpressionWrapper, Min, Q, When
from django.db.models.functions import Coalesce, Greatest, TruncDate
from django.utils import timezone

from jobs.models import RepairOrder, Replacement
from jobs.queries.shelf_position import Living
from jobs.supersession import normal
from shop import clock
from shop.actor import Actor

LOOKED_BACK = timedelta(days=731)  # 24 months
LAST_YEAR = timedelta(days=365)
LEAST_DAYS = 30  # a workshop that began last week knows no rate yet


@dataclass(frozen=True, slots=True)
class Window:
    """From which day on demand was looked for."""

    since: date
    today: date

    @property
    def days(self) -> int:
        return max(LEAST_DAYS, (self.today - self.since).days + 1)

    @property
    def months(self) -> int:
        return round(self.days / 30.4375)

    def ago(self, day: date) -> int:
        return (self.today - day).days

    @property
    def start(self) -> datetime:
        return timezone.make_aware(datetime.combine(self.since, time.min))


@dataclass(slots=True)
class Wanted:
    """One living number: the days on which pieces were wanted, and how many had to be ordered."""

    days: list[date] = field(default_factory=list)
    components: set[int] = field(default_factory=set)
    last_year: int = 0
    waited: int = 0


def window(actor: Actor) -> Window:
    """The last 24 months, or since this workshop took its first vehicle in. One query."""
    today = clock.today()
    first = RepairOrder.objects.of(actor).aggregate(first=Min("taken_in_at"))["first"]
    began = timezone.localtime(first).date() if first else today
    return Window(max(began, today - LOOKED_BACK), today)


def rows(actor: Actor, seen: Window) -> list[tuple[int, str, date, bool, int]]:
    """(component, number, day, had to be ordered, pieces) of what was fitted. One query.

    A piece was wanted when it was ordered or taken from the shelf, and not before its vehicle
    came: a job may have joined an order that was already on its way.
    """
    # PostgreSQL's greatest leaves nulls out, SQLite's is null with one: asked only without them.
    ordered = Case(
        When(
            ordered_at__isnull=False,
            then=Greatest("ordered_at", "complaint__order__taken_in_at"),
        )
    )
    moment = Coalesce(ordered, "received_at", "fitted_at")
    grouped = (
        Replacement.objects.of(actor)
        .filter(state=Replacement.State.FITTED, fitted_at__gte=seen.start)
        .annotate(
            day=TruncDate(moment),
            ordered=ExpressionWrapper(Q(ordered_at__isnull=False), output_field=BooleanField()),
        )
        .filter(day__gte=seen.since, day__lte=seen.today)
        .order_by("day")
        .values_list("component_id", "part_number", "day", "ordered")
        .annotate(Count("pk"))
    )
    return list(grouped)


def wanted(
    found: list[tuple[int, str, date, bool, int]], seen: Window, living: Living
) -> dict[str, Wanted]:
    """The rows by the key of the living number."""
    by_key: dict[str, Wanted] = defaultdict(Wanted)
    year = seen.today - LAST_YEAR
    for component, number, day, ordered, pieces in found:
        one = by_key[normal(living.of(number)[0])]
        one.days.extend([day] * pieces)
        one.components.add(component)
        if day > year:
            one.last_year += pieces
            one.waited += pieces if ordered else 0
    return by_key
