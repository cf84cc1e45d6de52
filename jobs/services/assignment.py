"""Who works on a job, in which bay, and for when it is promised."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import F
from django.utils.timezone import localtime

from jobs.models import RepairOrder
from jobs.stages import CLOSED, Stage
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Bay, Membership, User
from shop.roles import Permit, Role
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def assign(
    actor: Actor,
    order: RepairOrder,
    *,
    act: UUID,
    revision: int,
    technician: User | None,
    bay: Bay | None,
    promised_at: datetime | None,
) -> None:
    """Set all three at once; what changed is one line of the story.

    Raises Clash when somebody changed the job since `revision`.
    """
    acts.claim(actor, act, "assign", about=order)
    must(actor, Permit.ASSIGN)
    if Stage(order.stage) in CLOSED:
        raise Refusal(f"This order is {Stage(order.stage).words}; nobody is given it any more.")
    _check(actor, technician, bay)
    said = _changes(order, technician, bay, promised_at)
    if not said:
        return
    changed = RepairOrder.objects.filter(pk=order.pk, revision=revision).update(
        revision=F("revision") + 1, technician=technician, bay=bay, promised_at=promised_at
    )
    if not changed:
        raise Clash("Somebody changed this job meanwhile. The page now shows where it stands.")
    log.write(
        actor, kind="assigned", subject_kind="order", subject_id=order.pk, words="; ".join(said)
    )
    order.refresh_from_db()


def _check(actor: Actor, technician: User | None, bay: Bay | None) -> None:
    if (
        technician
        and not Membership.objects.filter(
            workshop=actor.workshop, user=technician, role=Role.TECHNICIAN
        ).exists()
    ):
        raise Refusal(
            f"{technician} is not a technician of this workshop. Choose one from the list.",
            field="technician",
        )
    if bay and (bay.workshop_id != actor.workshop.pk or not bay.in_use):
        raise Refusal(f"{bay} is not in use here. Choose a bay from the list.", field="bay")


def _changes(
    order: RepairOrder, technician: User | None, bay: Bay | None, promised_at: datetime | None
) -> list[str]:
    said = []
    if technician != order.technician:
        said.append(f"gave the job to {technician}" if technician else "took the job back")
    if bay != order.bay:
        said.append(f"put it in {bay}" if bay else "took it out of its bay")
    if promised_at != order.promised_at:
        at = localtime(promised_at) if promised_at else None
        said.append(
            f"promised it for {at.day} {at:%b} at {at:%H:%M}" if at else "took the promise back"
        )
    return said
