"""A told job as a pattern: its rows in every table, and which of their cells speak of what.

Which tables belong to a job follows from the foreign keys: all that points at the order or at its
session, but not through what it shares with others (vehicle, shelf, suppliers, claims). What a copy
does not carry on: orders to suppliers and the shelf (its parts count as fetched for the job), held
parts, claims and decisions on coverage.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

from django.apps import apps
from django.db.models import (
    CharField,
    DateField,
    DateTimeField,
    Field,
    ForeignKey,
    Model,
    TextField,
    UUIDField,
)
from django.utils.formats import date_format
from django.utils.timezone import localtime

from diagnostics.models import Session
from jobs.models import FittedUnit, Invoice, Payment, RepairOrder, Replacement
from shop.models import LogEntry, OdometerReading, User

Rows = dict[type[Model], list[Model]]
_SHARED = {
    "shop.Act",
    "jobs.Claim",
    "jobs.Comeback",
    "jobs.CoverageDecision",
    "jobs.HeldPart",
    "jobs.Repair",
    "jobs.StockMovement",
    "jobs.SupplyReturn",
}
_DAYS_NAMED = 60
_NOT_TOLD = frozenset({"held", "coverage", "claim", "comeback"})  # kinds of log lines left out


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of one model as the database holds them, and what is done to their columns."""

    model: type[Model]
    columns: tuple[Field[Any, Any], ...]
    rows: tuple[tuple[Any, ...], ...]
    keys: dict[int, int]  # of the rows: their place
    links: dict[int, type[Model]]  # columns that name a row of a copied table
    times: tuple[int, ...]
    days: tuple[int, ...]
    people: tuple[int, ...]
    uuids: tuple[int, ...]
    spoken: tuple[tuple[int, int], ...]  # cells whose text names something of this very job

    def at(self, name: str) -> int:
        return next(n for n, one in enumerate(self.columns) if one.attname == name)


@dataclass(slots=True)
class Pattern:
    order: RepairOrder
    tables: tuple[Table, ...]
    names: re.Pattern[str]
    invoices: int
    payments: int
    units: tuple[Replacement, ...]
    distances: dict[int, OdometerReading]
    clocked: tuple[tuple[datetime, datetime], ...] = field(default=())

    @property
    def noons(self) -> list[datetime]:
        """Of the days that its texts may name."""
        return noons_of(self.order)


def pattern_of(order: RepairOrder) -> Pattern:
    """All rows of a released job, read in as many queries as there are tables."""
    rows = _reached(order)
    readings = OdometerReading.objects.filter(
        vehicle=order.vehicle_id, read_at__gte=order.taken_in_at, read_at__lte=order.closed_at
    )
    rows[OdometerReading] = list(readings.order_by("pk"))
    told = LogEntry.objects.filter(subject_kind="order", subject_id=order.pk)
    rows[LogEntry] = list(told.exclude(kind__in=_NOT_TOLD).order_by("pk"))
    names = re.compile("|".join(re.escape(one) for one in spoken_of(order, rows)))
    tables = tuple(_table(model, found, rows, names) for model, found in rows.items() if found)
    replacements = [one for one in rows.get(Replacement, []) if isinstance(one, Replacement)]
    clock = rows.get(apps.get_model("jobs.ClockEntry"), [])
    return Pattern(
        order,
        tables,
        names,
        len(rows.get(Invoice, [])),
        len(rows.get(Payment, [])),
        tuple(replacements),
        {one.pk: one for one in rows[OdometerReading] if isinstance(one, OdometerReading)},
        tuple((one.started_at, one.ended_at) for one in clock),  # type: ignore[attr-defined]
    )


def noons_of(order: RepairOrder) -> list[datetime]:
    """From the day of taking in on, without a gap, so that no day is taken for part of another."""
    noon = localtime(order.taken_in_at).replace(hour=12, minute=0, second=0, microsecond=0)
    return [noon + timedelta(days=day) for day in range(_DAYS_NAMED)]


def day_words(moment: datetime) -> str:
    """As papers name a day."""
    return _words_of(localtime(moment).date())


@cache
def _words_of(day: date) -> str:
    return date_format(day, "j M Y")


def spoken_of(order: RepairOrder, rows: Rows) -> list[str]:
    """What the texts of a job may name, the longest first so that none is taken for a part."""
    vehicle, customer = order.vehicle, order.customer
    names = {order.number, vehicle.plate, vehicle.vin, customer.name, customer.phone}
    names |= {day_words(noon) for noon in noons_of(order)}
    for model in (Invoice, Payment):
        names |= {one.number for one in rows.get(model, [])}  # type: ignore[attr-defined]
    for one in rows.get(Replacement, []):
        assert isinstance(one, Replacement)
        names |= {unit.serial_number for unit in (one.unit_off, one.unit_on) if unit is not None}
        if one.supply_line is not None:
            supply = one.supply_line.order
            names |= {f", {supply.number}", f", {one.order_reference}"}
    for reading in rows[OdometerReading]:
        assert isinstance(reading, OdometerReading)
        names.add(reading.typed_value)
    return sorted((one for one in names if len(one) > 2), key=len, reverse=True)


def _reached(order: RepairOrder) -> Rows:
    rows: Rows = {RepairOrder: [order], Session: [order.session]}
    waiting = list(rows)
    links = _links()
    seen: dict[type[Model], set[Any]] = defaultdict(set)
    while waiting:
        target = waiting.pop()
        keys = [row.pk for row in rows[target]]
        for model, name in links.get(target, ()):
            found = model._default_manager.filter(**{f"{name}__in": keys}).order_by("pk")
            new = [row for row in found if row.pk not in seen[model]]
            seen[model] |= {row.pk for row in new}
            if new and model not in (RepairOrder, Session):
                rows[model] = sorted([*rows.get(model, []), *new], key=lambda row: row.pk)
                waiting.append(model)
    return rows


def _links() -> Mapping[type[Model], list[tuple[type[Model], str]]]:
    """By table which others point at it, of those that belong to one job."""
    found: dict[type[Model], list[tuple[type[Model], str]]] = defaultdict(list)
    for model in apps.get_models():
        if model._meta.label in _SHARED or model in (FittedUnit, OdometerReading):
            continue
        for one in model._meta.concrete_fields:
            if isinstance(one, ForeignKey) and one.related_model is not model:
                found[one.related_model].append((model, one.name))
    return found


def _table(model: type[Model], found: Iterable[Model], rows: Rows, names: re.Pattern[str]) -> Table:
    columns = tuple(model._meta.concrete_fields)
    values = tuple(tuple(getattr(row, column.attname) for column in columns) for row in found)
    kinds = list(enumerate(columns))
    texts = [n for n, one in kinds if isinstance(one, CharField | TextField)]
    return Table(
        model=model,
        columns=columns,
        rows=values,
        keys={row.pk: n for n, row in enumerate(found)},
        links={
            n: one.related_model
            for n, one in kinds
            if isinstance(one, ForeignKey) and one.related_model in rows
        },
        times=tuple(n for n, one in kinds if isinstance(one, DateTimeField)),
        days=tuple(
            n
            for n, one in kinds
            if isinstance(one, DateField) and not isinstance(one, DateTimeField)
        ),
        people=tuple(
            n for n, one in kinds if isinstance(one, ForeignKey) and one.related_model is User
        ),
        uuids=tuple(n for n, one in kinds if isinstance(one, UUIDField)),
        spoken=tuple(
            (at, n)
            for at, row in enumerate(values)
            for n in texts
            if row[n] and names.search(str(row[n]))
        ),
    )
