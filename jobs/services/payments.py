"""Money that comes in for an invoice, and money that is paid back. No card data is taken."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.card_numbers import looks_like_a_card
from jobs.models import Invoice, Payment
from jobs.services.invoice_rows import lock, settle
from jobs.services.numbers import next_number
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import cents, format_amount, total
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

LETTER = "R"
How = Payment.How


@transaction.atomic
def take(
    actor: Actor,
    *,
    act: UUID,
    invoice: Invoice,
    how: str,
    amount: Decimal,
    reference: str = "",
    note: str = "",
) -> Payment:
    """Record a payment by the customer; a card or transfer by its reference.

    Raises Refusal for more than is owed now, and for a reference that looks like a card's number.
    """
    acts.claim(actor, act, "take payment", about=invoice)
    must(actor, Permit.TAKE_PAYMENT)
    amount = _checked(how, amount, reference, note)
    held = lock(actor, invoice)
    if held.owed <= 0:
        raise Refusal(f"Nothing is owed on {held.number} any more.")
    if amount > held.owed:
        owed, typed = (format_amount(each, held.currency) for each in (held.owed, amount))
        raise Refusal(
            f"Only {owed} is still owed on {held.number}; {typed} was typed.", field="amount"
        )
    return _record(actor, held, how, amount, reference, note)


@transaction.atomic
def refund(
    actor: Actor,
    *,
    act: UUID,
    invoice: Invoice,
    how: str,
    amount: Decimal,
    reference: str = "",
    note: str = "",
) -> Payment:
    """Pay back what was paid over; `amount` is above zero and recorded below it.

    Raises Refusal for more than was paid beyond what the invoice, less its credits, comes to.
    """
    acts.claim(actor, act, "pay back", about=invoice)
    must(actor, Permit.TAKE_PAYMENT)
    amount = _checked(how, amount, reference, note)
    held = lock(actor, invoice)
    if held.owed >= 0:
        raise Refusal(
            f"Nothing was paid over on {held.number}. Credit what is to be taken back first."
        )
    over = -held.owed
    if amount > over:
        most, typed = (format_amount(each, held.currency) for each in (over, amount))
        raise Refusal(
            f"Only {most} was paid over on {held.number}; {typed} was typed.", field="amount"
        )
    return _record(actor, held, how, -amount, reference, note)


def _checked(how: str, amount: Decimal, reference: str, note: str) -> Decimal:
    if how not in How.values:
        raise Refusal("Choose cash, card or bank transfer.", field="how")
    if cents(amount) <= 0:
        raise Refusal("Type an amount above zero.", field="amount")
    for field, text in (("reference", reference), ("note", note)):
        if looks_like_a_card(text):
            raise Refusal(
                "This looks like the number of a payment card, and none is kept here. "
                "Type the reference of the payment instead, as the terminal’s slip has it.",
                field=field,
            )
    if how != How.CASH and not reference.strip():
        raise Refusal(
            "Type the reference of the payment, so that it can be found.", field="reference"
        )
    if len(reference.strip()) > 60:
        raise Refusal("A reference has at most 60 signs.", field="reference")
    if len(note.strip()) > 200:
        raise Refusal("A note has at most 200 signs.", field="note")
    return cents(amount)


def _record(
    actor: Actor, invoice: Invoice, how: str, amount: Decimal, reference: str, note: str
) -> Payment:
    serial = next_number(invoice.workshop, "receipt")
    payment: Payment = Payment.objects.create(
        workshop=invoice.workshop,
        serial=serial,
        number=f"{invoice.workshop.order_prefix}{LETTER}{serial}",
        invoice=invoice,
        how=how,
        amount=amount,
        reference=reference.strip(),
        at=clock.now(),
        by=actor.user,
        note=note.strip(),
    )
    invoice.paid = total((invoice.paid, amount))
    settle(invoice)
    done = f"took {amount} for" if amount > 0 else f"paid back {-amount} on"
    log.write(
        actor,
        kind="payment",
        subject_kind="order",
        subject_id=invoice.order_id,
        words=f"{done} {invoice.number} by {payment.get_how_display()}, {payment.number}",
    )
    return payment
