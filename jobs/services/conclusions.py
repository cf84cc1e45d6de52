"""A complaint's cause: the conclusion of the measuring floor, tied to the customer's words."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction

from diagnostics import words
from diagnostics.models import Conclusion
from diagnostics.services import conclusions
from diagnostics.services.conclusions import Finding
from jobs.models import Complaint
from jobs.services import comebacks
from jobs.stages import Stage
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.services import acts, log

WHILE = frozenset({Stage.DIAGNOSING, Stage.PROVING})


@transaction.atomic
def conclude(
    actor: Actor,
    complaint: Complaint,
    *,
    act: UUID,
    finding: Finding,
    evidence: Sequence[str] = (),
    without_evidence: bool = False,
    replaces: int | None = None,
) -> Conclusion:
    """Conclude what is at fault behind a complaint, or that nothing was found.

    `replaces` is the conclusion that the person saw, None when there was none: when somebody
    concluded meanwhile, Clash. Otherwise refuses as diagnostics.services.conclusions does.
    """
    acts.claim(actor, act, "conclude", about=complaint)
    locked = Complaint.objects.select_for_update().get(pk=complaint.pk)
    order = complaint.order
    stage = Stage(order.stage)
    if stage not in WHILE:
        raise Refusal(
            f"The job is {stage.words}; a conclusion is made while it is being diagnosed. "
            "Move it to diagnosis first."
        )
    if locked.conclusion_id != replaces:
        raise Clash("Somebody concluded this complaint meanwhile. The page now shows what.")
    conclusion = conclusions.conclude(
        actor,
        order.session,
        act=None,
        finding=finding,
        evidence=evidence,
        without_evidence=without_evidence,
        replaces=locked.conclusion,
    )
    complaint.conclusion = conclusion
    complaint.save(update_fields=["conclusion"])
    comebacks.propose(order.vehicle)
    proved_by = "" if conclusion.evidenced else ", without evidence"
    log.write(
        actor,
        kind="conclusion",
        subject_kind="order",
        subject_id=order.pk,
        words=f"concluded complaint {complaint.line}: {words.conclusion(conclusion)}{proved_by}",
    )
    return conclusion
