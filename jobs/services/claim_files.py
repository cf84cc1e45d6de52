"""Taking a payer's file: read, matched and kept line by line; the same bytes are taken once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from hashlib import sha256
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils import timezone

from jobs.claims.matching import Found, Known, Match, Matcher
from jobs.claims.payment_file import PaidLine, read
from jobs.claims.payment_values import Habits
from jobs.claims.settled import unlike
from jobs.models import Claim, ClaimPayer, ClaimPayment, PaymentFile, PaymentRow
from jobs.services.claim_books import standing_of
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

NAME = 120
AT_ONCE = 400


@transaction.atomic
def take_file(
    actor: Actor,
    *,
    act: UUID,
    payer: ClaimPayer,
    name: str,
    raw: bytes,
    told: Habits | None = None,
) -> PaymentFile:
    """Keep what a payer's file says. Nothing is booked yet.

    Raises Refusal beside `file`: with everything that is wrong in it, or when and by whom the same
    bytes were taken before.
    """
    digest = sha256(raw).hexdigest()
    acts.claim(actor, act, "take payment file", about=payer, sent=(digest,))
    must(actor, Permit.PREPARE_CLAIM)
    if not ClaimPayer.objects.of(actor).filter(pk=payer.pk).exists():
        raise Refusal("That payer is not in this workshop’s list.", field="payer")
    _not_taken(actor, digest)
    found = read(raw, today=clock.today(), told=told or Habits())
    if found.problems:
        raise Refusal(" ".join(problem.words for problem in found.problems), field="file")
    try:
        with transaction.atomic():
            file: PaymentFile = PaymentFile.objects.create(
                workshop=actor.workshop,
                payer=payer,
                name=(name.strip() or "payments.csv")[-NAME:],
                sha256=digest,
                at=clock.now(),
                by=actor.user,
            )
    except IntegrityError:
        _not_taken(actor, digest)  # another tablet took it in the same moment
        raise
    rows = _rows(actor, file, found.lines)
    PaymentRow.objects.bulk_create(rows, batch_size=AT_ONCE)
    log.write(
        actor,
        kind="claim",
        subject_kind="payment_file",
        subject_id=file.pk,
        words=f"took {file.name} of {payer.name}, {len(rows)} lines",
    )
    return file


def _not_taken(actor: Actor, digest: str) -> None:
    before = (
        PaymentFile.objects.of(actor).filter(sha256=digest).select_related("by", "payer").first()
    )
    if before:
        when = timezone.localtime(before.at)
        raise Refusal(
            f"{before.by} took this very file on {when:%Y-%m-%d at %H:%M} as {before.name} of "
            f"{before.payer.name}. Nothing was counted again.",
            field="file",
        )


def _rows(actor: Actor, file: PaymentFile, lines: Sequence[PaidLine]) -> list[PaymentRow]:
    known = _known(actor, file.payer, lines)
    before = _before(file, lines)
    matcher = Matcher(known)
    again = [line for line in lines if line.same in before]
    found = {line.line: matcher.find(line) for line in lines if line.same not in before}
    found |= {line.line: _asked(Matcher(known).find(line), before[line.same]) for line in again}
    booked = _booked(file.payer, lines)
    for line in lines:
        one = found[line.line]
        sure = one.match is Match.EXACT and one.claim is not None
        if sure and one.claim and (one.claim.pk, line.paid_on, line.amount) in booked:
            words = "That amount of that day is booked on it already."
            found[line.line] = Found(Match.PROBABLE, one.claim, words)
    return [_row(file, line, found[line.line]) for line in lines]


def _booked(payer: ClaimPayer, lines: Sequence[PaidLine]) -> set[tuple[int, date, Decimal]]:
    """What is booked of this payer on the days of these lines. One query."""
    days = [line.paid_on for line in lines]
    if not days:
        return set()
    rows = ClaimPayment.objects.filter(
        claim__payer=payer, paid_on__gte=min(days), paid_on__lte=max(days)
    )
    return set(rows.values_list("claim_id", "paid_on", "amount"))


def _asked(found: Found, before: PaymentRow) -> Found:
    """What stands in an earlier file too is never sure."""
    taken = timezone.localtime(before.file.at)
    words = f"Line {before.line} of {before.file.name}, taken {taken:%Y-%m-%d}, says the same."
    match = Match.PROBABLE if found.claim else Match.NONE
    return Found(match, found.claim, f"{words} {found.because}")


def _row(file: PaymentFile, line: PaidLine, found: Found) -> PaymentRow:
    return PaymentRow(
        file=file,
        line=line.line,
        claim_number=line.claim_number,
        order_number=line.order_number,
        vin=line.vin,
        reference=line.reference,
        paid_on=line.paid_on,
        amount=line.amount,
        match=found.match,
        because=found.because[:200],
        claim_id=found.claim.pk if found.claim else None,
        **(line.split or {}),
    )


def _known(actor: Actor, payer: ClaimPayer, lines: Iterable[PaidLine]) -> list[Known]:
    """The payer's open claims, and those closed ones that the file names by our number."""
    numbers = sorted({line.claim_number for line in lines if line.claim_number})
    claims: dict[int, Claim] = {}
    asked = [Q(closed_at__isnull=True)]
    asked += [
        Q(number__in=numbers[place : place + AT_ONCE]) for place in range(0, len(numbers), AT_ONCE)
    ]
    for wanted in asked:
        rows = Claim.objects.of(actor).filter(wanted, payer=payer)
        for claim in rows.select_related("complaint__order__vehicle"):
            claims[claim.pk] = claim
    return [
        Known(
            claim.pk,
            claim.number,
            claim.complaint.order.number,
            claim.complaint.order.vehicle.vin,
            standing_of(claim).owed,
            claim.paid,
            unlike(claim.state, claim.number, sent=claim.first_sent_at is not None),
        )
        for claim in claims.values()
    ]


def _before(file: PaymentFile, lines: Sequence[PaidLine]) -> dict[tuple[object, ...], PaymentRow]:
    """Lines of this payer's earlier files that say the same as one of these."""
    days = {line.paid_on for line in lines}
    wanted = {line.same for line in lines}
    rows = (
        PaymentRow.objects.filter(
            file__workshop=file.workshop,
            file__payer=file.payer,
            paid_on__gte=min(days),
            paid_on__lte=max(days),
        )
        .exclude(file=file)
        .select_related("file")
        .order_by("-pk")
    )
    found: dict[tuple[object, ...], PaymentRow] = {}
    for row in rows.iterator(chunk_size=AT_ONCE):
        same = (
            row.claim_number,
            row.order_number,
            row.vin,
            row.reference,
            row.paid_on,
            row.amount,
        )
        if same in wanted:
            found[same] = row
    return found
