"""A payer asks for a part that came off, or takes that back; within the act that records it."""

from __future__ import annotations

from datetime import date

from jobs.models import Claim, HeldPart
from jobs.services.held import say, take, write
from shop.actor import Actor
from shop.errors import Refusal


def ask_for(actor: Actor, claim: Claim, by: date) -> tuple[HeldPart, ...]:
    """Every part held for the claim's complaint is to be sent by that day.

    Raises Refusal when none is here any more.
    """
    rows = _held(claim)
    if not rows:
        raise Refusal(
            "No part of this complaint is held here any more. See its tag; if it cannot be sent, "
            "record that the payer wants to know more and tell them where it is.",
            field="kind",
        )
    for row in rows:
        found = take(actor, row)
        fields: dict[str, object] = {
            "asked_for_on": by,
            "hold_until": max(by, found.hold_until),
        }
        write(actor, found, found.revision, fields)
        say(actor, found, f"{claim.payer} asks for {found} by {by:%d.%m.%Y}, claim {claim}")
    return rows


def no_longer(actor: Actor, claim: Claim, by: date | None) -> None:
    """The request for that day was recorded by mistake; another day that was set since stays."""
    for row in _held(claim):
        found = take(actor, row)
        if by is not None and found.asked_for_on == by:
            write(actor, found, found.revision, {"asked_for_on": None})
            say(actor, found, f"{found} is not asked for by {claim.payer}, claim {claim}")


def _held(claim: Claim) -> tuple[HeldPart, ...]:
    rows = HeldPart.objects.filter(
        replacement__complaint=claim.complaint_id, state=HeldPart.State.HELD
    )
    return tuple(rows.order_by("pk"))
