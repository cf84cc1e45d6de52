"""The rows of a job as lines with a price: assemblies, labour, sublet work and materials."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from diagnostics.models import Position
from jobs.bill import Bill, Share, make_bill
from jobs.models import LabourLine, OtherLine, RepairOrder, Replacement
from jobs.pricing import (
    LineKind,
    OrderPrice,
    PriceLine,
    assembly_line,
    hours,
    labour_line,
    other_line,
    price,
)
from jobs.queries.terms import rounding_of, share_of, tax_rules, terms_of

Row = Replacement | LabourLine | OtherLine
LONGEST_TEXT = 240  # as long as a line of an estimate may be


def place_words(position: str) -> str:
    """A position as it is said: "left rear"; empty when there is none."""
    return str(Position(position).label) if position else ""


def assembly_text(replacement: Replacement) -> str:
    """An assembly as the estimate and the papers name it."""
    name = str(replacement.component)
    where = place_words(replacement.position)
    return ", ".join(part for part in (name, where, replacement.part_number) if part)


def labour_text(line: LabourLine) -> str:
    """An operation with its place and why it is extra time, without its hours."""
    name = f"{line.code} {line.text}".strip()
    extra = line.reason if line.kind == LabourLine.Kind.EXTRA else ""
    return ", ".join(part for part in (name, place_words(line.position), extra) if part)


def row_text(row: Row) -> str:
    if isinstance(row, Replacement):
        return assembly_text(row)
    return labour_text(row) if isinstance(row, LabourLine) else row.text


def row_key(row: Row) -> str:
    """What keeps a row the same row in every revision: "part:12", "labour:5", "other:7"."""
    if isinstance(row, Replacement):
        return f"part:{row.pk}"
    return f"labour:{row.pk}" if isinstance(row, LabourLine) else f"other:{row.pk}"


def price_line(row: Row) -> PriceLine:
    if isinstance(row, Replacement):
        return assembly_line(row.complaint_id, assembly_text(row), row.price, row.condition)
    if isinstance(row, OtherLine):
        kind = LineKind(row.kind)
        return other_line(row.complaint_id, kind, row.text, row.quantity, row.unit_price)
    words = labour_text(row)
    if row.shared_tenths:
        # What is shared comes back on this line when the other one falls away, so it is said.
        shared = hours(row.shared_tenths)
        words = f"{words[: LONGEST_TEXT - 60]} ({hours(row.tenths)} h less {shared} h shared)"
    return labour_line(
        row.complaint_id,
        words[: LONGEST_TEXT - 10],
        row.sold_tenths,
        row.rate,
        diagnosis=row.kind == LabourLine.Kind.DIAGNOSIS,
    )


def live_replacements(order_ids: Collection[int]) -> list[Replacement]:
    """The assemblies that are on the jobs now: proposed up to fitted. One query."""
    rows = Replacement.objects.filter(complaint__order__in=order_ids).exclude(
        state=Replacement.State.CANCELLED
    )
    return list(
        rows.select_related("component__system", "complaint").order_by("complaint_id", "pk")
    )


def live_labour(order_ids: Collection[int]) -> list[LabourLine]:
    rows = LabourLine.objects.filter(complaint__order__in=order_ids, withdrawn=False)
    return list(rows.select_related("complaint", "operation").order_by("complaint_id", "pk"))


def live_other(order_ids: Collection[int]) -> list[OtherLine]:
    rows = OtherLine.objects.filter(complaint__order__in=order_ids, withdrawn=False)
    return list(rows.select_related("complaint").order_by("complaint_id", "pk"))


def live_rows(order_ids: Collection[int]) -> list[Row]:
    """All that is on the jobs now. Three queries."""
    return [*live_replacements(order_ids), *live_labour(order_ids), *live_other(order_ids)]


def shares_of(rows: Iterable[Row]) -> Mapping[int, Share]:
    return {row.complaint_id: share_of(row.complaint) for row in rows}


def price_of(order: RepairOrder) -> OrderPrice:
    """What the job costs as it stands, complaint by complaint, before tax. Four queries."""
    complaints = [complaint.pk for complaint in order.complaints.all()]
    return price(complaints, (price_line(row) for row in live_rows([order.pk])))


def bill_of(order: RepairOrder) -> Bill:
    """What stands on the job now, shared out and taxed as the workshop does. Five queries.

    The lines come by complaint, in the order of assemblies, labour, sublet work and materials.
    """
    return bill_of_rows(order, live_rows([order.pk]))


def bill_of_rows(order: RepairOrder, rows: Collection[Row]) -> Bill:
    """The same for some of its rows. Two queries."""
    return make_bill(
        [price_line(row) for row in in_order(rows)],
        shares_of(rows),
        tax_rules(order.workshop),
        rounding_of(terms_of(order.workshop)),
    )


def in_order(rows: Iterable[Row]) -> list[Row]:
    """By the lines of the order; within one as they come."""
    return sorted(rows, key=lambda row: row.complaint.line)
