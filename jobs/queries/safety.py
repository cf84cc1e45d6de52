"""Which complaints of a job may speak of a safety defect, and the facts for it. Never writes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, time

from django.db.models import Count
from django.utils import timezone

from diagnostics import words
from diagnostics.models import Component
from diagnostics.queries.evidence import evidence_of
from jobs.models import Complaint, RepairOrder, Terms
from jobs.queries.stub import distance_words
from jobs.queries.terms import terms_of
from jobs.safety_report import LikeFailures, Report, reasons, year_before
from jobs.stages import Stage
from shop import clock
from shop.models import Workshop


@dataclass(frozen=True, slots=True)
class Offer:
    """A complaint for which the text is offered, and why beside what its vehicle's mark says."""

    line: int
    words: str
    cause: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offers:
    """Those of a job; `reasons` hold for every one of them. Falsy when nothing is offered."""

    reasons: tuple[str, ...] = ()
    lines: tuple[Offer, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.lines)


def offers_of(order: RepairOrder) -> Offers:
    """Every complaint with a fault when the vehicle was marked not to be driven, else those whose
    component failed again and again. At most four queries, however many complaints there are."""
    complaints = [
        row
        for row in order.complaints.select_related(
            "conclusion__component__platform", "conclusion__failure_mode"
        ).order_by("line")
        if not (row.conclusion and row.conclusion.no_fault_found)
    ]
    marked = reasons(None, least=0, not_to_be_driven=_marks(order))
    like = _like(order.workshop, [one for row in complaints if (one := _component(row))])
    if not (marked or like):
        return Offers()
    least = terms_of(order.workshop).safety_failures
    offered = tuple(_offer(row, like, least) for row in complaints)
    return Offers(marked, tuple(one for one in offered if marked or one.reasons))


def _offer(row: Complaint, like: Mapping[int, LikeFailures], least: int) -> Offer:
    component = _component(row)
    failures = like.get(component.pk) if component else None
    said = reasons(failures, least=least, not_to_be_driven=())
    return Offer(row.line, row.words, _cause(row), said)


def report_of(complaint: Complaint, *, with_vin: bool, with_customer: bool) -> Report:
    """What the text of one complaint is made of; persons and VIN only when asked for."""
    order, conclusion = complaint.order, complaint.conclusion
    vehicle, workshop, component = order.vehicle, order.workshop, _component(complaint)
    shown = evidence_of([conclusion]).get(conclusion.pk, ()) if conclusion else ()
    reached = (workshop.address, workshop.phone)
    customer = (order.customer.name, order.customer.phone, order.customer.email)
    return Report(
        office=terms_of(workshop).safety_office,
        workshop=workshop.name,
        workshop_reached="\n".join(one for one in reached if one),
        model=str(vehicle.platform or "make and model not noted"),
        model_year=vehicle.model_year,
        in_service_on=vehicle.in_service_on,
        came_in_on=timezone.localtime(order.taken_in_at).date(),
        distance=distance_words(order.odometer_in),
        complaint=complaint.words,
        cause=_cause(complaint),
        shown_by=tuple(
            f"{one.words} (allowed {one.allowed})" if one.allowed else one.words for one in shown
        ),
        not_to_be_driven=_marks(order),
        correction=complaint.correction,
        like=_like(workshop, [component]).get(component.pk) if component else None,
        vin=vehicle.vin if with_vin else "",
        customer=", ".join(one for one in customer if one) if with_customer else "",
    )


def why_offered(report: Report, terms: Terms) -> tuple[str, ...]:
    """Why the text is offered for this complaint; none when nothing asks for it. No query."""
    return reasons(
        report.like, least=terms.safety_failures, not_to_be_driven=report.not_to_be_driven
    )


def _like(workshop: Workshop, components: Iterable[Component]) -> dict[int, LikeFailures]:
    """How often each failed within twelve months, by the conclusions that stand. One query."""
    asked = {component.pk: component for component in components}
    if not asked:
        return {}
    since = timezone.make_aware(datetime.combine(year_before(clock.today()), time.min))
    rows = (
        Complaint.objects.filter(
            order__workshop=workshop,
            conclusion__component__in=asked,
            conclusion__at__gte=since,
        )
        .exclude(order__stage=Stage.VOID)
        .values("conclusion__component")
        .annotate(times=Count("pk"), vehicles=Count("order__vehicle", distinct=True))
        .order_by("conclusion__component")
    )
    return {
        row["conclusion__component"]: LikeFailures(
            str(asked[row["conclusion__component"]]),
            str(asked[row["conclusion__component"]].platform),
            row["times"],
            row["vehicles"],
        )
        for row in rows
    }


def _component(row: Complaint) -> Component | None:
    return row.conclusion.component if row.conclusion else None


def _cause(row: Complaint) -> str:
    return words.conclusion(row.conclusion) if row.conclusion else ""


def _marks(order: RepairOrder) -> tuple[str, ...]:
    """Why it was marked not to be driven, lifted since or not, each reason once."""
    rows = order.unsafe_marks.order_by("pk").values_list("because", flat=True)
    return tuple(dict.fromkeys(rows))
