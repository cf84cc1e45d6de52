"""When an estimate may be changed, and what follows from a change."""

from __future__ import annotations

from jobs.models import Complaint, RepairOrder
from jobs.services import authority_limit
from jobs.services.labour_lines import share_steps
from jobs.stages import Stage
from shop.actor import Actor
from shop.errors import Refusal
from shop.services import log

FREELY = frozenset({Stage.DIAGNOSING, Stage.AWAITING_AUTHORITY})
WITHIN_AUTHORITY = frozenset({Stage.AWAITING_ASSEMBLY, Stage.REPAIRING, Stage.PROVING})
MAY_CHANGE = FREELY | WITHIN_AUTHORITY


def changeable(complaint: Complaint, *, adds_assembly: bool = False) -> RepairOrder:
    """The order, locked for this act, when its estimate may be changed now.

    Once the work is authorised, little may be added, and only as far as `changed` finds that the
    authorised amount covers it. An assembly has to be waited for, so it is asked for first.
    """
    order: RepairOrder = (
        RepairOrder.objects.select_for_update(of=("self",))
        .select_related("workshop")
        .get(pk=complaint.order_id)
    )
    stage = Stage(order.stage)
    check_stage(order)
    if stage in WITHIN_AUTHORITY:
        complaint.refresh_from_db(fields=["decision"])
        if complaint.decision != Complaint.Decision.AUTHORISED:
            raise Refusal(
                f"Nothing is authorised for complaint {complaint.line}. “Ask for more” on the "
                "job’s page first, then put it on the estimate."
            )
        if adds_assembly and stage is not Stage.AWAITING_ASSEMBLY:
            raise Refusal(
                f"The job is {stage.words}, and another assembly would have to be waited for. “Ask "
                "for more” on the job’s page first, then put it on the estimate."
            )
    return order


def check_stage(order: RepairOrder) -> None:
    stage = Stage(order.stage)
    if stage not in MAY_CHANGE:
        raise Refusal(
            f"The job is {stage.words}; its estimate no longer changes here. Take the job back to "
            "diagnosis first."
            if stage is Stage.READY
            else f"The job is {stage.words}; its estimate is not changed now."
        )


def changed(order: RepairOrder, complaint: Complaint) -> None:
    """Share steps anew, then ask again, or hold the change against what is authorised.

    16 CCR 3354: before the work is done, and before the charge accrues. Whoever authorised work
    that shared a step with this one is asked again too, where its price changed with it. Raises
    Refusal when the job would cost more than is authorised, tolerance included.
    """
    touched = {complaint.pk, *share_steps(order)}
    if Stage(order.stage) in FREELY:
        Complaint.objects.filter(pk__in=touched).update(decision=Complaint.Decision.UNDECIDED)
    else:
        authority_limit.check(order)


def say(actor: Actor, order_id: int, words: str, reason: str = "") -> None:
    log.write(
        actor,
        kind="estimate",
        subject_kind="order",
        subject_id=order_id,
        words=words,
        reason=reason,
    )
