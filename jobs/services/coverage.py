"""Who pays for a complaint: what a person decides, kept with what the rules said and saw."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from diagnostics.models import Component
from jobs.coverage.deciding import Decision
from jobs.coverage.judging import Judged, Outcome
from jobs.models import (
    Complaint,
    CoverageDecision,
    CoverageJudgement,
    Objection,
    Payer,
    RepairOrder,
)
from jobs.queries.coverage import CoveragePicture, picture_of
from jobs.services import payer_share
from jobs.services.estimate_change import FREELY
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import format_amount
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

GONE = frozenset({Stage.VOID, Stage.DECLINED})
_ALL = Decimal(100)


@transaction.atomic
def decide_payer(
    actor: Actor,
    *,
    act: UUID,
    complaint: Complaint,
    payer: str,
    percent: Decimal,
    because: str,
    seen: str,
) -> CoverageDecision:
    """Put down who pays, and keep what the rules said and the facts they saw.

    `because` is asked where it is not what the rules say, and for goodwill and shares. `seen` is
    that of the picture the person saw. Raises Clash when a fact or a term has changed meanwhile,
    Refusal for a job that is void or declined and, as `payer_share.share` does, for another payer
    once the customer has agreed to an amount.
    """
    acts.claim(actor, act, "coverage", about=complaint)
    must(actor, Permit.DECIDE_COVERAGE)
    complaint.order = order = _open_for_it(complaint)
    picture = picture_of(complaint)
    if picture.seen != seen:
        raise Clash(
            "What is known or promised has changed meanwhile. The page shows it as it is now: "
            "look again, then decide."
        )
    because = because.strip()
    payer_share.check(payer, percent, because)
    if payer == Payer.CUSTOMER:
        percent = _ALL
    otherwise = _otherwise(picture.decision, payer)
    if otherwise and not because:
        raise Refusal(f"{otherwise} Say why you decide otherwise.", field="because")
    first = _deductible(picture.decision.decided, complaint, payer)
    said = (complaint.payer, complaint.payer_percent)
    if (payer, percent) != said or (first != complaint.deductible and _still_open(order)):
        words = because or (first and f"the customer bears the first {_money(first, order)}") or ""
        payer_share.put_down(
            actor,
            complaint,
            payer=payer,
            percent=percent,
            because=words,
            early=True,
            deductible=first,
        )
    row = _keep(actor, picture, complaint, because if otherwise else "")
    log.write(
        actor,
        kind="coverage",
        subject_kind="order",
        subject_id=order.pk,
        words=f"decided that {Payer(payer).label} pays complaint {complaint.line}, "
        f"where the rules say {row.get_outcome_display()}",
        reason=because,
    )
    return row


def expected_payer(decision: Decision) -> str:
    """Who pays by the rules; "" when they leave it to a person."""
    if decision.outcome is Outcome.NEEDS_PERSON:
        return ""
    return decision.payers[0].payer if decision.payers else Payer.CUSTOMER


def _otherwise(decision: Decision, payer: str) -> str:
    """The sentence that asks for a reason; "" where the person decides as the rules do."""
    expected = expected_payer(decision)
    if not expected:
        return "The rules leave this to you."
    if payer == expected:
        return ""
    return f"By the rules {Payer(expected).label} pays."


def _open_for_it(complaint: Complaint) -> RepairOrder:
    """The order, locked, so that two people decide one after the other."""
    order: RepairOrder = (
        RepairOrder.objects.select_for_update(of=("self",))
        .select_related("workshop")
        .get(pk=complaint.order_id)
    )
    stage = Stage(order.stage)
    if stage in GONE:
        raise Refusal(f"The job is {stage.words}: nobody is asked to pay for it.")
    complaint.refresh_from_db(fields=["payer", "payer_percent", "share_because", "deductible"])
    return order


def _still_open(order: RepairOrder) -> bool:
    """Whether the customer has agreed to no amount yet."""
    return Stage(order.stage) in FREELY | {Stage.RECEIVED}


def _money(amount: Decimal, order: RepairOrder) -> str:
    return format_amount(amount, order.workshop.currency)


def _keep(
    actor: Actor, picture: CoveragePicture, agreed: Complaint, otherwise: str
) -> CoverageDecision:
    """`agreed` carries what was put down: payer, percent and deductible."""
    complaint, decision, facts = picture.complaint, picture.decision, picture.facts
    concluded = complaint.conclusion
    component: Component | None = concluded.component if concluded else None
    system = component.system if component else complaint.system
    mode = concluded.failure_mode if concluded else None
    decided = decision.decided
    row = CoverageDecision.objects.create(
        workshop=actor.workshop,
        complaint=complaint,
        at=clock.now(),
        by=actor.user,
        rules=decision.rules,
        outcome=decision.outcome,
        because=decision.because,
        seen_on=facts.on,
        seen_at_m=facts.distance_m,
        in_service_on=complaint.order.vehicle.in_service_on,
        component=component,
        component_name=str(component or ""),
        system_name=str(system or ""),
        failure_words=str(mode or ""),
        no_fault_found=facts.no_fault_found,
        unit_words=picture.unit[:200],
        objection_words="\n".join(_objection_line(one) for one in picture.objections),
        payer=agreed.payer,
        percent=agreed.payer_percent,
        deductible=agreed.deductible,
        otherwise_because=otherwise[:200],
    )
    CoverageJudgement.objects.bulk_create(_judgements(row, decision.judged, decided))
    return row


def _deductible(decided: Judged | None, complaint: Complaint, payer: str) -> Decimal:
    """What the customer bears first: once a visit, so not where another complaint bears it."""
    if decided is None or decided.term.kind != payer or decided.outcome is not Outcome.COVERED:
        return Decimal(0)
    others = (
        Complaint.objects.filter(order=complaint.order_id, payer=payer, deductible__gt=0)
        .exclude(decision=Complaint.Decision.DECLINED)
        .exclude(pk=complaint.pk)
    )
    for other in others:
        last = CoverageDecision.objects.filter(complaint=other).order_by("-pk").first()
        name = decided.term.name[:160]
        if last and last.judgements.filter(decided=True, name=name).exists():
            return Decimal(0)
    return decided.term.deductible


def _judgements(
    row: CoverageDecision, judged: Iterable[Judged], decided: Judged | None
) -> list[CoverageJudgement]:
    return [
        CoverageJudgement(
            decision=row,
            order=number,
            decided=one is decided,
            kind=one.term.kind,
            name=one.term.name[:160],
            source=one.term.source,
            outcome=one.outcome,
            because=one.because,
            starts_on=one.term.starts_on,
            last_day=one.last_day,
            days_left=one.days_left,
            distance_left_m=one.distance_left_m,
            percent=one.term.percent,
            deductible=one.term.deductible,
            missing="\n".join(missing.sentence for missing in one.missing),
        )
        for number, one in enumerate(judged, 1)
    ]


def _objection_line(one: Objection) -> str:
    shown = f" (shown by {one.shown})" if one.shown else ""
    return f"{one}{shown}"
