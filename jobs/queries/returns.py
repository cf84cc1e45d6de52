"""What may be the return of an earlier repair, by the rule, for one vehicle or for many.

The number of queries does not grow with the vehicles.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from django.db.models import QuerySet
from django.utils import timezone

from jobs.comeback_rule import Because, Done, Return, proposed
from jobs.models import CauseClass, Comeback, Complaint, Repair
from jobs.stages import Stage
from shop.models import Vehicle, Workshop

METRES = 1000
OF_WORK: Final = frozenset({"", CauseClass.WORKMANSHIP})
"""Classes that may lie with who fitted the part; what is not decided among them."""
OF_DIAGNOSIS: Final = frozenset({"", CauseClass.WRONG_DIAGNOSIS, CauseClass.NOT_FOUND})
"""Those that may lie with who named the cause."""
OF_PARTS: Final = frozenset({"", CauseClass.PART})


@dataclass(frozen=True, slots=True)
class Proposed:
    """A complaint by its key, and the repair that it may be the return of."""

    complaint: int
    workshop: int
    repair: int
    because: Because
    days: int
    metres: int | None


def by_the_rule(vehicles: QuerySet[Vehicle], workshop: Workshop) -> dict[int, Proposed]:
    """By complaint what the rule proposes, whatever was decided. Three queries."""
    keys = list(vehicles.order_by("pk").values_list("pk", flat=True))
    done = _done(keys)
    found: dict[int, Proposed] = {}
    for one in _came(keys):
        back = _return(one)
        earlier = [repair for order, repair in done[one.order.vehicle_id] if order < one.order_id]
        said = proposed(
            back, earlier, days=workshop.comeback_days, metres=workshop.comeback_km * METRES
        )
        if said is not None:
            found[one.pk] = Proposed(
                one.pk, one.order.workshop_id, said.pk, said.because, said.days, said.metres
            )
    return found


def kept(vehicles: QuerySet[Vehicle]) -> list[Comeback]:
    """The rows as they stand."""
    return list(Comeback.objects.filter(complaint__order__vehicle__in=vehicles))


def _came(vehicles: Collection[int]) -> list[Complaint]:
    """What customers came for; not what they declined before and now take up."""
    rows = (
        Complaint.objects.filter(order__vehicle__in=vehicles, again__isnull=True)
        .exclude(order__stage=Stage.VOID)
        .select_related("order__odometer_in", "conclusion__component")
    )
    return list(rows.order_by("pk"))


def _return(one: Complaint) -> Return:
    component = one.conclusion.component if one.conclusion else None
    return Return(
        day=timezone.localtime(one.order.taken_in_at).date().toordinal(),
        at_m=one.order.odometer_in.distance_m,
        component=component.pk if component else None,
        system=component.system_id if component else one.system_id,
    )


def _done(vehicles: Collection[int]) -> dict[int, list[tuple[int, Done]]]:
    """By vehicle its repairs, each with the key of its order: a later order may be its return."""
    found: dict[int, list[tuple[int, Done]]] = defaultdict(list)
    rows = Repair.objects.filter(vehicle__in=vehicles).order_by("pk")
    for vehicle, order, *of in rows.values_list(
        "vehicle",
        "complaint__order",
        "pk",
        "handed_day",
        "handed_m",
        "component",
        "system",
        "complaint__system",
    ):
        found[vehicle].append((order, Done(*of)))
    return found
