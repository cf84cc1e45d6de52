"""The record of an answer: who, how, when, what it adds and what is authorised after it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from jobs import signature as signatures
from jobs.models import Authority, AuthorityLine, Estimate, RepairOrder
from jobs.queries.priced import bill_of_rows, live_rows, row_key
from jobs.queries.said import agreed_on, authorised_total
from jobs.services.giving import check_contact, check_name
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import cents, total


@dataclass(frozen=True, slots=True)
class Spoken:
    """What is recorded of an answer beside what it decides; made by `spoken`, which checks it."""

    who: str
    how: str
    contact: str
    answered_at: datetime
    note: str
    parts_wanted: str
    signature: str


def spoken(
    *,
    who: str,
    how: str,
    contact: str,
    answered_at: datetime,
    note: str,
    parts_wanted: str,
    signature: str,
    not_before: datetime,
) -> Spoken:
    """Raises Refusal beside the field that cannot be recorded."""
    check_contact(how, contact)
    name = check_name(who, "who", "Type the name of the person who answered.")
    _check_when(answered_at, not_before)
    if parts_wanted and parts_wanted not in RepairOrder.PartsWanted.values:
        raise Refusal("Choose whether the replaced parts are wanted.", field="parts_wanted")
    drawn = _check_signature(signature)
    return Spoken(name, how, contact.strip(), answered_at, note.strip(), parts_wanted, drawn)


def keep_answer(
    actor: Actor,
    order: RepairOrder,
    estimate: Estimate,
    decisions: Mapping[int, str],
    said: Spoken,
) -> Authority:
    """The rows of one answer, within an act that has applied it and holds the order's lock."""
    before = authorised_total(order)
    authority: Authority = Authority.objects.create(
        estimate=estimate,
        who=said.who,
        how=said.how,
        contact=said.contact,
        answered_at=said.answered_at,
        recorded_by=actor.user,
        amount=0,
        total_after=0,
        note=said.note,
        parts_wanted=said.parts_wanted,
        signature=said.signature,
    )
    AuthorityLine.objects.bulk_create(
        AuthorityLine(authority=authority, complaint_id=pk, decision=decision)
        for pk, decision in decisions.items()
    )
    agreed = {row for rows in agreed_on([order.pk]).values() for row in rows}
    bill = bill_of_rows(order, [row for row in live_rows([order.pk]) if row_key(row) in agreed])
    authority.total_after = bill.before_tax
    authority.total_with_tax = bill.total
    authority.customer_after = total(one.customer for one in bill.lines)
    authority.amount = cents(bill.before_tax - before)
    authority.save(update_fields=["total_after", "total_with_tax", "customer_after", "amount"])
    if said.parts_wanted:
        RepairOrder.objects.filter(pk=order.pk).update(parts_wanted=said.parts_wanted)
        order.parts_wanted = said.parts_wanted
    return authority


def _check_when(answered_at: datetime, given_at: datetime) -> None:
    if answered_at > clock.now():
        raise Refusal("That time is still to come. Type when it was said.", field="answered_at")
    if answered_at < given_at.replace(second=0, microsecond=0):
        raise Refusal(
            "That is before the estimate was given. Type when the answer came.",
            field="answered_at",
        )


def _check_signature(text: str) -> str:
    """The strokes as they are kept; empty when nobody signed."""
    try:
        return signatures.written(signatures.parse(text))
    except signatures.SignatureError as error:
        raise Refusal(error.sentence, field="signature") from error
