"""A supplier order as CSV; docs/supplier-order.md says what each column means."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from io import StringIO

from django.utils import timezone

from jobs.models import SupplyLine, SupplyOrder
from shop.tables import guarded

COLUMNS = (
    "order",
    "placed_on",
    "expected_on",
    "supplier",
    "account",
    "their_reference",
    "line",
    "part_number",
    "text",
    "quantity",
    "unit_cost",
    "void",
)


def table_of(order: SupplyOrder, lines: Iterable[SupplyLine]) -> str:
    """The lines as they were ordered: comma, quotes where needed, CRLF, a head of names."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for number, line in enumerate(lines, start=1):
        cells: tuple[object, ...] = (
            order.number,
            timezone.localtime(order.placed_at).date().isoformat(),
            order.expected_on.isoformat(),
            order.supplier.name,
            order.supplier.account,
            order.their_reference,
            number,
            line.part_number,
            line.text,
            line.quantity,
            f"{line.unit_cost:.2f}",
            "yes" if order.voided_at else "no",
        )
        writer.writerow([guarded(cell) if isinstance(cell, str) else cell for cell in cells])
    return out.getvalue()
