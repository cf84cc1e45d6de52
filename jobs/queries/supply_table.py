"""A supplier order as CSV; docs/supplier-order.md says what each column means."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from io import StringIO

from django.utils import timezone

from jobs.models import SupplyLine, SupplyOrder

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
# A cell that begins so would be run as a formula by a spreadsheet.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


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
        writer.writerow([guarded(cell) for cell in cells])
    return out.getvalue()


def guarded(cell: object) -> object:
    """A text that a spreadsheet would take for a formula gets an apostrophe in front."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell
