"""Money kept on a claim, and the claim that follows it: the one place where either is written."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from jobs.claims.payment_file import SPLIT
from jobs.claims.settled import NOT_OUT, OVER, Standing, after
from jobs.claims.shares import shared_out
from jobs.models import Claim, ClaimLine, ClaimPayment
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import format_amount, total
from shop.services import log

_NOTHING = Decimal("0.00")
_MOST = Decimal("99999999.99")  # what the column holds
_KINDS: Mapping[str, str] = {
    ClaimLine.Kind.LABOUR: "labour",
    ClaimLine.Kind.PART: "parts",
    ClaimLine.Kind.HANDLING: "handling",
    ClaimLine.Kind.SUBLET: "sublet",
    ClaimLine.Kind.TAX: "tax",
}


def standing_of(claim: Claim) -> Standing:
    return Standing(claim.state, claim.claimed, claim.agreed, claim.paid, claim.written_off)


def lock(actor: Actor, *claims: int) -> dict[int, Claim]:
    """The claims of these numbers as they stand, held until the act is kept, lowest first."""
    rows: QuerySet[Claim] = (
        Claim.objects.of(actor)
        .select_for_update(of=("self",))
        .filter(pk__in=claims)
        .select_related("payer", "workshop", "complaint")
        .order_by("pk")
    )
    return {claim.pk: claim for claim in rows}


def lock_one(actor: Actor, claim: Claim) -> Claim:
    held = lock(actor, claim.pk).get(claim.pk)
    if held is None:
        raise Refusal("That claim is not in this workshop’s list.")
    return held


def check(claim: Claim, amount: Decimal, *, sure: bool) -> None:
    """Raises Refusal for what cannot be paid, and beside `sure` for what must be said twice."""
    currency = claim.workshop.currency
    if claim.first_sent_at is None and claim.state in NOT_OUT:
        raise Refusal(
            f"{claim.number} was not sent yet, so nobody can have paid it. Record first how it "
            "went out, or choose another claim."
        )
    if claim.state == Claim.State.VOID:
        raise Refusal(f"{claim.number} is void. Choose another claim.")
    if claim.paid + amount < 0:
        has, back = (format_amount(each, currency) for each in (claim.paid, -amount))
        raise Refusal(
            f"Only {has} was paid on {claim.number}; {back} cannot be taken back.", field="amount"
        )
    if claim.paid + amount > _MOST:
        raise Refusal("That is more than a claim can hold. Check the digits.", field="sure")
    owed = max(standing_of(claim).owed, _NOTHING)
    if amount > owed and not sure:
        left, came = (format_amount(each, currency) for each in (owed, amount))
        raise Refusal(
            f"Only {left} is owed on {claim.number}, and {came} is more. Look at the payer’s "
            "paper; if it says so, tick that this was really paid.",
            field="sure",
        )


def book(
    actor: Actor,
    claim: Claim,
    *,
    paid_on: date,
    amount: Decimal,
    split: Mapping[str, Decimal] | None,
    reference: str = "",
    because: str = "",
) -> ClaimPayment:
    """Keep one payment of a locked and checked claim. Without `split` it is shared out."""
    if split is None:
        split = shared_out(amount, _weights(claim, back=amount < 0))
    payment: ClaimPayment = ClaimPayment.objects.create(
        workshop=claim.workshop,
        claim=claim,
        kind=ClaimPayment.Kind.PAID if amount > 0 else ClaimPayment.Kind.TAKEN_BACK,
        paid_on=paid_on,
        reference=reference,
        amount=amount,
        at=clock.now(),
        by=actor.user,
        **split,
    )
    _follow(claim, amount)
    shown = format_amount(abs(amount), claim.workshop.currency)
    done = f"booked {shown} paid by" if amount > 0 else f"booked {shown} taken back by"
    log.write(
        actor,
        kind="claim",
        subject_kind="order",
        subject_id=claim.complaint.order_id,
        words=f"{done} {claim.payer.name} for claim {claim.number}",
        reason=because,
    )
    return payment


def _follow(claim: Claim, amount: Decimal) -> None:
    now = after(standing_of(claim), amount)
    moment = clock.now()
    claim.paid, claim.written_off = now.paid, now.written_off
    if now.state != claim.state:
        claim.state, claim.state_since = now.state, moment
    over = now.state in OVER
    claim.closed_at = (claim.closed_at or moment) if over else None
    if now.state != Claim.State.WRITTEN_OFF:
        claim.closed_because = ""
    claim.revision += 1
    claim.save(
        update_fields=[
            "paid",
            "written_off",
            "state",
            "state_since",
            "closed_at",
            "closed_because",
            "revision",
        ]
    )


def _weights(claim: Claim, *, back: bool) -> dict[str, Decimal]:
    """What is left of each kind: of what was claimed, or, taken back, of what was paid."""
    weights = dict.fromkeys(SPLIT, _NOTHING)
    paid = dict.fromkeys(SPLIT, _NOTHING)
    for row in claim.payments.values(*SPLIT):
        for kind in SPLIT:
            paid[kind] = total((paid[kind], row[kind]))
    if back:
        return {kind: max(amount, _NOTHING) for kind, amount in paid.items()}
    asked = dict.fromkeys(SPLIT, _NOTHING)
    for kind, amount in claim.lines.values_list("kind", "amount"):
        asked[_KINDS[kind]] = total((asked[_KINDS[kind]], amount))
    weights = {kind: max(total((asked[kind], -paid[kind])), _NOTHING) for kind in SPLIT}
    return weights if any(weights.values()) else asked
