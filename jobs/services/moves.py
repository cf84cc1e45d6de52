"""Moving an order from stage to stage: the only place that writes a stage."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.db.models import F

from diagnostics.models import Phase, Session
from jobs.models import Complaint, RepairOrder, Replacement, StageMove
from jobs.queries.facts import facts_of
from jobs.services import claims, comebacks, job_parts, lives, repairs
from jobs.services.clock_end import end_on_closed
from jobs.stages import CLOSED, Facts, Move, MoveRule, Stage, rule_for, unmet
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.services import acts, log


@transaction.atomic
def move(
    actor: Actor,
    order: RepairOrder,
    which: Move,
    *,
    act: UUID,
    revision: int,
    reason: str = "",
    override: str = "",
) -> None:
    """Make one move of the stage table, once.

    `revision` is the one the person saw; `reason` goes into the log and onto paper; `override`
    is the manager's reason for going on without what an overridable condition asks.
    Raises Refusal with the sentence of the first condition not met, Clash when somebody moved
    the order first.
    """
    acts.claim(actor, act, f"move {which}", about=order)
    make(actor, order, which, revision=revision, reason=reason, override=override)


@transaction.atomic
def follow(
    actor: Actor, order: RepairOrder, which: Move, *, reason: str = "", facts: Facts | None = None
) -> None:
    """The same move as the consequence of another act, whose transaction and UUID it shares.

    `facts` if that act gathered them already while it held the order's lock.
    """
    order.refresh_from_db(fields=["stage", "revision", "unsafe", "technician"])
    make(actor, order, which, revision=order.revision, reason=reason, facts=facts)


@transaction.atomic
def make(
    actor: Actor,
    order: RepairOrder,
    which: Move,
    *,
    revision: int,
    reason: str = "",
    override: str = "",
    facts: Facts | None = None,
) -> None:
    """`move` within an act that has claimed its UUID already."""
    reason, override = reason.strip(), override.strip()
    rule = rule_for(which)
    if rule.target in CLOSED:
        lives.lock(order.vehicle_id)
    # Whoever books in, cancels or sends back an assembly of this job waits here, and is waited for.
    list(RepairOrder.objects.select_for_update().filter(pk=order.pk).values_list("pk"))
    source = Stage(order.stage)
    check(actor, order, rule, reason=reason, override=override, facts=facts)
    now = clock.now()
    changes: dict[str, object] = {"stage": rule.target, "stage_since": now}
    if rule.target in CLOSED:
        changes |= {"closed_at": now, "closed_by": actor.user}
    left_out = _overridden(rule, facts_of(order)) if override else ""
    if left_out:
        changes |= {"override_reason": override, "override_missing": left_out}
    moved = RepairOrder.objects.filter(pk=order.pk, stage=source, revision=revision).update(
        revision=F("revision") + 1, **changes
    )
    if not moved:
        raise Clash("Somebody changed this job meanwhile. The page now shows where it stands.")
    why = reason or (override if left_out else "")
    StageMove.objects.create(
        order=order,
        move=which,
        source=source,
        target=rule.target,
        at=now,
        by=actor.user,
        reason=why,
    )
    _keep_in_step(order, rule.target)
    if rule.target is Stage.VOID:
        claims.void_with_job(actor, order)
    job_parts.keep_in_step(actor, order, source, rule.target, why)
    if rule.target in CLOSED:
        end_on_closed(actor, order)
        repairs.refresh(order.vehicle)
        comebacks.propose(order.vehicle)
    log.write(
        actor,
        kind="stage",
        subject_kind="order",
        subject_id=order.pk,
        words=f"moved the job from {source.words} to {rule.target.words}",
        reason=why,
        at=now,
    )
    order.refresh_from_db()


def check(
    actor: Actor,
    order: RepairOrder,
    rule: MoveRule,
    *,
    reason: str = "",
    override: str = "",
    facts: Facts | None = None,
) -> None:
    """Say why this move cannot be made now, or return in silence."""
    if Stage(order.stage) not in rule.source:
        raise Clash(
            f"The job is {Stage(order.stage).words} now; “{rule.button}” does not apply there."
        )
    if not actor.roles & rule.roles:
        who = " or ".join(sorted(role.label for role in rule.roles))
        raise Refusal(f"“{rule.button}” is for the {who}.")
    if rule.reason_asked and not reason.strip():
        raise Refusal("Say why in a few words; it is kept with the job.", field="reason")
    if not rule.needs:
        return
    facts = facts or facts_of(order)
    for need in rule.needs:
        sentence = unmet(need, facts)
        if sentence and not (override.strip() and need in rule.overridable):
            raise Refusal(sentence)


def _overridden(rule: MoveRule, facts: Facts) -> str:
    sentences = (unmet(need, facts) for need in rule.needs if need in rule.overridable)
    return " ".join(sentence for sentence in sentences if sentence)


def _keep_in_step(order: RepairOrder, target: Stage) -> None:
    """What follows from a stage: the session's phase, and answers that no longer answer."""
    session = Session.objects.filter(pk=order.session_id)
    if target is Stage.PROVING:
        session.update(phase=Phase.AFTER_REPAIR)
    elif target is Stage.DIAGNOSING:
        session.update(phase=Phase.AS_FOUND)
        # A revised total needs a new answer; what was declined stays declined.
        order.complaints.filter(decision=Complaint.Decision.AUTHORISED).update(
            decision=Complaint.Decision.UNDECIDED
        )
        Replacement.objects.filter(complaint__order=order, state=Replacement.State.TO_ORDER).update(
            state=Replacement.State.PROPOSED, state_since=clock.now()
        )
    elif target in CLOSED:
        session.update(closed_at=clock.now())
