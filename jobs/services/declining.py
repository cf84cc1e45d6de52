"""What a no takes off a job, and what stays: whatever was authorised before."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from jobs.models import (
    AuthorityLine,
    Complaint,
    CoverageDecision,
    EstimateLine,
    LabourLine,
    OtherLine,
    Payer,
    Replacement,
)
from jobs.queries.priced import row_key
from jobs.services import payer_share
from shop import clock

State = Replacement.State
Decision = Complaint.Decision


def decline(complaint: Complaint, agreed: Mapping[str, Decimal]) -> None:
    """Take off what was declined: all of a complaint, or what came after it was authorised.

    The diagnosis that was authorised before the work stays, and is billed, though nothing is
    repaired; the complaint is declined all the same.
    """
    for labour in complaint.labour.filter(withdrawn=False):
        if row_key(labour) not in agreed:
            LabourLine.objects.filter(pk=labour.pk).update(withdrawn=True)
    for other in complaint.other_lines.filter(withdrawn=False):
        if row_key(other) not in agreed:
            OtherLine.objects.filter(pk=other.pk).update(withdrawn=True)
    for part in complaint.replacements.exclude(state=State.CANCELLED):
        _decline_part(part, agreed)
    if agreed:
        _keep_to_who_pays(complaint)
    decision = Decision.AUTHORISED if _repair_stays(complaint) else Decision.DECLINED
    Complaint.objects.filter(pk=complaint.pk).update(decision=decision)
    if not agreed and complaint.deductible:
        # Nothing is left of which the customer could bear it.
        payer_share.pass_on(complaint)
        Complaint.objects.filter(pk=complaint.pk).update(deductible=0)


def _decline_part(part: Replacement, agreed: Mapping[str, Decimal]) -> None:
    said = agreed.get(row_key(part))
    if part.state in {State.PROPOSED, State.TO_ORDER}:
        part.state, part.state_since = State.TO_ORDER, clock.now()
        if said is None:
            part.state, part.cancelled_because = State.CANCELLED, "declined"
    if said is not None and part.price > said:
        # The customer keeps to the price that was agreed; the workshop bears what it rose by.
        part.price = said
    part.save(update_fields=["state", "state_since", "cancelled_because", "price"])


def _keep_to_who_pays(complaint: Complaint) -> None:
    """The customer bears no more of what stays, at no dearer rate, than when it was authorised."""
    yes = AuthorityLine.objects.filter(complaint=complaint, decision=Decision.AUTHORISED)
    answered = yes.order_by("pk").values_list("authority__estimate", flat=True).last()
    said = list(EstimateLine.objects.filter(estimate=answered, complaint=complaint))
    for line in said:
        kind, _colon, pk = line.row.partition(":")
        if kind == "labour" and line.unit_price:
            rows = LabourLine.objects.filter(pk=pk, complaint=complaint)
            rows.filter(rate__gt=line.unit_price).update(rate=line.unit_price)
    if said and _customers(complaint) > _customers(said[0]):
        Complaint.objects.filter(pk=complaint.pk).update(
            payer=said[0].payer,
            payer_percent=said[0].payer_percent,
            share_because=said[0].share_because,
            deductible=_deductible_then(complaint, said[0].payer),
        )


def _deductible_then(complaint: Complaint, payer: str) -> Decimal:
    """What the customer bore first when that payer was last decided on."""
    decided = CoverageDecision.objects.filter(complaint=complaint, payer=payer).order_by("-pk")
    last = decided.values_list("deductible", flat=True).first()
    return Decimal(0) if last is None else last


def _customers(shared: Complaint | EstimateLine) -> Decimal:
    """What of it the customer bears, in percent."""
    alone = shared.payer == Payer.CUSTOMER
    return Decimal(100) if alone else 100 - shared.payer_percent


def _repair_stays(complaint: Complaint) -> bool:
    """Whether more than the diagnosis is left on the complaint."""
    labour = complaint.labour.filter(withdrawn=False).exclude(kind=LabourLine.Kind.DIAGNOSIS)
    parts = complaint.replacements.exclude(state=State.CANCELLED)
    other = complaint.other_lines.filter(withdrawn=False)
    return labour.exists() or parts.exists() or other.exists()
