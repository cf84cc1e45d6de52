"""Everything that the estimate's sheet shows, in a number of queries that does not grow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.models import Component, LabourOperation
from jobs.authorised import Limit
from jobs.bill import Bill, SharedLine
from jobs.models import Complaint, Estimate, LabourLine, RepairOrder, Replacement
from jobs.pricing import OrderPrice, hours, price
from jobs.queries.estimate_choices import asked_for, operations_for
from jobs.queries.limit import limit_on
from jobs.queries.living_parts import parts_of
from jobs.queries.priced import Row, bill_of_rows, in_order, live_rows, place_words, row_text
from jobs.queries.prices import prices_of
from jobs.queries.said import given_estimates, standing
from jobs.queries.shared_labour import partners
from jobs.stages import Stage
from jobs.supersession import CataloguePart, Living, living_parts
from shop.money import total

Parts = Mapping[int, Sequence[CataloguePart]]


@dataclass(frozen=True, slots=True)
class Proposal:
    """The concluded component, ready to be put on the estimate with one touch."""

    component: Component
    position: str
    living: Living | None
    operations: tuple[LabourOperation, ...]
    price: Decimal | None = None

    @property
    def where(self) -> str:
        return place_words(self.position)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line as the sheet shows it; `replaced` are the numbers that its own took over from.

    `kind` is a jobs.pricing.LineKind; `hours` are those charged, `shared` those that another
    line (`shared_with`) pays for; `customer` and `other` make the amount.
    """

    row: Row
    text: str
    amount: Decimal
    is_assembly: bool
    kind: str = ""
    part_number: str = ""
    where: str = ""
    replaced: tuple[str, ...] = ()
    hours: str = ""
    allowed: str = ""
    shared: str = ""
    shared_with: tuple[str, ...] = ()
    customer: Decimal = Decimal(0)
    other: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class ComplaintSheet:
    complaint: Complaint
    lines: tuple[SheetLine, ...]
    total: Decimal
    proposal: Proposal | None
    customer: Decimal = Decimal(0)
    other: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class EstimateSheet:
    """`standing`: the last estimate given still says what stands now."""

    complaints: tuple[ComplaintSheet, ...]
    price: OrderPrice
    bill: Bill
    given: tuple[Estimate, ...]
    standing: bool
    limit: Limit

    @property
    def last(self) -> Estimate | None:
        return self.given[0] if self.given else None

    @property
    def has_lines(self) -> bool:
        return any(sheet.lines for sheet in self.complaints)


def sheet(order: RepairOrder) -> EstimateSheet:
    complaints = complaints_of(order)
    rows = in_order(live_rows([order.pk]))
    bill = bill_of_rows(order, rows)
    lines = _lines(rows, bill)
    priced = price([one.pk for one in complaints], (one.line for one in bill.lines))
    proposals = _proposals(order, complaints, rows)
    sheets = []
    for complaint in complaints:
        own = tuple(line for line in lines if line.row.complaint_id == complaint.pk)
        sheets.append(
            ComplaintSheet(
                complaint,
                own,
                priced.of(complaint.pk).total,
                proposals.get(complaint.pk),
                total(line.customer for line in own),
                total(line.other for line in own),
            )
        )
    return EstimateSheet(
        complaints=tuple(sheets),
        price=priced,
        bill=bill,
        given=given_estimates(order),
        standing=order.pk in standing([order.pk]),
        limit=limit_on(order, bill.lines),
    )


def may_go_back(order: RepairOrder, estimated: EstimateSheet) -> bool:
    """More was asked for, and all that stands is authorised: it may go back to work."""
    if Stage(order.stage) is not Stage.AWAITING_AUTHORITY or not estimated.standing:
        return False
    decisions = {one.complaint.decision for one in estimated.complaints}
    undecided, yes = Complaint.Decision.UNDECIDED, Complaint.Decision.AUTHORISED
    return undecided not in decisions and yes in decisions


def complaints_of(order: RepairOrder) -> list[Complaint]:
    return list(
        Complaint.objects.filter(order=order)
        .select_related("order", "system", "conclusion__component", "conclusion__failure_mode")
        .order_by("line")
    )


def _lines(rows: Sequence[Row], bill: Bill) -> list[SheetLine]:
    parts = parts_of({row.component_id for row in rows if isinstance(row, Replacement)})
    shared = partners([row for row in rows if isinstance(row, LabourLine)])
    found = []
    for row, one in zip(rows, bill.lines, strict=True):
        if isinstance(row, Replacement):
            found.append(_assembly_line(row, one, parts))
        elif isinstance(row, LabourLine):
            found.append(_labour_line(row, one, shared.get(row.pk, ())))
        else:
            line = one.line
            found.append(
                SheetLine(
                    row,
                    line.text,
                    line.amount,
                    is_assembly=False,
                    kind=line.kind,
                    customer=one.customer,
                    other=one.other,
                )
            )
    return found


def _assembly_line(row: Replacement, one: SharedLine, parts: Parts) -> SheetLine:
    living = living_parts(parts.get(row.component_id, ()), row.position)
    return SheetLine(
        row,
        str(row.component),
        one.line.amount,
        is_assembly=True,
        kind=one.line.kind,
        part_number=row.part_number,
        where=place_words(row.position),
        replaced=next((it.replaced for it in living if it.number == row.part_number), ()),
        customer=one.customer,
        other=one.other,
    )


def _labour_line(row: LabourLine, one: SharedLine, shared_with: tuple[str, ...]) -> SheetLine:
    changed = row.allowed_tenths is not None and row.allowed_tenths != row.tenths
    return SheetLine(
        row,
        row_text(row),
        one.line.amount,
        is_assembly=False,
        kind=one.line.kind,
        hours=hours(row.sold_tenths),
        allowed=hours(row.allowed_tenths or 0) if changed else "",
        shared=hours(row.shared_tenths) if row.shared_tenths else "",
        shared_with=shared_with,
        customer=one.customer,
        other=one.other,
    )


def _proposals(
    order: RepairOrder, complaints: Sequence[Complaint], rows: Sequence[Row]
) -> dict[int, Proposal]:
    """The concluded components that are not on the job yet, by complaint. Four queries."""
    on_the_job = {
        (row.component_id, row.position): row.fitted_at
        for row in rows
        if isinstance(row, Replacement)
    }
    found = {}
    wanted = {c.conclusion.component_id or 0 for c in complaints if c.conclusion}
    parts, operations = parts_of(wanted), operations_for(order, wanted)
    prices = prices_of(order.workshop, [part.key for own in parts.values() for part in own])
    for complaint in complaints:
        concluded = complaint.conclusion
        if concluded is None or concluded.component is None:
            continue
        component, position = concluded.component, concluded.position
        place = (component.pk, position)
        fitted_at = on_the_job.get(place)
        # One that was fitted before this was concluded may have to be replaced again.
        if place in on_the_job and (fitted_at is None or concluded.at <= fitted_at):
            continue
        own = parts.get(component.pk, ())
        living = next(iter(living_parts(own, position)), None)
        asked = asked_for(own, living, prices) if living else None
        found[complaint.pk] = Proposal(
            component,
            position,
            living,
            tuple(one for one in operations if one.component_id == component.pk),
            asked.price if asked else (living.price if living else None),
        )
    return found
