"""What was repaired and handed over, with what followed, as rows of Repair should say it.

The number of queries does not grow with the vehicles.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet
from django.utils import timezone

from jobs.lives.odometer import Odometer, read
from jobs.lives.rows import Sight
from jobs.models import CauseClass, Comeback, Complaint, Repair, Replacement
from jobs.queries.lives import sights_of
from jobs.stages import Stage
from shop.models import Vehicle

COUNTS = Q(cause="") | ~Q(cause__in=(CauseClass.NOT_OURS, CauseClass.UNRELATED))
"""Of comebacks: those that count. The undecided do, so that not deciding flatters nobody."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """What was fitted last for a complaint, its own component before another."""

    technician: int | None
    supplier: str
    batch: str


def due(vehicles: QuerySet[Vehicle]) -> tuple[list[Repair], list[Repair]]:
    """The rows of these vehicles as they should be, and as they are. Five queries."""
    keys = list(vehicles.order_by("pk").values_list("pk", flat=True))
    complaints = list(
        Complaint.objects.filter(order__vehicle__in=keys, order__stage=Stage.RELEASED)
        .exclude(decision=Complaint.Decision.DECLINED)
        .select_related("order", "conclusion__component")
        .order_by("pk")
    )
    sights, fitted, back = sights_of(keys), _fitted(complaints), _back(keys)
    rows = [
        _repair(one, sights[one.order.vehicle_id], fitted.get(one.pk), back) for one in complaints
    ]
    return rows, list(Repair.objects.filter(vehicle__in=keys))


def _repair(
    one: Complaint, sights: list[Sight], fitted: Fitted | None, back: dict[int, list[int]]
) -> Repair:
    order, conclusion = one.order, one.conclusion
    component = conclusion.component if conclusion else None
    assert order.closed_at is not None  # a released order is closed
    handed = _day(order.closed_at)
    odometer = read(sights)
    returns = [day for day in back.get(one.pk, ()) if day >= handed]
    return Repair(
        complaint_id=one.pk,
        workshop_id=order.workshop_id,
        vehicle_id=order.vehicle_id,
        system_id=component.system_id if component else one.system_id,
        component=component,
        technician_id=(fitted.technician if fitted else None) or order.technician_id,
        supplier=fitted.supplier if fitted else "",
        batch=fitted.batch if fitted else "",
        no_fault_found=bool(conclusion and conclusion.no_fault_found),
        handed_day=handed,
        handed_m=_handed_m(odometer, handed),
        seen_day=max((sight.day for sight in sights if sight.day >= handed), default=handed),
        back_day=min(returns, default=None),
    )


def _handed_m(odometer: Odometer, day: int) -> int | None:
    spot = odometer.by(day)
    return spot.at_m if spot else None


def _fitted(complaints: Iterable[Complaint]) -> dict[int, Fitted]:
    concluded = {
        one.pk: one.conclusion.component_id if one.conclusion else None for one in complaints
    }
    rows = Replacement.objects.filter(
        complaint__in=concluded, state=Replacement.State.FITTED
    ).order_by("fitted_at", "pk")
    found: dict[int, tuple[bool, Fitted]] = {}
    for complaint, component, by, supplier, batch in rows.values_list(
        "complaint", "component", "fitted_by", "unit_on__supplier", "unit_on__batch"
    ):
        own = component == concluded[complaint]
        if own or not found.get(complaint, (False, None))[0]:
            found[complaint] = (own, Fitted(by, supplier or "", batch or ""))
    return {complaint: fitted for complaint, (_own, fitted) in found.items()}


def _back(vehicles: Collection[int]) -> dict[int, list[int]]:
    """By repair the days of the returns that count."""
    found: dict[int, list[int]] = defaultdict(list)
    rows = Comeback.objects.filter(COUNTS, repair__vehicle__in=vehicles).exclude(
        complaint__order__stage=Stage.VOID
    )
    for repair, at in rows.values_list("repair", "complaint__order__taken_in_at"):
        found[repair].append(_day(at))
    return found


def _day(at: datetime) -> int:
    return timezone.localtime(at).date().toordinal()
