"""A held part leaves: sent, given to the customer, scrapped; taken back when that was wrong."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from jobs import signature
from jobs.holding import Why, stays_because
from jobs.models import HeldPart, Supplier
from jobs.queries.held import as_held
from jobs.services.held import a_reason, must_be_held, say, take, write
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit, Role
from shop.services import acts
from shop.services.rights import must

State = HeldPart.State


@transaction.atomic
def send(
    actor: Actor,
    *,
    act: UUID,
    held: HeldPart,
    revision: int,
    to: str = "",
    parcel: str = "",
    supplier: Supplier | None = None,
) -> HeldPart:
    """It went to the payer, or for its core credit to a supplier; `parcel` is its number."""
    acts.claim(actor, act, "send held part", about=held)
    must(actor, Permit.HOLD_PARTS)
    row = take(actor, held)
    must_be_held(row)
    if supplier is not None and supplier.workshop_id != actor.workshop.pk:
        raise Refusal("That supplier is not one of this workshop’s.", field="supplier")
    if row.why == Why.CORE and supplier is None and row.supplier_id is None:
        raise Refusal("Choose the supplier who gives credit for the core.", field="supplier")
    whom = to.strip() or (str(supplier or row.supplier or ""))
    whom = a_reason(whom, "Type to whom it is sent.", "to")
    note = ", ".join(part for part in (whom, parcel.strip()) if part)
    _close(actor, row, revision, State.SENT, note, {"supplier": supplier or row.supplier})
    say(actor, row, f"sent {row} to {note}")
    row.refresh_from_db()
    return row


@transaction.atomic
def give(
    actor: Actor,
    *,
    act: UUID,
    held: HeldPart,
    revision: int,
    to: str,
    although: str = "",
    drawn: str = "",
) -> HeldPart:
    """The customer, or whom they sent, took it. A core, or what a payer may ask for, is not given.

    `although` is the service manager's reason for giving it all the same; `drawn` are the strokes
    of a signature (jobs.signature), "" for none.
    """
    acts.claim(actor, act, "give held part", about=held)
    must(actor, Permit.HOLD_PARTS)
    row = take(actor, held)
    must_be_held(row)
    whom = a_reason(to, "Type who took it.", "to")
    if row.why in (Why.CORE, Why.PAYER):
        _although(
            actor,
            although,
            f"It is kept as {row.get_why_display()}. Show it to the customer; it is not given away",
        )
    note = ", ".join(filter(None, (whom, although.strip())))
    _close(actor, row, revision, State.GIVEN, note, {"signature": _strokes(drawn)})
    signed = ", who signed for it" if drawn.strip() else ""
    say(actor, row, f"gave {row} to {whom}{signed}", although.strip())
    row.refresh_from_db()
    return row


@transaction.atomic
def scrap(
    actor: Actor, *, act: UUID, held: HeldPart, revision: int, although: str = ""
) -> HeldPart:
    """Nobody needs it any more. Refused before its day and while somebody may ask for it.

    `although` is the service manager's reason for doing it all the same.
    """
    acts.claim(actor, act, "scrap held part", about=held)
    must(actor, Permit.HOLD_PARTS)
    row = take(actor, held)
    must_be_held(row)
    stays = stays_because(as_held(row), clock.today())
    if stays:
        _although(actor, although, stays.rstrip("."))
    _close(actor, row, revision, State.SCRAPPED, although.strip())
    say(actor, row, f"scrapped {row}", although.strip())
    row.refresh_from_db()
    return row


@transaction.atomic
def take_back(actor: Actor, *, act: UUID, held: HeldPart, revision: int, because: str) -> HeldPart:
    """The tag was closed by mistake: the part is here after all."""
    acts.claim(actor, act, "take back held part", about=held)
    must(actor, Permit.HOLD_PARTS)
    row = take(actor, held)
    if row.state == State.HELD:
        raise Clash(f"{row} is held; nothing was recorded.")
    if row.credited_at is not None:
        raise Refusal("Its credit has come, so it has left. Correct the credit instead.")
    why = a_reason(because, "Say how the mistake was noticed; it is kept with the job.")
    was = f"{row.get_state_display()} {row.closed_note}".strip()
    fields = {
        "state": State.HELD,
        "closed_at": None,
        "closed_by": None,
        "closed_note": "",
        "signature": "",
    }
    write(actor, row, revision, {**fields})
    say(actor, row, f"took tag {row} back, which stood as {was}", why)
    row.refresh_from_db()
    return row


def _strokes(drawn: str) -> str:
    try:
        return signature.written(signature.parse(drawn))
    except signature.SignatureError as error:
        raise Refusal(error.sentence, field="drawn") from error


def _although(actor: Actor, although: str, sentence: str) -> None:
    if Role.MANAGER not in actor.roles:
        raise Refusal(f"{sentence}. Only the service manager may, with a reason.")
    if not although.strip():
        raise Refusal(f"{sentence}. Say why it is done all the same.", field="although")


def _close(
    actor: Actor,
    row: HeldPart,
    revision: int,
    state: HeldPart.State,
    note: str,
    more: dict[str, object] | None = None,
) -> None:
    closing = {
        "state": state,
        "closed_at": clock.now(),
        "closed_by": actor.user,
        "closed_note": note[:200],
    }
    write(actor, row, revision, {**closing, **(more or {})})
