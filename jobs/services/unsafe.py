"""The not-to-be-driven mark: raised by the lamps or by hand, lifted only by the manager."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.db.models import F, QuerySet

from jobs.models import RepairOrder, UnsafeMark
from jobs.stages import CLOSED, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def mark(actor: Actor, order: RepairOrder, *, act: UUID, because: str) -> None:
    """Raise the mark by hand, with the reason that everybody will read."""
    acts.claim(actor, act, "unsafe mark", about=order)
    because = because.strip()
    if not because:
        raise Refusal(
            "Say why the vehicle must not be driven; everybody who opens the job reads it.",
            field="because",
        )
    _refuse_when_closed(order)
    _raise(actor, order, because)
    for other in open_orders(actor, order.vehicle_id).exclude(pk=order.pk):
        _raise_once(actor, other, because)


def mark_by_lamps(actor: Actor, vehicle_id: int, because: str) -> None:
    """Raise the mark inside the transaction of the lamp check. The same words stand only once.

    On every open job of the vehicle: whichever of them is released, the vehicle leaves.
    """
    for order in open_orders(actor, vehicle_id):
        _raise_once(actor, order, because)


def carry_over(actor: Actor, order: RepairOrder) -> None:
    """A new job takes over what stands on the vehicle's other open jobs, and on the last closed.

    A vehicle that was carried away unrepaired comes back with its mark; once the next job has
    lifted that, the older one says nothing more.
    """
    closed = RepairOrder.objects.of(actor).filter(vehicle=order.vehicle_id, closed_at__isnull=False)
    last = closed.exclude(stage=Stage.VOID).order_by("-closed_at").values_list("pk", flat=True)[:1]
    opened = open_orders(actor, order.vehicle_id).exclude(pk=order.pk)
    others = [*opened.values_list("pk", flat=True), *last]
    standing = UnsafeMark.objects.filter(order__in=others, lifted_at__isnull=True)
    for because in dict.fromkeys(standing.order_by("pk").values_list("because", flat=True)):
        _raise_once(actor, order, because)


def open_orders(actor: Actor, vehicle_id: int) -> QuerySet[RepairOrder]:
    rows: QuerySet[RepairOrder] = RepairOrder.objects.of(actor).filter(vehicle=vehicle_id)
    return rows.filter(closed_at__isnull=True).order_by("pk")


@transaction.atomic
def lift(actor: Actor, order: RepairOrder, *, act: UUID, reason: str) -> None:
    """Lift every standing mark. The reason prints on the repair order."""
    acts.claim(actor, act, "unsafe lifted", about=order)
    must(actor, Permit.LIFT_UNSAFE)
    reason = reason.strip()
    if not reason:
        raise Refusal(
            "Say why the vehicle may be driven again; the reason prints on the repair order.",
            field="reason",
        )
    _refuse_when_closed(order)
    now = clock.now()
    lifted = order.unsafe_marks.filter(lifted_at__isnull=True).update(
        lifted_at=now, lifted_by=actor.user, lifted_because=reason
    )
    if not lifted:
        raise Refusal("No not-to-be-driven mark stands on this job; somebody has lifted it.")
    _set(order, unsafe=False)
    log.write(
        actor,
        kind="unsafe",
        subject_kind="order",
        subject_id=order.pk,
        words="lifted the not-to-be-driven mark",
        reason=reason,
        at=now,
    )


def _raise_once(actor: Actor, order: RepairOrder, because: str) -> None:
    if not order.unsafe_marks.filter(lifted_at__isnull=True, because=because).exists():
        _raise(actor, order, because)


def _raise(actor: Actor, order: RepairOrder, because: str) -> None:
    now = clock.now()
    UnsafeMark.objects.create(order=order, raised_at=now, raised_by=actor.user, because=because)
    _set(order, unsafe=True)
    log.write(
        actor,
        kind="unsafe",
        subject_kind="order",
        subject_id=order.pk,
        words="marked the vehicle not to be driven",
        reason=because,
        at=now,
    )


def _set(order: RepairOrder, *, unsafe: bool) -> None:
    """The revision goes on, so that a release decided before the mark does not go through."""
    RepairOrder.objects.filter(pk=order.pk).update(unsafe=unsafe, revision=F("revision") + 1)
    order.refresh_from_db(fields=["unsafe", "revision"])


def _refuse_when_closed(order: RepairOrder) -> None:
    if Stage(order.stage) in CLOSED:
        raise Refusal(f"This order is {Stage(order.stage).words}; its marks no longer change.")
