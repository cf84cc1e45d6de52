"""The vehicle goes back on the road: proved, or by the manager's word, never marked unsafe."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from jobs.models import RepairOrder
from jobs.services import moves
from jobs.stages import Move
from shop.actor import Actor
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def release(
    actor: Actor, order: RepairOrder, *, act: UUID, revision: int, override: str = ""
) -> None:
    """Release the vehicle and close the order.

    Refuses with the sentences of what is not proved yet; `override` is the manager's reason for
    releasing all the same, and prints with what was missing. The not-to-be-driven mark is not
    overridden: it has to be lifted first.
    """
    acts.claim(actor, act, "release", about=order)
    must(actor, Permit.RELEASE)
    if override.strip():
        must(actor, Permit.OVERRIDE_RELEASE)
    moves.make(actor, order, Move.RELEASE, revision=revision, override=override)
    if order.override_missing:
        log.write(
            actor,
            kind="override",
            subject_kind="order",
            subject_id=order.pk,
            words=f"released the vehicle without full proof: {order.override_missing}",
            reason=order.override_reason,
        )


@transaction.atomic
def leave_unrepaired(
    actor: Actor, order: RepairOrder, *, act: UUID, revision: int, reason: str
) -> None:
    """The customer declined and takes the vehicle away; what they were told prints.

    With a not-to-be-driven mark standing it is carried away: the mark stays on the order and
    on paper, and the next order of the vehicle takes it over.
    """
    acts.claim(actor, act, "leave unrepaired", about=order)
    must(actor, Permit.RELEASE)
    moves.make(actor, order, Move.LEAVE_UNREPAIRED, revision=revision, reason=reason)
