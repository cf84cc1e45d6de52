"""Finding an order, and everything its own page shows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import Http404
from django.utils.translation import gettext as _

from diagnostics import words
from diagnostics.models import Conclusion
from diagnostics.queries.evidence import Candidate, evidence_of
from jobs.models import Complaint, RepairOrder, Replacement, UnsafeMark
from jobs.queries.claims import Claimable, claimable
from jobs.queries.clock import Clocked, clocked_on
from jobs.queries.estimate import assembly_text
from jobs.queries.sold_hours import SoldHours, sold_on
from shop.actor import Actor


def orders_of(actor: Actor) -> QuerySet[RepairOrder]:
    """The workshop's orders with what every page of one needs."""
    rows: QuerySet[RepairOrder] = RepairOrder.objects.of(actor).select_related(
        "workshop",
        "vehicle__platform",
        "customer",
        "bay",
        "technician",
        "odometer_in",
        "session__version",
    )
    return rows


def get_order(actor: Actor, number: str) -> RepairOrder:
    """The order of that number in the actor's workshop. A stranger's is 404, as none at all."""
    order = orders_of(actor).filter(number__iexact=number).first()
    if order is None:
        raise Http404
    return order


def get_complaint(actor: Actor, number: str, line: int) -> Complaint:
    order = get_order(actor, number)
    rows = order.complaints.select_related("conclusion", "system")
    complaint = rows.filter(line=line).first()
    if complaint is None:
        raise Http404
    complaint.order = order
    return complaint


def listing(actor: Actor, *, closed: bool) -> QuerySet[RepairOrder]:
    """Open orders by promise, or closed ones newest first; `first_words` prefetched."""
    rows = orders_of(actor).prefetch_related("complaints")
    if closed:
        return rows.filter(closed_at__isnull=False).order_by("-closed_at", "-pk")
    return rows.filter(closed_at__isnull=True).order_by("-serial")


@dataclass(frozen=True, slots=True)
class Line:
    """One complaint with its cause, what shows it, and what is done about it."""

    complaint: Complaint
    conclusion: Conclusion | None
    evidence: tuple[Candidate, ...]
    parts: tuple[Replacement, ...]
    hours: SoldHours
    clock: Clocked
    asked: Claimable | None

    @property
    def cause(self) -> str:
        return words.conclusion(self.conclusion) if self.conclusion else ""

    @property
    def without_evidence(self) -> bool:
        return self.conclusion is not None and not self.conclusion.evidenced

    @property
    def declined(self) -> bool:
        return self.complaint.decision == Complaint.Decision.DECLINED


def lines_of(order: RepairOrder) -> tuple[Line, ...]:
    """The complaints of an order as its page shows them; the number of queries is constant."""
    complaints = list(
        order.complaints.select_related(
            "system", "conclusion__component", "conclusion__failure_mode", "conclusion__by"
        ).order_by("line")
    )
    concluded = [line.conclusion for line in complaints if line.conclusion]
    shown = evidence_of(concluded)
    parts = _parts(complaints)
    hours, clocks = sold_on(order), clocked_on(order)
    asked = claimable(complaints)
    return tuple(
        Line(
            complaint=row,
            conclusion=row.conclusion,
            evidence=shown.get(row.conclusion_id, ()) if row.conclusion_id else (),
            parts=tuple(parts[row.pk]),
            hours=hours.get(row.pk, SoldHours()),
            clock=clocks.get(row.pk, Clocked()),
            asked=asked.get(row.pk),
        )
        for row in complaints
    )


def work_done(complaint: Complaint) -> tuple[str, ...]:
    """What is recorded as fitted and worked for a complaint: the beginning of its correction."""
    fitted = complaint.replacements.filter(state=Replacement.State.FITTED).select_related(
        "component"
    )
    replaced = (_("Replaced: %s.") % assembly_text(row) for row in fitted)
    labour = complaint.labour.filter(withdrawn=False).values_list("text", flat=True)
    return (*replaced, *labour)


def marks_of(order: RepairOrder) -> QuerySet[UnsafeMark]:
    return order.unsafe_marks.select_related("raised_by", "lifted_by")


def _parts(complaints: Sequence[Complaint]) -> dict[int, list[Replacement]]:
    grouped: dict[int, list[Replacement]] = defaultdict(list)
    rows = (
        Replacement.objects.filter(complaint__in=complaints)
        .exclude(state=Replacement.State.CANCELLED)
        .select_related("component")
        .order_by("pk")
    )
    for row in rows:
        grouped[row.complaint_id].append(row)
    return grouped
