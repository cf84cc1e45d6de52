"""Recording what the customer or the payer answered. Answers are never edited.

Who, when, by which number or address, what was agreed and the revised total are what 16 CCR
3356(d) asks to be recorded.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import F

from jobs.models import (
    Authority,
    AuthorityLine,
    Complaint,
    Estimate,
    How,
    LabourLine,
    RepairOrder,
    Replacement,
)
from jobs.pricing import Answered, answered
from jobs.queries import estimate as queries
from jobs.queries.facts import facts_of
from jobs.services import moves
from jobs.services.estimate import check_contact
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import format_amount
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

Decision = Complaint.Decision
State = Replacement.State


@transaction.atomic
def record(
    actor: Actor,
    *,
    act: UUID,
    order: RepairOrder,
    revision: int,
    who: str,
    how: str,
    answered_at: datetime,
    decisions: Mapping[int, str],
    contact: str = "",
    note: str = "",
) -> Authority:
    """Record one answer to the last estimate; `decisions` by complaint, only those answered.

    When no complaint is left without an answer the job moves on in the same transaction.
    Raises Refusal when no estimate was given that still says what stands, Clash when somebody
    moved the job or recorded an answer first.
    """
    acts.claim(actor, act, "authority", about=order)
    must(actor, Permit.RECORD_AUTHORITY)
    order = RepairOrder.objects.select_for_update().get(pk=order.pk)
    if order.revision != revision or order.stage != Stage.AWAITING_AUTHORITY:
        raise Clash(
            "Somebody moved this job, gave another estimate or recorded an answer meanwhile. The "
            "page now shows how it stands; look before you record the answer."
        )
    estimate = _answerable(order)
    if not who.strip():
        raise Refusal("Type the name of the person who answered.", field="who")
    check_contact(how, contact)
    _check_when(answered_at, estimate)
    complaints = queries.complaints_of(order)
    chosen = {c.pk: decisions[c.pk] for c in complaints if decisions.get(c.pk)}
    if not chosen:
        raise Refusal("Record the answer for at least one complaint.", field="decisions")
    total_before = queries.authorised_total(order)
    _apply(complaints, chosen)
    sums = _sums(order, total_before)
    authority = Authority.objects.create(
        estimate=estimate,
        who=who.strip(),
        how=how,
        contact=contact.strip(),
        answered_at=answered_at,
        recorded_by=actor.user,
        amount=sums.amount,
        total_after=sums.total_after,
        note=note.strip(),
    )
    AuthorityLine.objects.bulk_create(
        AuthorityLine(authority=authority, complaint_id=pk, decision=decision)
        for pk, decision in chosen.items()
    )
    _say(actor, order, authority, complaints, chosen)
    _move_on(actor, order)
    return authority


def _answerable(order: RepairOrder) -> Estimate:
    estimate = Estimate.objects.filter(order=order).order_by("-number").first()
    if estimate is None:
        raise Refusal("No estimate has been given yet; give it, then record the answer.")
    if order.pk not in queries.standing([order.pk]):
        raise Refusal(
            f"The estimate was changed after revision {estimate.number} was given. "
            "Give it again as it stands, then record the answer."
        )
    return estimate


def _check_when(answered_at: datetime, estimate: Estimate) -> None:
    if answered_at > clock.now():
        raise Refusal("That time is still to come. Type when it was said.", field="answered_at")
    if answered_at < estimate.given_at.replace(second=0, microsecond=0):
        raise Refusal(
            "That is before the estimate was given. Type when the answer came.",
            field="answered_at",
        )


def _apply(complaints: list[Complaint], chosen: Mapping[int, str]) -> None:
    """Proposed becomes to order; what was declined is taken off and no longer counted."""
    authorised = [c.pk for c in complaints if chosen.get(c.pk) == Decision.AUTHORISED]
    Complaint.objects.filter(pk__in=authorised).update(decision=Decision.AUTHORISED)
    Replacement.objects.filter(complaint__in=authorised, state=State.PROPOSED).update(
        state=State.TO_ORDER, state_since=clock.now()
    )
    for complaint in complaints:
        if chosen.get(complaint.pk) == Decision.DECLINED:
            _decline(complaint)


def _decline(complaint: Complaint) -> None:
    """Take off what was declined: all of the complaint, or what came after it was authorised."""
    before = queries.lines_authorised(complaint.pk)
    agreed = before or Counter()
    for line in complaint.labour.filter(withdrawn=False):
        if not _was_agreed(line, agreed):
            LabourLine.objects.filter(pk=line.pk).update(withdrawn=True)
    for part in complaint.replacements.exclude(state=State.CANCELLED).select_related("component"):
        kept = _was_agreed(part, agreed)
        if part.state in {State.PROPOSED, State.TO_ORDER}:
            part.state, part.state_since = State.TO_ORDER, clock.now()
            if not kept:
                part.state, part.cancelled_because = State.CANCELLED, "declined"
            part.save(update_fields=["state", "state_since", "cancelled_because"])
    decision = Decision.AUTHORISED if before else Decision.DECLINED
    Complaint.objects.filter(pk=complaint.pk).update(decision=decision)


def _was_agreed(row: LabourLine | Replacement, agreed: queries.Said) -> bool:
    """Whether the row stood in the estimate authorised before; each of its lines counts once."""
    line = queries.price_line(row)
    said = (line.complaint, line.text, line.amount)
    agreed[said] -= 1
    return agreed[said] >= 0


def _sums(order: RepairOrder, total_before: Decimal) -> Answered:
    """What is authorised once the answer was applied."""
    authorised = order.complaints.filter(decision=Decision.AUTHORISED).values_list("pk", flat=True)
    price = queries.price_of(order)
    return answered(
        {one.complaint: one.total for one in price.complaints}, set(authorised), total_before
    )


def _say(
    actor: Actor,
    order: RepairOrder,
    authority: Authority,
    complaints: list[Complaint],
    chosen: Mapping[int, str],
) -> None:
    answers = "; ".join(
        f"{Decision(chosen[c.pk]).label} line {c.line}" for c in complaints if c.pk in chosen
    )
    total = format_amount(authority.total_after, actor.workshop.currency)
    log.write(
        actor,
        kind="authority",
        subject_kind="order",
        subject_id=order.pk,
        words=(
            f"recorded the answer of {authority.who}, {How(authority.how).label}: {answers}; "
            f"authorised altogether {total} before tax"
        ),
        reason=authority.note,
    )


def _move_on(actor: Actor, order: RepairOrder) -> None:
    facts = facts_of(order)
    if facts.decided < facts.complaints:
        # What another desk was shown before this answer may not answer the same line again.
        RepairOrder.objects.filter(pk=order.pk).update(revision=F("revision") + 1)
        order.refresh_from_db(fields=["revision"])
        return
    if facts.authorised == 0:
        moves.follow(actor, order, Move.DECLINE)
    elif facts.not_received:
        moves.follow(actor, order, Move.AUTHORISE)
    else:
        moves.follow(actor, order, Move.AUTHORISE_AT_HAND)
