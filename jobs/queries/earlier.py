"""What a vehicle came in for before, read before a new complaint is written. Never writes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from diagnostics.models import Session
from jobs.models import Complaint, RepairOrder
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.models import Act, Vehicle

FEW_OF_A_SYSTEM = 4


@dataclass(frozen=True, slots=True)
class Earlier:
    """One earlier complaint: what was said, what was found, what was done.

    `days` since the vehicle left, by the calendar, None while it is here. `may_be_comeback`: it was
    repaired and left within the workshop's window of days, so that the same system failing again
    would be a possible comeback; how far it was driven shows when its odometer is read.
    """

    number: str
    taken_in_at: datetime
    odometer: str
    words: str
    system: str
    system_id: int | None
    cause: str
    without_evidence: bool
    correction: str
    stage: str
    is_open: bool
    days: int | None
    may_be_comeback: bool


def earlier_complaints(actor: Actor, vehicle: Vehicle, *, few: int) -> tuple[Earlier, ...]:
    """The latest complaints of a vehicle, newest first. One query."""
    rows = (
        Complaint.objects.filter(order__workshop=actor.workshop, order__vehicle=vehicle)
        .exclude(order__stage=Stage.VOID)
        .select_related(
            "order__odometer_in",
            "system",
            "conclusion__component",
            "conclusion__failure_mode",
        )
        .order_by("-order__taken_in_at", "-order__serial", "line")
    )
    window = actor.workshop.comeback_days
    return tuple(_earlier(row, window) for row in rows[:few])


def on_system(every: Iterable[Earlier], system_id: str) -> tuple[Earlier, ...]:
    """Those about one system, by the id as a form sends it; none for an empty one."""
    same = (one for one in every if system_id and str(one.system_id) == system_id)
    return tuple(islice(same, FEW_OF_A_SYSTEM))


def order_of_act(actor: Actor, act: UUID) -> RepairOrder:
    """The order that a taking-in opened, when the same act is sent again.

    An act is claimed just before its order is opened, so it is the person's next one after it.
    """
    done = Act.objects.of(actor).get(act=act)
    order: RepairOrder = (
        RepairOrder.objects.of(actor)
        .filter(taken_in_by=done.by, taken_in_at__gte=done.at)
        .earliest("taken_in_at", "pk")
    )
    return order


def visits_of(actor: Actor, vehicle: Vehicle) -> QuerySet[RepairOrder]:
    """Every order of a vehicle, newest first, with complaints prefetched."""
    rows: QuerySet[RepairOrder] = (
        RepairOrder.objects.of(actor)
        .filter(vehicle=vehicle)
        .select_related("odometer_in")
        .prefetch_related("complaints__conclusion__component")
        .order_by("-taken_in_at", "-serial")
    )
    return rows


def checks_of(actor: Actor, vehicle: Vehicle) -> QuerySet[Session]:
    """Measuring without a repair order, newest first."""
    rows: QuerySet[Session] = Session.objects.of(actor)
    return rows.filter(vehicle=vehicle, order__isnull=True).select_related("opened_by")


def open_order_of(actor: Actor, vehicle: Vehicle) -> RepairOrder | None:
    """The order on which the vehicle is here now."""
    found: RepairOrder | None = (
        RepairOrder.objects.of(actor).filter(vehicle=vehicle, closed_at__isnull=True).first()
    )
    return found


def _earlier(row: Complaint, window: int) -> Earlier:
    order = row.order
    left = order.closed_at
    days = (clock.today() - timezone.localtime(left).date()).days if left else None
    repaired = order.stage == Stage.RELEASED and row.decision != Complaint.Decision.DECLINED
    return Earlier(
        number=order.number,
        taken_in_at=order.taken_in_at,
        odometer=str(order.odometer_in),
        words=row.words,
        system=str(row.system) if row.system else "",
        system_id=row.system_id,
        cause=str(row.conclusion) if row.conclusion else "",
        without_evidence=bool(row.conclusion and not row.conclusion.evidenced),
        correction=row.correction,
        stage=Stage(order.stage).words,
        is_open=left is None,
        days=days,
        may_be_comeback=repaired and days is not None and days <= window,
    )
