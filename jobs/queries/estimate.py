"""What a job would cost now, what was said about it, and whether that still stands."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, Max, OuterRef, Q, Subquery

from diagnostics.models import Component, LabourOperation, Position
from jobs.models import (
    Authority,
    AuthorityLine,
    Complaint,
    Estimate,
    EstimateLine,
    LabourLine,
    RepairOrder,
    Replacement,
)
from jobs.pricing import OrderPrice, PriceLine, assembly_line, labour_line, price
from jobs.queries.living_parts import parts_of
from jobs.supersession import CataloguePart, Living, living_parts


def place_words(position: str) -> str:
    """A position as it is said: "left rear"; empty when there is none."""
    return str(Position(position).label) if position else ""


def assembly_text(replacement: Replacement) -> str:
    """An assembly as the estimate and the papers name it."""
    name = str(replacement.component)
    where = place_words(replacement.position)
    return ", ".join(part for part in (name, where, replacement.part_number) if part)


def labour_text(line: LabourLine) -> str:
    return f"{line.code} {line.text}".strip()


def price_line(row: Replacement | LabourLine) -> PriceLine:
    if isinstance(row, Replacement):
        return assembly_line(row.complaint_id, assembly_text(row), row.price)
    return labour_line(row.complaint_id, labour_text(row), row.tenths, row.rate)


def live_replacements(order_ids: Collection[int]) -> list[Replacement]:
    """The assemblies that are on the jobs now: proposed up to fitted. One query."""
    rows = Replacement.objects.filter(complaint__order__in=order_ids).exclude(
        state=Replacement.State.CANCELLED
    )
    return list(rows.select_related("component__system", "complaint").order_by("complaint", "pk"))


def live_labour(order_ids: Collection[int]) -> list[LabourLine]:
    rows = LabourLine.objects.filter(complaint__order__in=order_ids, withdrawn=False)
    return list(rows.select_related("complaint", "operation").order_by("complaint", "pk"))


def live_rows(order_ids: Collection[int]) -> list[Replacement | LabourLine]:
    return [*live_replacements(order_ids), *live_labour(order_ids)]


def price_of(order: RepairOrder) -> OrderPrice:
    """What the job costs as it stands, complaint by complaint. Three queries."""
    complaints = [complaint.pk for complaint in order.complaints.all()]
    return price(complaints, (price_line(row) for row in live_rows([order.pk])))


Said = Counter[tuple[int, str, Decimal]]


def standing(order_ids: Collection[int]) -> set[int]:
    """The orders whose last given estimate still says what stands now.

    Until it is answered that means line by line; afterwards less may stand than was said, since
    what was declined is taken off. Three queries, however many orders.
    """
    said, answered = _said(order_ids)
    now = _now(order_ids)
    return {
        key
        for key in order_ids
        if said[key] and (now[key] <= said[key] if key in answered else now[key] == said[key])
    }


def is_as_given(order: RepairOrder) -> bool:
    """Whether giving the estimate now would only repeat the last one."""
    said, _answered = _said([order.pk])
    return bool(said[order.pk]) and said[order.pk] == _now([order.pk])[order.pk]


def _said(order_ids: Collection[int]) -> tuple[dict[int, Said], set[int]]:
    """The lines of each order's last estimate, and the orders where that one was answered."""
    said: dict[int, Said] = defaultdict(Counter)
    answered: set[int] = set()
    last = Estimate.objects.filter(order=OuterRef("estimate__order")).order_by("-number")
    lines = EstimateLine.objects.filter(
        estimate__order__in=order_ids, estimate=Subquery(last.values("pk")[:1])
    ).annotate(answered=Exists(Authority.objects.filter(estimate=OuterRef("estimate"))))
    for order_id, complaint, text, amount, was_answered in lines.values_list(
        "estimate__order", "complaint", "text", "amount", "answered"
    ):
        said[order_id][(complaint, text, amount)] += 1
        if was_answered:
            answered.add(order_id)
    return said, answered


def _now(order_ids: Collection[int]) -> dict[int, Said]:
    now: dict[int, Said] = defaultdict(Counter)
    for row in live_rows(order_ids):
        line = price_line(row)
        now[row.complaint.order_id][(line.complaint, line.text, line.amount)] += 1
    return now


@dataclass(frozen=True, slots=True)
class Proposal:
    """The concluded component, ready to be put on the estimate with one touch."""

    component: Component
    position: str
    living: Living | None
    operations: tuple[LabourOperation, ...]

    @property
    def where(self) -> str:
        return place_words(self.position)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line as the sheet shows it; `replaced` are the numbers that its own took over from."""

    row: Replacement | LabourLine
    text: str
    amount: Decimal
    is_assembly: bool
    part_number: str = ""
    where: str = ""
    replaced: tuple[str, ...] = ()
    hours: str = ""


@dataclass(frozen=True, slots=True)
class ComplaintSheet:
    complaint: Complaint
    lines: tuple[SheetLine, ...]
    total: Decimal
    proposal: Proposal | None


@dataclass(frozen=True, slots=True)
class EstimateSheet:
    """`standing`: the last estimate given still says what stands now."""

    complaints: tuple[ComplaintSheet, ...]
    price: OrderPrice
    given: tuple[Estimate, ...]
    standing: bool
    authorised_total: Decimal

    @property
    def last(self) -> Estimate | None:
        return self.given[0] if self.given else None

    @property
    def has_lines(self) -> bool:
        return any(sheet.lines for sheet in self.complaints)


def sheet(order: RepairOrder) -> EstimateSheet:
    """Everything the estimate's sheet shows; the number of queries does not grow with lines."""
    complaints = complaints_of(order)
    replacements, labour = live_replacements([order.pk]), live_labour([order.pk])
    concluded = [c.conclusion.component_id for c in complaints if c.conclusion]
    wanted = {row.component_id for row in replacements} | {pk for pk in concluded if pk}
    parts = parts_of(wanted)
    operations = _operations(order, [pk for pk in concluded if pk])
    rows: list[Replacement | LabourLine] = [*replacements, *labour]
    priced = price([one.pk for one in complaints], (price_line(row) for row in rows))
    sheets = []
    for complaint in complaints:
        own = [row for row in replacements if row.complaint_id == complaint.pk]
        lines = [
            _assembly_line(row, living_parts(parts.get(row.component_id, ()), row.position))
            for row in own
        ]
        lines += [_labour_line(row) for row in labour if row.complaint_id == complaint.pk]
        sheets.append(
            ComplaintSheet(
                complaint,
                tuple(lines),
                priced.of(complaint.pk).total,
                _proposal(complaint, replacements, parts, operations),
            )
        )
    return EstimateSheet(
        complaints=tuple(sheets),
        price=priced,
        given=given_estimates(order),
        standing=order.pk in standing([order.pk]),
        authorised_total=authorised_total(order),
    )


