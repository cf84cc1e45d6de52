"""A claim goes out: what was sent is kept byte for byte, and nothing is sent by the tool itself."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256
from uuid import UUID

from django.db import transaction
from django.db.models import F

from jobs.claims.document import totals_of
from jobs.claims.document_text import to_json
from jobs.claims.states import State, Step
from jobs.models import Claim, HeldPart, Submission, SubmissionPaper
from jobs.queries.claim_document import claim_for_paper, document_of
from jobs.queries.claim_lacking import lacking_of
from jobs.queries.claim_lines import asked_lines, differs
from jobs.services.claim_books import standing_of
from jobs.services.claim_pdf import pdf_of
from jobs.services.claim_state import check, move, say
from jobs.services.claims import still_borne
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import format_amount
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

LONGEST_WAY = 80
LONGEST_CHANGE = 2000


@transaction.atomic
def send(
    actor: Actor,
    *,
    act: UUID,
    claim: Claim,
    revision: int,
    by_way_of: str,
    changed: str = "",
    lacking_known: bool = False,
) -> Submission:
    """Record that the approved claim went out, and keep its paper as it is now.

    `changed` is what changed since the last sending, asked for from the second on;
    `lacking_known` that what is missing is known. Raises Refusal, and Clash when the claim was
    changed since `revision`.
    """
    acts.claim(actor, act, "send claim", about=claim)
    must(actor, Permit.PREPARE_CLAIM)
    row = claim_for_paper(actor, claim.number)
    check(row, Step.SEND)
    still_borne(row)
    if row.revision != revision:
        raise Clash("Somebody changed this claim meanwhile. Look at it again before it goes out.")
    way = _a_way(by_way_of)
    last = row.submissions.order_by("-number").first()
    again = _what_changed(last, changed)
    lacking = lacking_of(row, on=clock.today())
    if lacking and not lacking_known:
        raise Refusal(
            "Something is missing that this payer asks for. Add it, or tick that it is known.",
            field="lacking_known",
        )
    sent = Submission(
        claim=row,
        number=last.number + 1 if last else 1,
        sent_at=clock.now(),
        sent_by=actor.user,
        by_way_of=way,
        changed=again,
        lacking="\n".join(lacking),
        total=row.claimed,
    )
    _keep(row, sent, lacking)
    first = row.first_sent_at or sent.sent_at
    move(row, _after(row), seen_revision=revision, first_sent_at=first, due_on=None)
    _hold_longer(row)
    asked = format_amount(row.claimed, row.workshop.currency)
    say(actor, row, f"sent claim {sent} of {asked} to {row.payer}, {way}", again[:200])
    return sent


def _after(claim: Claim) -> State:
    """Sent; or over at once, where what is asked now was paid before."""
    if claim.paid <= 0 or standing_of(claim).owed > 0:
        return State.SENT
    return State.WRITTEN_OFF if claim.written_off else State.PAID


def _keep(claim: Claim, sent: Submission, lacking: tuple[str, ...]) -> None:
    """The row and its paper. Raises Refusal when the claim's lines do not make its sum."""
    if claim.complaint.order.stage == Stage.VOID:
        raise Refusal(f"{claim.complaint.order.number} is void; nothing is asked for it.")
    if differs(list(claim.lines.all()), asked_lines(claim.complaint, claim.payer)):
        raise Refusal("The job says other figures now. Open the claim and take them anew.")
    document = document_of(claim, sent, lacking)
    if not document.lines or totals_of(document.lines).total != claim.claimed:
        raise Refusal("The lines do not make the sum of this claim. Open it and take them anew.")
    made = pdf_of(claim, document)
    sent.save()
    SubmissionPaper.objects.create(
        submission=sent, document=to_json(document), pdf=made, sha256=sha256(made).hexdigest()
    )


def _a_way(by_way_of: str) -> str:
    way = by_way_of.strip()
    if not way:
        raise Refusal("Say how it went out: portal, post, e-mail.", field="by_way_of")
    if len(way) > LONGEST_WAY:
        raise Refusal(f"At most {LONGEST_WAY} characters.", field="by_way_of")
    return way


def _what_changed(last: Submission | None, changed: str) -> str:
    words = changed.strip()
    if len(words) > LONGEST_CHANGE:
        raise Refusal(f"At most {LONGEST_CHANGE} characters.", field="changed")
    if last is not None and not words:
        raise Refusal(
            "It was sent before. Say what changed since; the payer reads it first.", field="changed"
        )
    return words if last is not None else ""


def _hold_longer(claim: Claim) -> None:
    """The payer may ask for the part for so many days after the sending."""
    if not claim.payer.hold_days:
        return
    until = clock.today() + timedelta(days=claim.payer.hold_days)
    held = HeldPart.objects.filter(
        replacement__complaint=claim.complaint_id, state=HeldPart.State.HELD, hold_until__lt=until
    )
    held.update(hold_until=until, revision=F("revision") + 1)
