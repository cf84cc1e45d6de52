"""What was ordered and received before orders had rows of their own gets them now."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import migrations

OPEN = ("received", "diagnosing", "awaiting_authority", "awaiting_assembly")
AT_THE_BAY = ("repairing", "proving", "ready")
NOT_NAMED = "Supplier not named"


def normal(number: str) -> str:
    return "".join(sign for sign in number.upper() if sign.isalnum())


def give_rows(apps: Any, schema_editor: Any) -> None:
    """Ordered: an order for each supplier and reference. Received: stock, kept or handed."""
    replacements = apps.get_model("jobs", "Replacement").objects
    rows = replacements.filter(supply_line__isnull=True).select_related(
        "component", "complaint__order", "workshop"
    )
    _order_what_is_ordered(apps, rows.filter(state="ordered").order_by("pk"))
    for row in rows.filter(state="received", handed_at__isnull=True).order_by("pk"):
        _stock_what_is_here(apps, row)
    for row in replacements.filter(state="fitted", handed_at__isnull=True).iterator():
        row.handed_at, row.handed_by_id = row.fitted_at, row.fitted_by_id
        row.save(update_fields=["handed_at", "handed_by"])


def _order_what_is_ordered(apps: Any, rows: Any) -> None:
    groups: dict[tuple[int, str, str], list[Any]] = defaultdict(list)
    for row in rows.filter(complaint__order__closed_at__isnull=True):
        name = row.supplier.strip() or NOT_NAMED
        groups[(row.workshop_id, name, row.order_reference)].append(row)
    for (_workshop, name, reference), own in groups.items():
        order = _new_order(apps, own, name, reference)
        by_number: dict[str, list[Any]] = defaultdict(list)
        for row in own:
            by_number[normal(row.part_number)].append(row)
        for key, same in by_number.items():
            _new_line(apps, order, key, same)


def _new_order(apps: Any, rows: list[Any], name: str, reference: str) -> Any:
    first = rows[0]
    supplier, _made = apps.get_model("jobs", "Supplier").objects.get_or_create(
        workshop=first.workshop, name=name
    )
    series, _made = apps.get_model("jobs", "NumberSeries").objects.get_or_create(
        workshop=first.workshop, kind="supply", defaults={"last": 1000}
    )
    series.last += 1
    series.save()
    return apps.get_model("jobs", "SupplyOrder").objects.create(
        workshop=first.workshop,
        serial=series.last,
        number=f"{first.workshop.order_prefix}S{series.last}",
        supplier=supplier,
        their_reference=reference,
        expected_on=min(_expected(row) for row in rows),
        placed_at=min(_ordered_at(row) for row in rows),
        placed_by_id=_who(apps, first, "ordered "),
    )


def _new_line(apps: Any, order: Any, key: str, rows: list[Any]) -> None:
    first = rows[0]
    line = apps.get_model("jobs", "SupplyLine").objects.create(
        workshop=first.workshop,
        order=order,
        component=first.component,
        part_number=first.part_number,
        part_key=key,
        text=first.component.name[:160],
        quantity=len(rows),
        awaited=len(rows),
        unit_cost=first.cost or Decimal(0),
        expected_on=max(_expected(row) for row in rows),
    )
    for row in rows:
        row.supply_line = line
        row.save(update_fields=["supply_line"])


def _stock_what_is_here(apps: Any, row: Any) -> None:
    """A piece of a closed job lies nobody knows where: the next count will find it."""
    stage = row.complaint.order.stage
    if stage not in OPEN + AT_THE_BAY:
        return
    item, _made = apps.get_model("jobs", "StockItem").objects.get_or_create(
        workshop=row.workshop,
        part_key=normal(row.part_number),
        defaults={
            "part_number": row.part_number,
            "text": row.component.name[:160],
            "component": row.component,
            "unit_cost": row.cost or Decimal(0),
        },
    )
    who, at = _who(apps, row, "booked in "), row.received_at or row.state_since
    _move(apps, item, "received", 1, row, who, at)
    if stage in AT_THE_BAY:
        _move(apps, item, "handed", -1, row, who, row.complaint.order.stage_since)
        row.handed_at, row.handed_by_id = row.complaint.order.stage_since, who
        row.save(update_fields=["handed_at", "handed_by"])
    else:
        item.reserved += 1
    item.save()


def _move(apps: Any, item: Any, kind: str, by: int, row: Any, who: int, at: datetime) -> None:
    item.on_hand += by
    apps.get_model("jobs", "StockMovement").objects.create(
        workshop=row.workshop,
        item=item,
        kind=kind,
        quantity=by,
        balance=item.on_hand,
        unit_cost=item.unit_cost,
        at=at,
        by_id=who,
        because="on record before stock was counted",
        replacement=row,
    )


def _who(apps: Any, row: Any, words: str) -> int:
    """Whoever the story of the job names; else who took the vehicle in."""
    order = row.complaint.order
    said = apps.get_model("shop", "LogEntry").objects.filter(
        workshop=row.workshop,
        subject_kind="order",
        subject_id=order.pk,
        kind="parts",
        words__startswith=words,
        by__isnull=False,
    )
    found: int | None = said.order_by("-pk").values_list("by", flat=True).first()
    return found or int(order.taken_in_by_id)


def _expected(row: Any) -> date:
    expected: date = row.expected_on or row.state_since.date()
    return expected


def _ordered_at(row: Any) -> datetime:
    ordered: datetime = row.ordered_at or row.state_since
    return ordered


class Migration(migrations.Migration):
    dependencies = [("jobs", "0003_rows_of_the_estimate")]

    operations = [migrations.RunPython(give_rows, migrations.RunPython.noop)]
