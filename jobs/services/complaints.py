"""Complaint lines: the customer's words, and what was done about them."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.db.models import Max

from diagnostics.models import ChassisSystem
from jobs.models import Complaint, Payer, RepairOrder
from jobs.services import comebacks
from jobs.stages import CLOSED, Stage
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

BEFORE_REPAIR = frozenset({Stage.RECEIVED, Stage.DIAGNOSING})


@transaction.atomic
def add(
    actor: Actor,
    order: RepairOrder,
    *,
    act: UUID,
    words: str,
    system: ChassisSystem | None = None,
    payer: str = Payer.CUSTOMER,
) -> Complaint:
    """Write down one more complaint. Once the estimate is out, go back to diagnosis first."""
    acts.claim(actor, act, "complaint", about=order)
    must(actor, Permit.TAKE_IN)
    words = words.strip()
    if not words:
        raise Refusal("Write the complaint in the customer's own words.", field="words")
    locked = RepairOrder.objects.select_for_update().get(pk=order.pk)
    stage = Stage(locked.stage)
    if stage not in BEFORE_REPAIR:
        raise Refusal(
            f"The job is {stage.words} now. Send it back to diagnosis to add a complaint, "
            "or take the vehicle in again."
        )
    last = locked.complaints.aggregate(last=Max("line"))["last"] or 0
    complaint = Complaint.objects.create(
        order=order, line=last + 1, words=words, system=system, payer=payer
    )
    comebacks.propose(order.vehicle)
    _log(actor, order, "complaint", f"wrote down complaint {complaint.line}: “{words}”")
    return complaint


@transaction.atomic
def correct(actor: Actor, complaint: Complaint, *, act: UUID, text: str) -> None:
    """Write what was done about a complaint; writing again replaces it, the story keeps both."""
    acts.claim(actor, act, "correction", about=complaint)
    must(actor, Permit.CONCLUDE)
    order = complaint.order
    if Stage(order.stage) in CLOSED:
        raise Refusal(f"This order is {Stage(order.stage).words}; its text no longer changes.")
    text = text.strip()
    if not text:
        raise Refusal(
            "Write what was done, in a few words: what was replaced, repaired or found in order.",
            field="text",
        )
    if text == complaint.correction:
        return
    complaint.correction = text
    complaint.save(update_fields=["correction"])
    _log(actor, order, "correction", f"wrote the correction of complaint {complaint.line}: {text}")


def _log(actor: Actor, order: RepairOrder, kind: str, words: str) -> None:
    log.write(actor, kind=kind, subject_kind="order", subject_id=order.pk, words=words)
