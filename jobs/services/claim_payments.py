"""What payers paid: by hand, and by the lines of their files.

Whoever books holds the line of the file first and then the claims, so that two people who book the
same line count it once.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from jobs.claims.payment_file import SPLIT
from jobs.claims.payment_values import EARLIEST
from jobs.models import Claim, ClaimPayment, PaymentFile, PaymentRow
from jobs.services import claim_books
from jobs.services.claim_files import take_file
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import LARGEST, cents, format_amount, total
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

__all__ = ["book_matched", "pay", "set_aside", "settle_row", "take_file"]
REASON = 200


@transaction.atomic
def pay(
    actor: Actor,
    *,
    act: UUID,
    claim: Claim,
    paid_on: date,
    amounts: Mapping[str, Decimal],
    reference: str = "",
    taken_back: bool = False,
    because: str = "",
    sure: bool = False,
) -> ClaimPayment:
    """Book money for a claim by labour, parts, handling, sublet and tax; `amounts` are above zero.

    Raises Refusal; beside `sure` when more would be paid than is owed.
    """
    acts.claim(actor, act, "book claim payment", about=claim)
    must(actor, Permit.PREPARE_CLAIM)
    split = _checked(amounts)
    if not EARLIEST <= paid_on <= clock.today():
        raise Refusal("Money is booked when it was paid: check the day.", field="paid_on")
    if taken_back and not because.strip():
        raise Refusal("Write why the payer took it back.", field="because")
    _not_too_long(reference, because)
    if taken_back:
        split = {kind: -amount for kind, amount in split.items()}
    amount = total(split.values())
    held = claim_books.lock_one(actor, claim)
    claim_books.check(held, amount, sure=sure)
    return claim_books.book(
        actor,
        held,
        paid_on=paid_on,
        amount=amount,
        split=split,
        reference=reference.strip(),
        because=because.strip(),
    )


@transaction.atomic
def book_matched(actor: Actor, *, act: UUID, file: PaymentFile) -> tuple[int, int]:
    """Book every line of a file that surely pays its claim: how many were, and how many were not.

    A line whose claim meanwhile owes less is left, and from now on asked.
    """
    acts.claim(actor, act, "book payment file", about=file)
    must(actor, Permit.PREPARE_CLAIM)
    rows = list(_open_rows(actor).filter(file=file, match=PaymentRow.Match.EXACT))
    if not rows:
        raise Refusal("No line of this file waits to be booked as matched.")
    claims = claim_books.lock(actor, *{row.claim_id for row in rows if row.claim_id})
    booked = 0
    for row in rows:
        claim = claims[row.claim_id or 0]
        try:
            claim_books.check(claim, row.amount, sure=False)
        except Refusal as refusal:
            row.match = PaymentRow.Match.PROBABLE
            row.because = f"The number is ours, but {refusal.sentence}"[:REASON]
            row.save(update_fields=["match", "because"])
            continue
        _book_row(actor, row, claim)
        booked += 1
    return booked, len(rows) - booked


@transaction.atomic
def settle_row(
    actor: Actor, *, act: UUID, row: PaymentRow, claim: Claim, sure: bool = False
) -> ClaimPayment:
    """Book one line of a file for the claim that a person chose."""
    acts.claim(actor, act, "settle payment row", about=(row, claim))
    must(actor, Permit.PREPARE_CLAIM)
    held = _held_row(actor, row)
    chosen = claim_books.lock_one(actor, claim)
    if chosen.payer_id != held.file.payer_id:
        raise Refusal(
            f"{chosen.number} is asked of {chosen.payer.name}, and this file is of "
            f"{held.file.payer.name}.",
            field="claim",
        )
    claim_books.check(chosen, held.amount, sure=sure)
    return _book_row(actor, held, chosen)


@transaction.atomic
def set_aside(actor: Actor, *, act: UUID, row: PaymentRow, because: str) -> PaymentRow:
    """Leave a line out for a reason: it is kept, counts nothing, and can still be booked."""
    acts.claim(actor, act, "set payment row aside", about=row)
    must(actor, Permit.PREPARE_CLAIM)
    if not because.strip():
        raise Refusal("Write why this line is left out.", field="because")
    _not_too_long("", because)
    held = _held_row(actor, row)
    held.set_aside_at = clock.now()
    held.set_aside_because = because.strip()
    held.save(update_fields=["set_aside_at", "set_aside_because"])
    shown = format_amount(held.amount, held.file.workshop.currency)
    log.write(
        actor,
        kind="claim",
        subject_kind="payment_file",
        subject_id=held.file_id,
        words=f"set line {held.line} of {held.file.name} aside, {shown}",
        reason=because.strip(),
    )
    return held


def _open_rows(actor: Actor) -> QuerySet[PaymentRow]:
    return (
        PaymentRow.objects.select_for_update(of=("self",))
        .filter(file__workshop=actor.workshop, payment__isnull=True, set_aside_at__isnull=True)
        .select_related("file__payer", "file__workshop")
        .order_by("line")
    )


def _held_row(actor: Actor, row: PaymentRow) -> PaymentRow:
    held = (
        PaymentRow.objects.select_for_update(of=("self",))
        .select_related("file__payer", "file__workshop")
        .filter(file__workshop=actor.workshop, pk=row.pk)
        .first()
    )
    if held is None:
        raise Refusal("That line is not in this workshop’s files.")
    # Read apart: who waited for the lock sees the row as it is now, but joined rows as they were.
    if held.payment_id is not None:
        booked = ClaimPayment.objects.select_related("claim", "by").get(pk=held.payment_id)
        raise Refusal(f"{booked.by} has booked this line already, for {booked.claim.number}.")
    return held


def _book_row(actor: Actor, row: PaymentRow, claim: Claim) -> ClaimPayment:
    split = {kind: getattr(row, kind) for kind in SPLIT}
    payment = claim_books.book(
        actor,
        claim,
        paid_on=row.paid_on,
        amount=row.amount,
        split=split if any(split.values()) else None,
        reference=row.reference,
        because=f"line {row.line} of {row.file.name}",
    )
    row.claim, row.payment = claim, payment
    row.set_aside_at, row.set_aside_because = None, ""
    row.save(update_fields=["claim", "payment", "set_aside_at", "set_aside_because"])
    return payment


def _checked(amounts: Mapping[str, Decimal]) -> dict[str, Decimal]:
    split = {kind: cents(amounts.get(kind) or Decimal(0)) for kind in SPLIT}
    for kind, amount in split.items():
        if amount < 0:
            raise Refusal(
                "Type it above zero; say below whether the payer took it back.", field=kind
            )
    whole = total(split.values())
    if not whole:
        raise Refusal("Type what was paid, in at least one of the five.", field=SPLIT[0])
    if whole > LARGEST:
        most = format_amount(LARGEST, "")
        raise Refusal(f"Together that is more than {most}. Check the digits.", field=SPLIT[0])
    return split


def _not_too_long(reference: str, because: str) -> None:
    if len(reference.strip()) > 60:
        raise Refusal("A reference has at most 60 signs.", field="reference")
    if len(because.strip()) > REASON:
        raise Refusal(f"A reason has at most {REASON} signs.", field="because")
