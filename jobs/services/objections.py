"""Why a payer might refuse: put down by a person, taken back with a reason, never erased."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from jobs.models import Complaint, Objection
from jobs.services.coverage import GONE
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def object_to(
    actor: Actor, *, act: UUID, complaint: Complaint, reason: str, words: str, shown: str = ""
) -> Objection:
    """Put down what speaks against a payer; it counts once `shown` tells what proves the cause."""
    acts.claim(actor, act, "objection", about=complaint)
    must(actor, Permit.DECIDE_COVERAGE)
    stage = Stage(complaint.order.stage)
    if stage in GONE:
        raise Refusal(f"The job is {stage.words}: nobody is asked to pay, so nothing is objected.")
    if reason not in Objection.Reason.values:
        raise Refusal("Choose what is objected.", field="reason")
    if not words.strip():
        raise Refusal("Say what was seen.", field="words")
    row: Objection = Objection.objects.create(
        workshop=actor.workshop,
        complaint=complaint,
        reason=reason,
        words=words.strip(),
        shown=shown.strip(),
        at=clock.now(),
        by=actor.user,
    )
    _say(actor, complaint, f"objected to complaint {complaint.line}: {row}", row.shown)
    return row


@transaction.atomic
def withdraw(actor: Actor, *, act: UUID, objection: Objection, because: str) -> None:
    """Take an objection back. Raises Refusal when it was, or no reason is given."""
    acts.claim(actor, act, "withdraw objection", about=objection)
    must(actor, Permit.DECIDE_COVERAGE)
    if not because.strip():
        raise Refusal("Say why it no longer stands.", field="because")
    standing = Objection.objects.filter(pk=objection.pk, withdrawn_at=None)
    if not standing.update(withdrawn_at=clock.now(), withdrawn_because=because.strip()):
        raise Refusal("This objection was taken back already.")
    complaint = objection.complaint
    _say(actor, complaint, f"took back an objection to complaint {complaint.line}", because.strip())


def _say(actor: Actor, complaint: Complaint, words: str, reason: str) -> None:
    log.write(
        actor,
        kind="coverage",
        subject_kind="order",
        subject_id=complaint.order_id,
        words=words,
        reason=reason,
    )
