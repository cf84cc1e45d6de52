"""Claims of the past, one job's, and a year of claims: the same in both databases."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from django.db.models import Max

from jobs.models import (
    Claim,
    ClaimAnswer,
    ClaimLine,
    ClaimPayer,
    ClaimPayment,
    Complaint,
    Payer,
    RepairOrder,
    Submission,
    Terms,
)
from jobs.services import release
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to

PAYERS, YEAR = 8, 2_000
_LABOUR, _PARTS = Decimal("90.40"), Decimal("184.10")
_ASKED = _LABOUR + _PARTS


def past(actor: Actor, order: RepairOrder) -> None:
    """Two claims of one job, sent more than a year ago and paid: what is multiplied."""
    payers = _payers(actor)
    complaint = order.complaints.get()
    _claims(actor, [(complaint, payers[0], 400, True), (complaint, payers[1], 400, True)])


def fill(crew: Crew) -> None:
    """The claims of the last twelve months, half of them open, all on one job that has left."""
    Terms.objects.update_or_create(
        workshop=crew.manager.workshop, defaults={"labour_cost_rate": Decimal("44.00")}
    )
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.READY, order, crew)
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    complaints = Complaint.objects.bulk_create(
        Complaint(order=order, line=10 + n, words="Light on", payer=Payer.VEHICLE_WARRANTY)
        for n in range(YEAR)
    )
    payers = _payers(crew.manager)
    _claims(
        crew.manager,
        [(one, payers[n % PAYERS], n % 330, n % 2 == 0) for n, one in enumerate(complaints)],
    )


def _payers(actor: Actor) -> list[ClaimPayer]:
    return [
        ClaimPayer.objects.get_or_create(
            workshop=actor.workshop,
            name=f"Payer {number}",
            defaults={"kind": Payer.VEHICLE_WARRANTY},
        )[0]
        for number in range(PAYERS)
    ]


def _claims(actor: Actor, wanted: list[tuple[Complaint, ClaimPayer, int, bool]]) -> None:
    now = clock.now()
    found = Claim.objects.aggregate(last=Max("serial"))["last"]
    claims = Claim.objects.bulk_create(
        Claim(
            workshop=actor.workshop,
            serial=serial,
            number=f"K{serial}",
            complaint=complaint,
            payer=payer,
            state=Claim.State.PAID if paid else Claim.State.SENT,
            state_since=now,
            opened_at=now - timedelta(days=days),
            opened_by=actor.user,
            first_sent_at=now - timedelta(days=days),
            closed_at=now if paid else None,
            concern="Light on",
            claimed=_ASKED,
            paid=_ASKED if paid else Decimal(0),
        )
        for serial, (complaint, payer, days, paid) in enumerate(wanted, (found or 0) + 1)
    )
    ClaimLine.objects.bulk_create(
        ClaimLine(
            claim=claim, order=n, kind=kind, text=kind, quantity=1, unit_price=one, amount=one
        )
        for claim in claims
        for n, (kind, one) in enumerate((("labour", _LABOUR), ("part", _PARTS)))
    )
    sent = Submission.objects.bulk_create(
        Submission(
            claim=claim,
            number=1,
            sent_at=claim.first_sent_at or now,
            sent_by=actor.user,
            by_way_of="post",
            total=_ASKED,
        )
        for claim in claims
    )
    ClaimAnswer.objects.bulk_create(
        ClaimAnswer(
            submission=one,
            at=now,
            answered_on=clock.today(),
            by=actor.user,
            kind="accepted" if one.claim.closed_at else "refused",
            reason="" if one.claim.closed_at else "reading",
        )
        for one in sent
    )
    ClaimPayment.objects.bulk_create(
        ClaimPayment(
            workshop=actor.workshop,
            claim=claim,
            paid_on=clock.today(),
            labour=_LABOUR,
            parts=_PARTS,
            amount=_ASKED,
            at=now,
            by=actor.user,
        )
        for claim in claims
        if claim.closed_at
    )
