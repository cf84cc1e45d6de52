"""Returns as pages show them: what was done then, what brought it back, who decided what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.http import Http404, QueryDict
from django.utils import timezone

from jobs.clocked import next_month
from jobs.models import CauseClass, Comeback, Complaint, Repair, RepairOrder
from jobs.queries import returns_known
from jobs.queries.returns import OF_DIAGNOSIS, OF_PARTS, OF_WORK
from jobs.queries.returns_known import First
from jobs.stages import Stage
from shop import units
from shop.actor import Actor
from shop.models import User

NOT_DECIDED = "none"
DECIDED = "decided"
COUNTED = "counted"
NO_KIND = "none"  # of a repair for which no component was concluded
GROUPS: Final = {
    NOT_DECIDED: Q(then=""),
    DECIDED: ~Q(then=""),
    COUNTED: returns_known.COUNTED,
    "work": Q(then__in=OF_WORK),
    "diagnosis": Q(then__in=OF_DIAGNOSIS),
    "parts": Q(then__in=OF_PARTS),
}
"""Classes taken together: those that count, that may lie with who fitted, with who named the cause,
or with parts."""
_NEVER: Final = datetime(9000, 1, 1, tzinfo=UTC)
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

    `since`, `until`: those that came in from then on, and as they were known by the end of that
    day. `first`: of each repair the first alone that was proposed, or that counted, by then.
    `technician` fitted it, `diagnosed` named the cause.
    """

    cause: str = NOT_DECIDED
    kind: str = ""
    supplier: str = ""
    technician: int | None = None
    diagnosed: int | None = None
    month: date | None = None
    since: date | None = None
    until: date | None = None
    first: First | None = None

    @property
    def narrowed(self) -> bool:
        only = self.cause not in (NOT_DECIDED, DECIDED)
        person = self.technician or self.diagnosed
        return bool(only or self.kind or self.supplier or person or self.month or self.since)


def wanted(asked: QueryDict) -> Wanted:
    """As an address asks; 404 for what cannot be. Asked for nothing: those that wait."""
    narrowed = any(asked.get(name) for name in _NARROWING)
    cause = asked.get("cause", "" if narrowed else NOT_DECIDED)
    if cause and cause not in (*CauseClass.values, *GROUPS):
        raise Http404
    month, first = asked.get("month", ""), asked.get("first", "")
    if first not in ("", "proposed", "counted"):
        raise Http404
    return Wanted(
        cause,
        asked.get("kind", ""),
        asked.get("supplier", ""),
        _key(asked.get("technician", "")),
        _key(asked.get("diagnosed", "")),
        _day(f"{month}-01") if month else None,
        _day(asked.get("since", "")),
        _day(asked.get("until", "")),
        "proposed" if first == "proposed" else "counted" if first else None,
    )


_NARROWING: Final = ("kind", "supplier", "technician", "diagnosed", "month", "since")


def _key(typed: str) -> int | None:
    if not typed:
        return None
    if not (typed.isdecimal() and len(typed) < 10):
        raise Http404
    return int(typed)


def _day(typed: str) -> date | None:
    if not typed:
        return None
    try:
        day = date.fromisoformat(typed)
    except ValueError as error:
        raise Http404 from error
    if not 1900 <= day.year < 2200:
        raise Http404
    return day


def returns(actor: Actor, of: Wanted) -> QuerySet[Comeback]:
    """Those that came in last first, each with both jobs. One query."""
    end = returns_known.end_of(of.until) if of.until else _NEVER
    rows = returns_known.known(Comeback.objects.of(actor), end)
    narrow: dict[str, Any] = {
        "repair__component__key": (of.kind if of.kind != NO_KIND else "") or None,
        "repair__component__isnull": True if of.kind == NO_KIND else None,
        "repair__supplier": of.supplier or None,
        "repair__technician": of.technician,
        "repair__complaint__conclusion__by": of.diagnosed,
        "complaint__order__taken_in_at__gte": of.since and returns_known.start_of(of.since),
    }
    rows = rows.filter(**{name: one for name, one in narrow.items() if one is not None})
    if of.cause:
        rows = rows.filter(GROUPS.get(of.cause, Q(then=of.cause)))
    if of.first is not None:
        rows = returns_known.first_alone(rows, end, of.first)
    if of.month is not None:
        rows = rows.filter(
            complaint__order__taken_in_at__gte=returns_known.start_of(of.month),
            complaint__order__taken_in_at__lt=returns_known.start_of(next_month(of.month)),
        )
    return rows.select_related(*_BOTH_JOBS).order_by("-complaint__order__taken_in_at", "-pk")


def waiting(actor: Actor) -> int:
    """How many wait for a decision. One query."""
    return _standing(actor).filter(cause="").count()


def _standing(actor: Actor) -> QuerySet[Comeback]:
    """A job that is void is nobody's return, whatever was decided before."""
    rows: QuerySet[Comeback] = Comeback.objects.of(actor)
    return rows.exclude(complaint__order__stage=Stage.VOID)


def kinds(actor: Actor, names: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Key and name of each kind of component that came back, by name. One query.

    `names`: of kinds as the reports name them, where platforms call a component unlike; a kind
    without one there has the shortest name that came back.
    """
    rows = (
        _standing(actor)
        .exclude(repair__component=None)
        .order_by()
        .values_list("repair__component__key", "repair__component__name")
    )
    longest_first = sorted(rows.distinct(), key=lambda row: (-len(row[1]), row[1]))
    called = {key: names.get(key, name) for key, name in longest_first}
    return tuple(sorted(called.items(), key=lambda kind: (kind[1].casefold(), kind[0])))


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
    person = of.technician or of.diagnosed
    if person is None:
        return of.supplier
    user = User.objects.filter(pk=person).first()
    return user.display_name if user else ""
