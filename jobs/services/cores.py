"""The credit that a supplier gives for a core."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.holding import Why
from jobs.models import HeldPart
from jobs.services.held import a_reason, say, take, write
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import LARGEST, cents, format_amount
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must


@transaction.atomic
def credit(
    actor: Actor,
    *,
    act: UUID,
    held: HeldPart,
    revision: int,
    amount: Decimal,
    because: str = "",
) -> HeldPart:
    """The credit has come. Another amount than expected needs a reason, and both are kept.

    Recorded again it takes the place of what was recorded before, with a reason.
    """
    acts.claim(actor, act, "core credit", about=held)
    must(actor, Permit.HOLD_PARTS)
    row = take(actor, held)
    if row.why != Why.CORE:
        raise Refusal(f"{row} is not kept as a core; no credit is expected for it.")
    if row.state != HeldPart.State.SENT:
        raise Refusal(f"{row} is {row.get_state_display()}. Record first that it was sent.")
    if not 0 <= amount <= LARGEST:
        raise Refusal("A credit is not below zero.", field="amount")
    came = cents(amount)
    if row.credited_at is not None:
        a_reason(because, "A credit is recorded already. Say why it is corrected.")
    elif came != row.credit_expected:
        expected = format_amount(row.credit_expected or Decimal(0), row.workshop.currency)
        a_reason(because, f"{expected} was expected. Say why another amount came.")
    before = row.credit_received
    write(actor, row, revision, {"credit_received": came, "credited_at": clock.now()})
    sign = row.workshop.currency
    was = f", before {format_amount(before, sign)}" if before is not None else ""
    words = f"recorded {format_amount(came, sign)} credit for the core {row}{was}"
    say(actor, row, words, because.strip())
    row.refresh_from_db()
    return row
