"""Returns as pages show them: what was done then, what brought it back, who decided what."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.http import Http404, QueryDict
from django.utils import timezone

from jobs.clocked import next_month
from jobs.models import CauseClass, Comeback, Complaint, Repair, RepairOrder
from jobs.queries.repairs import COUNTS
from jobs.queries.returns import OF_PARTS, OF_PEOPLE
from jobs.stages import Stage
from shop import units
from shop.actor import Actor
from shop.models import User

NOT_DECIDED = "none"
DECIDED = "decided"
COUNTED = "counted"
GROUPS: Final = {
    NOT_DECIDED: Q(cause=""),
    DECIDED: ~Q(cause=""),
    COUNTED: COUNTS,
    "people": Q(cause__in=OF_PEOPLE),
    "parts": Q(cause__in=OF_PARTS),
}
"""Classes taken together: those that count, those that may lie with people, or with parts."""
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
    """What a list is narrowed to. `cause`: a class, one of `GROUPS`, or "" for all.

    `until`: those that had come in by the end of that day.
    """

    cause: str = NOT_DECIDED
    kind: str = ""
    supplier: str = ""
    technician: int | None = None
    month: date | None = None
    until: date | None = None

    @property
    def narrowed(self) -> bool:
        only = self.cause not in (NOT_DECIDED, DECIDED)
        return bool(only or self.kind or self.supplier or self.technician or self.month)


def wanted(asked: QueryDict) -> Wanted:
    """As an address asks; 404 for what cannot be. Asked for nothing: those that wait."""
    technician = asked.get("technician", "")
    narrowed = any(asked.get(name) for name in ("kind", "supplier", "technician", "month"))
    cause = asked.get("cause", "" if narrowed else NOT_DECIDED)
    if cause and cause not in (*CauseClass.values, *GROUPS):
        raise Http404
    if technician and not (technician.isdecimal() and len(technician) < 10):
        raise Http404
    month, until = asked.get("month", ""), asked.get("until", "")
    return Wanted(
        cause,
        asked.get("kind", ""),
        asked.get("supplier", ""),
        int(technician) if technician else None,
        _day(f"{month}-01") if month else None,
        _day(until) if until else None,
    )


def _day(typed: str) -> date:
    try:
        day = date.fromisoformat(typed)
    except ValueError as error:
        raise Http404 from error
    if not 1900 <= day.year < 2200:
        raise Http404
    return day


def returns(actor: Actor, of: Wanted) -> QuerySet[Comeback]:
    """The latest first, each with both jobs. One query."""
    rows = _standing(actor)
    narrow: dict[str, Any] = {
        "repair__component__key": of.kind or None,
        "repair__supplier": of.supplier or None,
        "repair__technician": of.technician,
    }
    rows = rows.filter(**{name: one for name, one in narrow.items() if one is not None})
    if of.cause:
        rows = rows.filter(GROUPS.get(of.cause, Q(cause=of.cause)))
    if of.until is not None:
        rows = rows.filter(complaint__order__taken_in_at__lt=_start(of.until + timedelta(days=1)))
    if of.month is not None:
        rows = rows.filter(
            complaint__order__taken_in_at__gte=_start(of.month),
            complaint__order__taken_in_at__lt=_start(next_month(of.month)),
        )
    return rows.select_related(*_BOTH_JOBS).order_by("-proposed_at", "-pk")


def waiting(actor: Actor) -> int:
    """How many wait for a decision. One query."""
    return _standing(actor).filter(cause="").count()


def _standing(actor: Actor) -> QuerySet[Comeback]:
    """A job that is void is nobody's return, whatever was decided before."""
    rows: QuerySet[Comeback] = Comeback.objects.of(actor)
    return rows.exclude(complaint__order__stage=Stage.VOID)


def kinds(actor: Actor) -> tuple[tuple[str, str], ...]:
    """Key and name of each kind of component that came back, by name. One query."""
    rows = (
        _standing(actor)
        .exclude(repair__component=None)
        .order_by()
        .values_list("repair__component__key", "repair__component__name")
    )
    return tuple(sorted(dict(rows.distinct()).items(), key=lambda kind: kind[1].casefold()))


def get_return(actor: Actor, pk: int) -> Comeback:
    """One return with both jobs; 404 for another workshop's, or one that was taken back."""
    rows: QuerySet[Comeback] = Comeback.objects.of(actor)
    found = rows.select_related(*_BOTH_JOBS).filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def of_order(actor: Actor, order: RepairOrder) -> list[tuple[Comeback, str]]:
    """The returns that the complaints of a job may be, with how far it was driven. One query."""
    rows = Comeback.objects.filter(complaint__order=order).order_by("complaint__line")
    rows = rows.select_related("complaint", "repair__complaint__order", "repair__component")
    return [(row, driven(row, actor.workshop.distance_unit)) for row in rows]


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
