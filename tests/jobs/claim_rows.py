"""Claims and their payers written straight into their rows: for money, pages and numbers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from jobs.models import (
    Claim,
    ClaimAnswer,
    ClaimLine,
    ClaimPayer,
    Complaint,
    Payer,
    PaymentFile,
    RepairOrder,
    Submission,
)
from jobs.services import claim_payments
from shop import clock
from shop.actor import Actor
from shop.money import total
from shop.roles import Role
from tests.factories import a_repair_order

PLAIN: Mapping[str, str] = {
    "labour": "100.00",
    "part": "200.00",
    "handling": "20.00",
    "tax": "32.00",
}
HEAD = "claim number,order,VIN,paid on,kind,labour,parts,handling,sublet,tax,amount,reference"
_OPEN = {"draft", "approved"}


def a_claim_payer(actor: Actor, name: str = "Corvane", **more: object) -> ClaimPayer:
    found: ClaimPayer
    found, _made = ClaimPayer.objects.get_or_create(
        workshop=actor.workshop,
        name=name,
        defaults={"kind": Payer.VEHICLE_WARRANTY, **more},
    )
    return found


def a_claim_row(
    actor: Actor,
    *,
    payer: ClaimPayer | None = None,
    order: RepairOrder | None = None,
    state: str = "sent",
    days: int = 10,
    amounts: Mapping[str, str] = PLAIN,
    agreed: str | None = None,
) -> Claim:
    """A claim for a complaint of its own, first sent `days` ago unless it was not sent yet."""
    everybody = Actor(actor.user, actor.workshop, frozenset(Role))
    order = order or a_repair_order(everybody)
    last = Claim.objects.filter(workshop=actor.workshop).order_by("-serial").first()
    serial = (last.serial if last else 1000) + 1
    complaint = Complaint.objects.create(
        order=order,
        line=order.complaints.count() + 1,
        words="Yellow light came on",
        payer=Payer.VEHICLE_WARRANTY,
    )
    now = clock.now()
    sent = None if state in _OPEN else now - timedelta(days=days)
    claimed = total(Decimal(amount) for amount in amounts.values())
    claim: Claim = Claim.objects.create(
        workshop=actor.workshop,
        serial=serial,
        number=f"{actor.workshop.order_prefix}C{serial}",
        complaint=complaint,
        payer=payer or a_claim_payer(actor),
        state=state,
        state_since=now,
        opened_at=sent or now,
        opened_by=actor.user,
        first_sent_at=sent,
        closed_at=now if state in ("paid", "written_off", "void") else None,
        concern=complaint.words,
        claimed=claimed,
        agreed=Decimal(agreed) if agreed else None,
        written_off=claimed if state == "written_off" else Decimal(0),
    )
    ClaimLine.objects.bulk_create(
        ClaimLine(
            claim=claim,
            order=place,
            kind=kind,
            text=kind,
            quantity=1,
            unit_price=Decimal(amount),
            amount=Decimal(amount),
        )
        for place, (kind, amount) in enumerate(amounts.items())
    )
    if sent:
        Submission.objects.create(
            claim=claim,
            number=1,
            sent_at=sent,
            sent_by=actor.user,
            by_way_of="e-mail",
            total=claimed,
        )
    return claim


def an_answer(actor: Actor, claim: Claim, kind: str = "accepted", reason: str = "") -> ClaimAnswer:
    submission = claim.submissions.latest("number")
    answer: ClaimAnswer = ClaimAnswer.objects.create(
        submission=submission,
        at=clock.now(),
        answered_on=clock.today(),
        by=actor.user,
        kind=kind,
        reason=reason,
    )
    return answer


def a_line(
    claim: Claim | str, amount: str = "10.00", reference: str = "", kind: str = "", order: str = ""
) -> str:
    """A line of a payer's file that says nothing of what was paid for."""
    number = claim if isinstance(claim, str) else claim.number
    return f"{number},{order},,{clock.today():%Y-%m-%d},{kind},,,,,,{amount},{reference}"


def a_payment_file(
    actor: Actor, *lines: str, payer: ClaimPayer | None = None, name: str = "november.csv"
) -> PaymentFile:
    return claim_payments.take_file(
        actor,
        act=uuid4(),
        payer=payer or a_claim_payer(actor),
        name=name,
        raw="\n".join((HEAD, *lines)).encode(),
    )
