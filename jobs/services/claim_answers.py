"""What a payer said to a claim. Append-only: a mistake is followed by another, the last counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from jobs.claims.states import State, Step
from jobs.claims.time_limits import last_day
from jobs.models import Claim, ClaimAnswer, ClaimLine, ClaimPayer, Submission
from jobs.services import held_asked
from jobs.services.claim_state import check, move, say
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import cents, format_amount, total
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

Kind = ClaimAnswer.Kind
LONGEST_WORDS = 2000
_MEANWHILE = (
    "Somebody recorded an answer or a payment of this claim meanwhile. Look at what stands above, "
    "then record yours if it still holds."
)
FARTHEST = timedelta(days=3 * 365)
_STATES = {
    Kind.ACCEPTED: State.ACCEPTED,
    Kind.SHORT: State.SHORT,
    Kind.REFUSED: State.REFUSED,
    Kind.ASKED: State.ASKED,
    Kind.PART: State.ASKED,
}
# After these it may go in again, within the payer's days.
_AGAIN = frozenset({Kind.SHORT, Kind.REFUSED, Kind.ASKED, Kind.PART})


@dataclass(frozen=True, slots=True)
class Said:
    """An answer as it was typed. `lines` is what was agreed for each line, by its pk."""

    kind: str
    answered_on: date
    reason: str = ""
    words: str = ""
    reference: str = ""
    agreed: Decimal | None = None
    lines: Mapping[int, Decimal] = field(default_factory=dict)
    wanted_by: date | None = None


@transaction.atomic
def answer(
    actor: Actor, *, act: UUID, submission: Submission, said: Said, seen: int | None = None
) -> ClaimAnswer:
    """Record the answer to the last sending of a claim, and move the claim by it.

    `seen` is the revision of the claim that the person saw. Raises Refusal beside the field that is
    wrong, Clash when the claim changed since, by somebody else's answer or a payment.
    """
    acts.claim(actor, act, "answer claim", about=submission)
    must(actor, Permit.PREPARE_CLAIM)
    claim = _lock(actor, submission)
    check(claim, Step.ANSWER)
    _is_the_last(claim, submission)
    if seen not in (None, claim.revision):
        raise Clash(_MEANWHILE)
    kind = _a_kind(said.kind)
    _check_days(kind, said, submission)
    _check_words(kind, said)
    lines = list(claim.lines.select_for_update())
    agreed = _agreed(kind, said, submission, lines)
    before = ClaimAnswer.objects.filter(submission=submission).order_by("-pk").first()
    row: ClaimAnswer = ClaimAnswer.objects.create(
        submission=submission,
        at=clock.now(),
        answered_on=said.answered_on,
        by=actor.user,
        kind=kind,
        reason=said.reason if kind in (Kind.REFUSED, Kind.SHORT) else "",
        words=said.words.strip(),
        reference=said.reference.strip(),
        agreed=agreed,
        wanted_by=said.wanted_by if kind in (Kind.ASKED, Kind.PART) else None,
    )
    _write_lines(kind, said, lines)
    _tell_the_parts(actor, claim, before, row)
    move(claim, _STATES[kind], agreed=agreed, due_on=_due_on(claim.payer, row))
    _log(actor, claim, row, before)
    return row


def _lock(actor: Actor, submission: Submission) -> Claim:
    rows = Claim.objects.of(actor).select_for_update(of=("self",))
    found: Claim = rows.select_related("payer", "workshop", "complaint").get(pk=submission.claim_id)
    return found


def _is_the_last(claim: Claim, submission: Submission) -> None:
    last = claim.submissions.order_by("-number").values_list("number", flat=True).first()
    if last != submission.number:
        raise Refusal(
            f"{claim} was sent again since, as number {last}. Record the answer with that one."
        )


def _a_kind(kind: str) -> ClaimAnswer.Kind:
    try:
        return Kind(kind)
    except ValueError:
        raise Refusal("Choose what the payer answered.", field="kind") from None


def _check_days(kind: ClaimAnswer.Kind, said: Said, submission: Submission) -> None:
    sent_on = timezone.localtime(submission.sent_at).date()
    if said.answered_on > clock.today():
        raise Refusal("That day has not come yet. When was it answered?", field="answered_on")
    if said.answered_on < sent_on:
        raise Refusal(
            f"It was sent on {sent_on:%d.%m.%Y}; an answer is not older.", field="answered_on"
        )
    wanted = said.wanted_by
    if kind is Kind.PART and wanted is None:
        raise Refusal("Say by when the part must be sent.", field="wanted_by")
    if kind in (Kind.ASKED, Kind.PART) and wanted is not None:
        if wanted < said.answered_on:
            raise Refusal("That is before the answer. By when is it wanted?", field="wanted_by")
        if wanted > clock.today() + FARTHEST:
            raise Refusal("That is years away. Check the year.", field="wanted_by")


def _check_words(kind: ClaimAnswer.Kind, said: Said) -> None:
    if said.reason not in ClaimAnswer.Reason.values:
        raise Refusal("Choose a reason from the list.", field="reason")
    words = said.words.strip()
    if len(words) > LONGEST_WORDS:
        raise Refusal(f"At most {LONGEST_WORDS} characters.", field="words")
    if kind is Kind.REFUSED and not said.reason and not words:
        raise Refusal("Choose the reason, or write the payer’s words.", field="reason")
    if kind is Kind.ASKED and not words:
        raise Refusal("Write what the payer wants to know.", field="words")


def _agreed(
    kind: ClaimAnswer.Kind, said: Said, submission: Submission, lines: list[ClaimLine]
) -> Decimal | None:
    """What was agreed of the whole claim; None while the payer only asks."""
    if kind is Kind.ACCEPTED:
        asked_for: Decimal = submission.total
        return asked_for
    if kind is Kind.REFUSED:
        return Decimal("0.00")
    if kind is not Kind.SHORT:
        return None
    agreed = _sum_of_lines(said.lines, lines) if said.lines else said.agreed
    where = "lines" if said.lines else "agreed"
    if agreed is None:
        raise Refusal("Write what the payer agreed to.", field="agreed")
    if said.lines and said.agreed is not None and cents(said.agreed) != agreed:
        raise Refusal(f"The lines make {agreed}, not {said.agreed}. Correct one.", field="agreed")
    agreed = cents(agreed)
    if agreed < 0:
        raise Refusal("An agreed amount is not below zero.", field=where)
    if agreed == 0:
        raise Refusal("Nothing agreed is a refusal. Choose that it was refused.", field=where)
    if agreed >= submission.total:
        asked = format_amount(submission.total, submission.claim.workshop.currency)
        raise Refusal(
            f"{asked} was asked. If all of it is agreed, choose that it was accepted in full.",
            field=where,
        )
    return agreed


def _sum_of_lines(agreed: Mapping[int, Decimal], lines: list[ClaimLine]) -> Decimal:
    """Lines that were left out were agreed as they were asked."""
    known = {line.pk: line for line in lines}
    if set(agreed) - set(known):
        raise Refusal("That line is not on this claim any more. Load the page again.")
    for pk, amount in agreed.items():
        if not 0 <= amount <= known[pk].amount:
            raise Refusal(
                f"“{known[pk].text}”: between nothing and the {known[pk].amount} that was asked.",
                field="lines",
            )
    return total(agreed.get(line.pk, line.amount) for line in lines)


def _write_lines(kind: ClaimAnswer.Kind, said: Said, lines: list[ClaimLine]) -> None:
    for line in lines:
        line.agreed = None
        if kind is Kind.ACCEPTED:
            line.agreed = line.amount
        elif kind is Kind.REFUSED:
            line.agreed = Decimal("0.00")
        elif kind is Kind.SHORT and said.lines:
            line.agreed = cents(said.lines.get(line.pk, line.amount))
    ClaimLine.objects.bulk_update(lines, ["agreed"])


def _tell_the_parts(
    actor: Actor, claim: Claim, before: ClaimAnswer | None, row: ClaimAnswer
) -> None:
    if before is not None and before.kind == Kind.PART and row.kind != Kind.PART:
        held_asked.no_longer(actor, claim, before.wanted_by)
    if row.kind == Kind.PART and row.wanted_by is not None:
        held_asked.ask_for(actor, claim, row.wanted_by)


def _due_on(payer: ClaimPayer, row: ClaimAnswer) -> date | None:
    """Until when it may go in again: the payer's days after the answer, or the day it named."""
    if row.kind not in _AGAIN:
        return None
    days: list[date] = [row.wanted_by] if row.wanted_by else []
    if payer.again_days is not None:
        working = payer.days_are == ClaimPayer.Days.WORKING
        days.append(last_day(row.answered_on, payer.again_days, working=working))
    return min(days, default=None)


def _log(actor: Actor, claim: Claim, row: ClaimAnswer, before: ClaimAnswer | None) -> None:
    agreed = f", {format_amount(row.agreed, claim.workshop.currency)}" if row.agreed else ""
    instead = f", in the place of {before.get_kind_display()!r}" if before else ""
    words = f"claim {row.submission}: {row.get_kind_display()}{agreed}{instead}"
    say(actor, claim, words, ", ".join(filter(None, (_reason(row), row.words[:200]))))


def _reason(row: ClaimAnswer) -> str:
    return str(row.get_reason_display()) if row.reason else ""
