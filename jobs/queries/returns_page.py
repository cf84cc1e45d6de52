"""Returns as pages show them: what was done then, what brought it back, who decided what."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django.db.models import QuerySet
from django.http import Http404, QueryDict
from django.utils import timezone

from jobs.clocked import next_month
from jobs.models import CauseClass, Comeback, Complaint, Repair, RepairOrder
from shop import units
from shop.actor import Actor
from shop.models import User

NOT_DECIDED = "none"
DECIDED = "decided"
_BOTH_JOBS = (
    "complaint__order__vehicle__platform",
    "complaint__order__workshop",
    "complaint__order__technician",
    "complaint__conclusion__component",
    "complaint__conclusion__failure_mode",
    "repair__complaint__order",
    "repair__complaint__conclusion__component",
    "repair__complaint__conclusion__failure_mode",
    "repair__component",
    "repair__technician",
    "decided_by",
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a list is narrowed to. `cause`: a class, "none" for what is not decided, "decided"."""

    cause: str = NOT_DECIDED
    kind: str = ""
    supplier: str = ""
    technician: int | None = None
    month: date | None = None

    @property
    def narrowed(self) -> bool:
        return bool(self.kind or self.supplier or self.technician or self.month)


def wanted(asked: QueryDict) -> Wanted:
    """As an address asks; 404 for what cannot be. Asked for nothing: those that wait."""
    technician, month = asked.get("technician", ""), asked.get("month", "")
    narrowed = any(asked.get(name) for name in ("kind", "supplier", "technician", "month"))
    cause = asked.get("cause", "" if narrowed else NOT_DECIDED)
    if cause and cause not in (*CauseClass.values, NOT_DECIDED, DECIDED):
        raise Http404
    if technician and not (technician.isdecimal() and len(technician) < 10):
        raise Http404
    try:
        first = date.fromisoformat(f"{month}-01") if month else None
    except ValueError as error:
        raise Http404 from error
    if first is not None and not 1900 <= first.year < 2200:
        raise Http404
    who = int(technician) if technician else None
    return Wanted(cause, asked.get("kind", ""), asked.get("supplier", ""), who, first)


def returns(actor: Actor, of: Wanted) -> QuerySet[Comeback]:
    """The latest first, each with both jobs. One query."""
    rows: QuerySet[Comeback] = Comeback.objects.of(actor)
    narrow: dict[str, Any] = {
        "repair__component__key": of.kind or None,
        "repair__supplier": of.supplier or None,
        "repair__technician": of.technician,
    }
    rows = rows.filter(**{name: one for name, one in narrow.items() if one is not None})
    if of.cause == DECIDED:
        rows = rows.exclude(cause="")
    elif of.cause:
        rows = rows.filter(cause="" if of.cause == NOT_DECIDED else of.cause)
    if of.month is not None:
        rows = rows.filter(
            complaint__order__taken_in_at__gte=_start(of.month),
            complaint__order__taken_in_at__lt=_start(next_month(of.month)),
        )
    return rows.select_related(*_BOTH_JOBS).order_by("-proposed_at", "-pk")


def waiting(actor: Actor) -> int:
    """How many wait for a decision. One query."""
    rows: QuerySet[Comeback] = Comeback.objects.of(actor)
    return rows.filter(cause="").count()


def get_return(actor: Actor, pk: int) -> Comeback:
    """One return with both jobs; 404 for another workshop's, or one that was taken back."""
    rows: QuerySet[Comeback] = Comeback.objects.of(actor)
    found = rows.select_related(*_BOTH_JOBS).filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def of_order(order: RepairOrder) -> QuerySet[Comeback]:
    """The returns that the complaints of a job may be. One query."""
    rows = Comeback.objects.filter(complaint__order=order)
    return rows.select_related("complaint", "repair__complaint__order", "repair__component")


def earlier_repairs(complaint: Complaint) -> QuerySet[Repair]:
    """The repairs of the vehicle that were handed over before this job came in, latest first."""
    came = timezone.localtime(complaint.order.taken_in_at).date().toordinal()
    return (
        Repair.objects.filter(vehicle=complaint.order.vehicle_id, handed_day__lte=came)
        .exclude(complaint__order=complaint.order_id)
        .select_related("complaint__order", "component")
        .order_by("-handed_day", "-pk")
    )


def driven(row: Comeback, unit: str) -> str:
    """How far it was driven between, in the workshop's unit; "" where that is not known."""
    if row.metres is None:
        return ""
    return units.with_unit(units.format_number(units.from_si(row.metres, unit), decimals=0), unit)


def title_of(actor: Actor, of: Wanted) -> str:
    """Whose returns the list shows, by name."""
    if of.technician is None:
        return of.supplier
    user = User.objects.filter(pk=of.technician).first()
    return user.display_name if user else ""


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
