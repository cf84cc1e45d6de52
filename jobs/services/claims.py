"""Claims: drafted from the job, worded, approved, opened again, struck out and written off."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from diagnostics import words as spoken
from diagnostics.queries.evidence import evidence_of
from jobs.claims.settled import Standing
from jobs.claims.states import State, Step
from jobs.claims.time_limits import last_day
from jobs.models import Claim, ClaimLine, ClaimPayer, Complaint, CoverageDecision, RepairOrder
from jobs.queries.claim_lacking import lacking_of
from jobs.queries.claim_lines import AskedLine, asked_lines, differs, sum_of
from jobs.queries.claim_payers import ASKED
from jobs.services.claim_state import change, check, move, say
from jobs.services.numbers import next_number
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

LETTER = "W"
_GONE = frozenset({Stage.VOID, Stage.DECLINED})


@transaction.atomic
def draft(actor: Actor, *, act: UUID, complaint: Complaint, payer: ClaimPayer) -> Claim:
    """Begin the claim of one complaint on one payer, with nothing typed again.

    Raises Refusal for a job that is void or declined, a complaint that the customer pays, work
    that is not authorised, a payer of another kind, or when nothing is to be asked; Clash when
    there is one already.
    """
    acts.claim(actor, act, "draft claim", about=(complaint, payer))
    must(actor, Permit.PREPARE_CLAIM)
    order = _lock_order(complaint)
    _may_be_claimed(complaint, order, payer)
    _asked_of_nobody_else(complaint, own=None)
    before = Claim.objects.filter(complaint=complaint, payer=payer).exclude(state=State.VOID)
    if found := before.first():
        raise Clash(f"{found.number} asked {payer} for this complaint. Open that one again.")
    lines = asked_lines(complaint, payer)
    if not lines:
        raise Refusal("Nothing is to be asked: no line of this complaint is borne by that payer.")
    serial = next_number(order.workshop, "claim")
    now = clock.now()
    try:
        with transaction.atomic():
            claim: Claim = Claim.objects.create(
                workshop=order.workshop,
                serial=serial,
                number=f"{order.workshop.order_prefix}{LETTER}{serial}",
                complaint=complaint,
                payer=payer,
                coverage=_last_decision(complaint),
                state_since=now,
                opened_at=now,
                opened_by=actor.user,
                due_on=due_on(order, payer),
                concern=complaint.words,
                cause=cause_words(complaint),
                correction=complaint.correction,
                claimed=sum_of(lines),
            )
    except IntegrityError as error:
        raise Clash("Somebody began this claim in the same moment. Look again.") from error
    _write_lines(claim, lines)
    say(actor, claim, f"began claim {claim.number} on {payer} for complaint {complaint.line}")
    return claim


@transaction.atomic
def word(
    actor: Actor,
    *,
    act: UUID,
    claim: Claim,
    revision: int,
    concern: str,
    cause: str,
    correction: str,
) -> None:
    """Change the words of a claim that is being prepared. Clash when somebody else did first."""
    acts.claim(actor, act, "word claim", about=claim)
    must(actor, Permit.PREPARE_CLAIM)
    check(claim, Step.WORD)
    if not concern.strip():
        raise Refusal("A claim without a concern is refused. Write it.", field="concern")
    change(
        claim,
        seen_revision=revision,
        concern=concern.strip(),
        cause=cause.strip(),
        correction=correction.strip(),
    )
    say(actor, claim, f"worded claim {claim.number}")


@transaction.atomic
def read_again(actor: Actor, *, act: UUID, claim: Claim, revision: int) -> None:
    """Take lines, cause and correction from the job as it stands now."""
    acts.claim(actor, act, "read claim again", about=claim)
    must(actor, Permit.PREPARE_CLAIM)
    check(claim, Step.WORD)
    still_borne(claim)
    complaint = claim.complaint
    lines = asked_lines(complaint, claim.payer)
    if not lines:
        raise Refusal("No line of the job is borne by this payer any more. Strike the claim out.")
    change(
        claim,
        seen_revision=revision,
        claimed=sum_of(lines),
        cause=cause_words(complaint),
        correction=complaint.correction or claim.correction,
        coverage=_last_decision(complaint),
        due_on=due_on(complaint.order, claim.payer) or claim.due_on,
    )
    claim.lines.all().delete()
    _write_lines(claim, lines)
    say(actor, claim, f"took claim {claim.number} from the job again")


@transaction.atomic
def approve(actor: Actor, *, act: UUID, claim: Claim, revision: int, known: bool = False) -> None:
    """Approve the claim as it stands; `known` says so when its payer will miss something.

    Raises Refusal when the job says other figures than the claim, Clash when it was changed.
    """
    acts.claim(actor, act, "approve claim", about=claim)
    must(actor, Permit.APPROVE_CLAIM)
    check(claim, Step.APPROVE)
    still_borne(claim)
    if differs(list(claim.lines.all()), asked_lines(claim.complaint, claim.payer)):
        raise Refusal("The job says other figures now. Take them from the job, then approve.")
    lacking = len(lacking_of(claim, on=clock.today()))
    if lacking and not known:
        what = "1 thing is" if lacking == 1 else f"{lacking} things are"
        raise Refusal(f"{what} missing. Add it, or tick that you know.", field="known")
    move(
        claim,
        State.APPROVED,
        seen_revision=revision,
        approved_at=clock.now(),
        approved_by=actor.user,
    )
    say(actor, claim, f"approved claim {claim.number}")


@transaction.atomic
def reopen(actor: Actor, *, act: UUID, claim: Claim, revision: int) -> None:
    """Open an approved, questioned, refused or cut claim again, to be worded and approved anew."""
    acts.claim(actor, act, "reopen claim", about=claim)
    must(actor, Permit.PREPARE_CLAIM)
    check(claim, Step.REOPEN)
    _asked_of_nobody_else(claim.complaint, own=claim.pk)
    move(claim, State.DRAFT, seen_revision=revision, approved_at=None, approved_by=None)
    say(actor, claim, f"opened claim {claim.number} again")


@transaction.atomic
def void(actor: Actor, *, act: UUID, claim: Claim, revision: int, because: str) -> None:
    """Strike out a claim that never went out; its number stays used."""
    acts.claim(actor, act, "void claim", about=claim)
    must(actor, Permit.APPROVE_CLAIM)
    check(claim, Step.VOID)
    if claim.first_sent_at:
        raise Refusal(f"{claim.number} was sent once. Write it off instead.")
    if not because.strip():
        raise Refusal("Say why it is struck out.", field="because")
    _strike_out(actor, claim, revision, because.strip())


@transaction.atomic
def write_off(actor: Actor, *, act: UUID, claim: Claim, revision: int, because: str) -> None:
    """Give up what is still owed, with a reason."""
    acts.claim(actor, act, "write off claim", about=claim)
    must(actor, Permit.APPROVE_CLAIM)
    check(claim, Step.WRITE_OFF)
    if not because.strip():
        raise Refusal("Say why the rest is given up.", field="because")
    owed = Standing(claim.state, claim.claimed, claim.agreed, claim.paid, claim.written_off).owed
    if owed <= 0:
        raise Refusal(f"Nothing is owed on {claim.number}.")
    move(
        claim,
        State.WRITTEN_OFF,
        seen_revision=revision,
        written_off=owed + claim.written_off,
        closed_because=because.strip()[:200],
    )
    say(actor, claim, f"wrote off {owed} of claim {claim.number}", because.strip())


def void_with_job(actor: Actor, order: RepairOrder) -> None:
    """What voiding a job does: unsent claims are struck out. Refusal while one was sent.

    Within the act and the transaction of the caller.
    """
    rows = Claim.objects.filter(complaint__order=order).exclude(
        state__in=[State.VOID, State.WRITTEN_OFF]
    )
    for claim in rows.select_related("complaint").order_by("pk"):
        if claim.state == State.PAID:
            raise Refusal(f"{claim.number} was paid for this job, so the job is not voided.")
        if claim.first_sent_at:
            raise Refusal(
                f"{claim.number} was sent for this job. Write it off before the job is voided."
            )
        _strike_out(actor, claim, claim.revision, f"{order.number} was voided")


def due_on(order: RepairOrder, payer: ClaimPayer) -> date | None:
    """The last day to send, counted from the day the vehicle left; None while it is here."""
    if payer.file_days is None or order.closed_at is None:
        return None
    left = timezone.localtime(order.closed_at).date()
    return last_day(left, payer.file_days, working=payer.days_are == ClaimPayer.Days.WORKING)


def cause_words(complaint: Complaint) -> str:
    """The conclusion and what shows it, as the payer reads it."""
    concluded = complaint.conclusion
    if concluded is None:
        return ""
    shown = evidence_of([concluded]).get(concluded.pk, ())
    lines = [spoken.conclusion(concluded).capitalize() + "."]
    for one in shown:
        allowed = f" (allowed {one.allowed})" if one.allowed else ""
        lines.append(f"{one.words}{allowed}")
    return "\n".join(lines)


def still_borne(claim: Claim) -> None:
    """Raises Refusal when the payer no longer bears the complaint, or it is not authorised."""
    now = Complaint.objects.get(pk=claim.complaint_id)
    if now.payer != claim.payer.kind:
        raise Refusal(
            f"{now.get_payer_display().capitalize()} bears this complaint now, not {claim.payer}. "
            "Strike this claim out, or write it off where it was sent."
        )
    if now.decision != Complaint.Decision.AUTHORISED:
        raise Refusal("The work is not authorised as it stands. Record the answer first.")


def _asked_of_nobody_else(complaint: Complaint, own: int | None) -> None:
    """One complaint is asked of one payer at a time, so that nothing is counted twice."""
    over = [State.VOID, State.REFUSED, State.WRITTEN_OFF]
    others = Claim.objects.filter(complaint=complaint).exclude(state__in=over).exclude(pk=own)
    if found := others.select_related("payer").first():
        raise Clash(f"{found.number} asks {found.payer} for this complaint already.")


def _strike_out(actor: Actor, claim: Claim, revision: int, because: str) -> None:
    move(claim, State.VOID, seen_revision=revision, closed_because=because[:200])
    say(actor, claim, f"struck out claim {claim.number}", because)


def _may_be_claimed(complaint: Complaint, order: RepairOrder, payer: ClaimPayer) -> None:
    stage = Stage(order.stage)
    if stage in _GONE:
        raise Refusal(f"The job is {stage.words}: nothing is asked for it.")
    if complaint.payer not in ASKED:
        raise Refusal("Nobody else bears this complaint. Decide first who pays.")
    if complaint.decision != Complaint.Decision.AUTHORISED:
        raise Refusal("The work is not authorised yet. Record the answer first.")
    if payer.workshop_id != order.workshop_id or payer.retired or payer.kind != complaint.payer:
        kind = complaint.get_payer_display()
        raise Refusal(f"Choose a payer who pays as {kind}.", field="payer")


def _lock_order(complaint: Complaint) -> RepairOrder:
    order: RepairOrder = (
        RepairOrder.objects.select_for_update(of=("self",))
        .select_related("workshop")
        .get(pk=complaint.order_id)
    )
    complaint.refresh_from_db(fields=["payer", "payer_percent", "decision", "correction"])
    return order


def _last_decision(complaint: Complaint) -> CoverageDecision | None:
    return CoverageDecision.objects.filter(complaint=complaint).order_by("-pk").first()


def _write_lines(claim: Claim, lines: Sequence[AskedLine]) -> None:
    ClaimLine.objects.bulk_create(
        ClaimLine(
            claim=claim,
            order=number,
            kind=line.kind,
            row=line.row,
            text=line.text[:240],
            part_number=line.part_number,
            quantity=line.quantity,
            unit_price=line.unit_price,
            amount=line.amount,
        )
        for number, line in enumerate(lines, 1)
    )