def complaints_of(order: RepairOrder) -> list[Complaint]:
    return list(
        Complaint.objects.filter(order=order)
        .select_related("order", "system", "conclusion__component", "conclusion__failure_mode")
        .order_by("line")
    )


def given_estimates(order: RepairOrder) -> tuple[Estimate, ...]:
    """Every revision with its lines and its answers, the last one first."""
    rows = (
        Estimate.objects.filter(order=order)
        .select_related("given_by")
        .prefetch_related("lines__complaint", "answers__recorded_by", "answers__lines__complaint")
    )
    return tuple(rows.order_by("-number"))


def last_number(order: RepairOrder) -> int:
    found = Estimate.objects.filter(order=order).aggregate(last=Max("number"))["last"]
    return int(found or 0)


def lines_authorised(complaint_id: int) -> Said | None:
    """What was said for a complaint when it was last authorised; None when it never was."""
    last = (
        AuthorityLine.objects.filter(complaint=complaint_id, decision=Complaint.Decision.AUTHORISED)
        .order_by("-authority")
        .values_list("authority__estimate", flat=True)
        .first()
    )
    if last is None:
        return None
    lines = EstimateLine.objects.filter(estimate=last, complaint=complaint_id)
    return Counter(lines.values_list("complaint", "text", "amount"))


def authorised_total(order: RepairOrder) -> Decimal:
    """What the last answer left authorised altogether."""
    last = Authority.objects.filter(estimate__order=order).order_by("-pk").first()
    return last.total_after if last else Decimal("0.00")


@dataclass(frozen=True, slots=True)
class Choice:
    """One assembly that the catalogue has for this vehicle, at one place."""

    component: Component
    position: str
    living: Living | None

    @property
    def key(self) -> str:
        return f"{self.component.pk}:{self.position}"


def assembly_choices(order: RepairOrder) -> list[Choice]:
    """All components of the job's catalogue at all their places. Two queries."""
    version = order.session.version
    if version is None:
        return []
    components = list(
        Component.objects.filter(platform=version.platform_id, retired=False)
        .select_related("system")
        .order_by("system__order", "name")
    )
    parts = parts_of([component.pk for component in components])
    found = []
    for component in components:
        for position in component.positions.split() or [""]:
            living = living_parts(parts.get(component.pk, ()), position)
            found.append(Choice(component, position, living[0] if living else None))
    return found


def labour_choices(order: RepairOrder) -> list[LabourOperation]:
    if order.session.version_id is None:
        return []
    rows = LabourOperation.objects.filter(version=order.session.version_id)
    return list(rows.select_related("system").order_by("system__order", "code"))


def operations_for(order: RepairOrder, component_ids: Iterable[int]) -> list[LabourOperation]:
    return _operations(order, list(component_ids))


def _operations(order: RepairOrder, component_ids: Sequence[int]) -> list[LabourOperation]:
    of_component = Q(component__in=component_ids)
    rows = LabourOperation.objects.filter(of_component, version=order.session.version_id)
    return list(rows.order_by("code"))


def _assembly_line(row: Replacement, living: Sequence[Living]) -> SheetLine:
    replaced = next((one.replaced for one in living if one.number == row.part_number), ())
    line = price_line(row)
    return SheetLine(
        row,
        str(row.component),
        line.amount,
        is_assembly=True,
        part_number=row.part_number,
        where=place_words(row.position),
        replaced=replaced,
    )


def _labour_line(row: LabourLine) -> SheetLine:
    hours = f"{row.tenths // 10}.{row.tenths % 10}"
    return SheetLine(row, labour_text(row), price_line(row).amount, is_assembly=False, hours=hours)


def _proposal(
    complaint: Complaint,
    on_the_job: Sequence[Replacement],
    parts: Mapping[int, Sequence[CataloguePart]],
    operations: Sequence[LabourOperation],
) -> Proposal | None:
    conclusion = complaint.conclusion
    if conclusion is None or conclusion.component is None:
        return None
    component = conclusion.component
    place = (component.pk, conclusion.position)
    waiting = (row for row in on_the_job if row.state != Replacement.State.FITTED)
    if any((row.component_id, row.position) == place for row in waiting):
        return None
    living = living_parts(parts.get(component.pk, ()), conclusion.position)
    return Proposal(
        component,
        conclusion.position,
        living[0] if living else None,
        tuple(one for one in operations if one.component_id == component.pk),
    )
