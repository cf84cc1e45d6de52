"""Steps that several operations of a job share: which line pays for them."""

from __future__ import annotations

from django.db import transaction

from jobs import overlap
from jobs.models import Complaint, LabourLine, RepairOrder


@transaction.atomic
def share_steps(order: RepairOrder) -> set[int]:
    """Work out `shared_tenths` of every labour line of the order anew, under the order's lock.

    Returns the complaints on which a line that stands costs something else by it.

    Call it whenever a line came, went or changed its time, and when a complaint was answered:
    what is declined is not done, so nothing is shared with it. Diagnosis and extra time share
    nothing: the one was done before, the other is what the operation did not foresee.
    """
    RepairOrder.objects.select_for_update().get(pk=order.pk)
    rows = (
        LabourLine.objects.filter(complaint__order=order)
        .select_related("complaint")
        .prefetch_related("operation__shared_steps")
        .order_by("pk")
    )
    lines = list(rows)
    saved = overlap.shared(_operation(line) for line in lines if _shares(line))
    changed = []
    for line in lines:
        tenths = saved.get(line.pk, 0)
        if line.shared_tenths != tenths:
            line.shared_tenths = tenths
            changed.append(line)
    LabourLine.objects.bulk_update(changed, ["shared_tenths"])
    return {line.complaint_id for line in changed if not line.withdrawn}


def _shares(line: LabourLine) -> bool:
    return (
        not line.withdrawn
        and line.kind == LabourLine.Kind.OPERATION
        and line.complaint.decision != Complaint.Decision.DECLINED
    )


def _operation(line: LabourLine) -> overlap.Operation:
    steps = line.operation.shared_steps.all() if line.operation else ()
    return overlap.Operation(
        line.pk,
        line.tenths,
        tuple(
            overlap.Step(step.key, step.tenths, line.position if step.each_place else "")
            for step in steps
        ),
    )
