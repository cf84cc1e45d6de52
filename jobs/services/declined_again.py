"""What was declined at an earlier visit, put onto a new job with one touch."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.db.models import Max

from jobs.models import Complaint, Payer, RepairOrder
from jobs.queries.declined import declined_before
from jobs.services.complaints import BEFORE_REPAIR
from jobs.stages import Stage
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import format_amount
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def take_up(actor: Actor, *, act: UUID, order: RepairOrder, declined: Complaint) -> Complaint:
    """The declined complaint's words as a new one of `order`, which remembers where it is from.

    Raises Refusal for another vehicle's complaint, for one that was not declined or is taken up
    already, and once the work on the order has begun.
    """
    acts.claim(actor, act, "take up declined", about=declined)
    must(actor, Permit.TAKE_IN)
    order = (
        RepairOrder.objects.select_for_update(of=("self",))
        .select_related("vehicle")
        .get(pk=order.pk)
    )
    stage = Stage(order.stage)
    if stage not in BEFORE_REPAIR:
        raise Refusal(
            f"The job is {stage.words} now. Send it back to diagnosis to add a complaint."
        )
    found = {one.complaint: one for one in declined_before(actor, order.vehicle, order)}
    before = found.get(declined.pk)
    if before is None:
        raise Refusal("That was not declined for this vehicle, or it is taken up already.")
    last = order.complaints.aggregate(last=Max("line"))["last"] or 0
    complaint: Complaint = Complaint.objects.create(
        order=order,
        line=last + 1,
        words=declined.words,
        system=declined.system,
        payer=Payer.CUSTOMER,
        again=declined,
    )
    amount = format_amount(before.amount, actor.workshop.currency)
    log.write(
        actor,
        kind="complaint",
        subject_kind="order",
        subject_id=order.pk,
        words=(
            f"took up complaint {complaint.line}: “{declined.words}”, declined on "
            f"{before.number} at {amount} before tax"
        ),
    )
    return complaint
