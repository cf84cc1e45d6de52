"""Recording what the customer or the payer answered. Answers are never edited.

Who, when, by which number or address, what was agreed and the revised total are what 16 CCR
3356(d) asks to be recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import F

from jobs.models import (
    Authority,
    Complaint,
    Estimate,
    How,
    RepairOrder,
    Replacement,
)
from jobs.queries.estimate_sheet import complaints_of
from jobs.queries.facts import facts_of
from jobs.queries.said import agreed_on, standing
from jobs.services import moves
from jobs.services.answers import keep_answer, spoken
from jobs.services.declining import decline
from jobs.services.labour_lines import share_steps
from jobs.services.sharing_ends import check_sharing
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
    parts_wanted: str = "",
    signature: str = "",
) -> Authority:
    """Record one answer to the last estimate; `decisions` by complaint, only those answered.

    `who` may be the customer or somebody the customer named to answer (16 CCR 3354(c)).
    When no complaint is left without an answer the job moves on in the same transaction.
    Raises Refusal when no estimate was given that still says what stands, Clash when somebody
    moved the job or recorded an answer first.
    """
    acts.claim(actor, act, "authority", about=order)
    must(actor, Permit.RECORD_AUTHORITY)
    order = (
        RepairOrder.objects.select_for_update(of=("self",))
        .select_related("workshop")
        .get(pk=order.pk)
    )
    if order.revision != revision or order.stage != Stage.AWAITING_AUTHORITY:
        raise Clash(
            "Somebody moved this job, gave another estimate or recorded an answer meanwhile. The "
            "page now shows how it stands; look before you record the answer."
        )
    estimate = _answerable(order)
    said = spoken(
        who=who,
        how=how,
        contact=contact,
        answered_at=answered_at,
        note=note,
        parts_wanted=parts_wanted,
        signature=signature,
        not_before=estimate.given_at,
    )
    complaints = complaints_of(order)
    chosen = _chosen(complaints, decisions)
    _apply(order, complaints, chosen)
    authority = keep_answer(actor, order, estimate, chosen, said)
    _say(actor, order, authority, complaints, chosen)
    _move_on(actor, order)
    return authority


def _chosen(complaints: list[Complaint], decisions: Mapping[int, str]) -> dict[int, str]:
    chosen = {c.pk: decisions[c.pk] for c in complaints if decisions.get(c.pk)}
    if not chosen:
        raise Refusal("Record the answer for at least one complaint.", field="decisions")
    if not set(chosen.values()) <= {Decision.AUTHORISED, Decision.DECLINED}:
        raise Refusal("Choose authorised or declined for each complaint that was answered.")
    return chosen


def _answerable(order: RepairOrder) -> Estimate:
    estimate = Estimate.objects.filter(order=order).order_by("-number").first()
    if estimate is None:
        raise Refusal("No estimate has been given yet; give it, then record the answer.")
    if order.pk not in standing([order.pk]):
        raise Refusal(
            f"The estimate was changed after revision {estimate.number} was given. "
            "Give it again as it stands, then record the answer."
        )
    return estimate


def _apply(order: RepairOrder, complaints: list[Complaint], chosen: Mapping[int, str]) -> None:
    """Proposed becomes to order; what was declined is taken off and no longer counted."""
    authorised = [c.pk for c in complaints if chosen.get(c.pk) == Decision.AUTHORISED]
    Complaint.objects.filter(pk__in=authorised).update(decision=Decision.AUTHORISED)
    Replacement.objects.filter(complaint__in=authorised, state=State.PROPOSED).update(
        state=State.TO_ORDER, state_since=clock.now()
    )
    agreed = agreed_on([order.pk])
    for complaint in complaints:
        if chosen.get(complaint.pk) == Decision.DECLINED:
            decline(complaint, agreed.get(complaint.pk, {}))
    share_steps(order)
    check_sharing(order, complaints, chosen)


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


@transaction.atomic
def nothing_more(actor: Actor, *, act: UUID, order: RepairOrder, revision: int) -> None:
    """Go back to where the job was before more was asked for, since nothing more is needed.

    Raises Refusal while something is on the estimate that nobody was asked about.
    """
    acts.claim(actor, act, "nothing more", about=order)
    must(actor, Permit.RECORD_AUTHORITY)
    order = RepairOrder.objects.select_for_update(of=("self",)).get(pk=order.pk)
    if order.revision != revision or order.stage != Stage.AWAITING_AUTHORITY:
        raise Clash("Somebody moved this job meanwhile. The page now shows how it stands.")
    facts = facts_of(order)
    if facts.decided < facts.complaints or not facts.estimate_given:
        raise Refusal(
            "Something on the estimate was not answered yet. Take it off and give the estimate "
            "again, or record the answer."
        )
    _move_on(actor, order)


def _move_on(actor: Actor, order: RepairOrder) -> None:
    """To where the job belongs once all is answered; what it waited in before says which."""
    facts = facts_of(order)
    if facts.decided < facts.complaints:
        # What another desk was shown before this answer may not answer the same line again.
        RepairOrder.objects.filter(pk=order.pk).update(revision=F("revision") + 1)
        order.refresh_from_db(fields=["revision"])
        return
    if facts.authorised == 0:
        moves.follow(actor, order, Move.DECLINE, facts=facts)
    elif facts.not_received:
        moves.follow(actor, order, Move.AUTHORISE, facts=facts)
    elif facts.asked_while_proving and not facts.not_fitted and not _more_to_do(order):
        moves.follow(actor, order, Move.GO_ON_PROVING, facts=facts)
    else:
        moves.follow(actor, order, Move.AUTHORISE_AT_HAND, facts=facts)


def _more_to_do(order: RepairOrder) -> bool:
    """Whether anything was authorised since it was last asked for more."""
    asked = order.moves.filter(target=Stage.AWAITING_AUTHORITY).order_by("pk").last()
    answers = Authority.objects.filter(estimate__order=order, amount__gt=0)
    return asked is not None and answers.filter(estimate__given_at__gte=asked.at).exists()
