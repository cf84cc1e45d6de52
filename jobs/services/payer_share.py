"""Who pays for a complaint beside the customer, and how much of it; settled before the answer."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.authorised import plain
from jobs.bill import NOTHING
from jobs.models import Complaint, LabourLine, Payer
from jobs.queries.terms import ALONE, rate_on
from jobs.services.estimate_change import FREELY, changeable, changed, say
from jobs.stages import Stage
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must


@transaction.atomic
def share(
    actor: Actor, *, act: UUID, complaint: Complaint, payer: str, percent: Decimal, because: str
) -> None:
    """Let `payer` bear `percent` of a complaint, the customer the rest.

    Labour goes at the rate of who bears it all, and at the customer's while it is shared.

    Goodwill, and whatever is shared, needs a reason. Raises Refusal once the work is authorised,
    since the customer has then agreed to an amount.
    """
    acts.claim(actor, act, "share", about=complaint)
    must(actor, Permit.RECORD_AUTHORITY)
    complaint.refresh_from_db(fields=["payer", "deductible"])
    kept = complaint.deductible if payer == complaint.payer else NOTHING
    put_down(actor, complaint, payer=payer, percent=percent, because=because, deductible=kept)


def put_down(
    actor: Actor,
    complaint: Complaint,
    *,
    payer: str,
    percent: Decimal,
    because: str,
    early: bool = False,
    deductible: Decimal = NOTHING,
) -> None:
    """What `share` does, within an act and a transaction of the caller.

    `early` allows it before anything is estimated, as at take-in; of what the payer bears the
    customer pays `deductible` first.
    """
    received = early and Stage(complaint.order.stage) is Stage.RECEIVED
    order = complaint.order if received else changeable(complaint)
    if not received and Stage(order.stage) not in FREELY:
        raise Refusal(
            "The customer has agreed to an amount already. “Ask for more” on the job’s page, or "
            "give a credit after the bill."
        )
    because = because.strip()
    check(payer, percent, because)
    if payer == Payer.CUSTOMER:
        percent, because, deductible = ALONE, "", NOTHING
    pass_on(complaint, keeps=deductible if payer == complaint.payer else NOTHING)
    complaint.payer, complaint.payer_percent, complaint.share_because = payer, percent, because
    complaint.deductible = deductible
    complaint.save(update_fields=["payer", "payer_percent", "share_because", "deductible"])
    LabourLine.objects.filter(complaint=complaint, withdrawn=False).update(
        rate=rate_on(complaint, order.workshop)
    )
    if not received:
        changed(order, complaint)
    who = Payer(payer).label
    part = "" if percent == ALONE else f" {plain(percent)} % of"
    say(actor, order.pk, f"put down that {who} pays{part} complaint {complaint.line}", because)


def pass_on(complaint: Complaint, *, keeps: Decimal = NOTHING) -> None:
    """What the customer bears first once a visit goes on to the next complaint of that payer.

    `complaint` stands as it did; of its deductible it `keeps` so much.
    """
    over = complaint.deductible - keeps
    if over <= 0 or complaint.payer == Payer.CUSTOMER:
        return
    following = (
        Complaint.objects.filter(order=complaint.order_id, payer=complaint.payer, deductible=0)
        .exclude(decision=Complaint.Decision.DECLINED)
        .exclude(pk=complaint.pk)
        .order_by("line")
        .values_list("pk", flat=True)
        .first()
    )
    if following is not None:
        Complaint.objects.filter(pk=following).update(deductible=over)


def check(payer: str, percent: Decimal, because: str) -> None:
    if payer not in Payer.values:
        raise Refusal("Choose who pays.", field="payer")
    if payer == Payer.CUSTOMER:
        return
    if not percent.is_finite() or not 0 < percent <= ALONE:
        raise Refusal(
            "Type a percentage above 0 and up to 100; where the payer bears nothing, choose the "
            "customer.",
            field="percent",
        )
    if percent != percent.quantize(Decimal("0.01")):
        raise Refusal("Type the percentage with at most two decimals.", field="percent")
    if not because and (percent < ALONE or payer == Payer.GOODWILL):
        raise Refusal("Say why; it stands beside the amounts.", field="because")
