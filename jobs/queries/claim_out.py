"""How a claim went out and what came back, as its page shows it."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet
from django.http import Http404

from jobs.claims.states import State, Step, may
from jobs.models import Claim, ClaimAnswer, HeldPart, Submission, SubmissionPaper
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class Sending:
    """`answers` oldest first; the last one counts."""

    sent: Submission
    lacking: tuple[str, ...]
    answers: tuple[ClaimAnswer, ...]


@dataclass(frozen=True, slots=True)
class Out:
    """`sendings` newest first; `asked` are the parts that the payer waits for."""

    sendings: tuple[Sending, ...]
    asked: tuple[HeldPart, ...]
    is_draft: bool
    may_send: bool
    may_answer: bool

    @property
    def last(self) -> Submission | None:
        return self.sendings[0].sent if self.sendings else None


def out_of(claim: Claim) -> Out:
    """Three queries, whatever was sent; no paper is loaded."""
    answers = ClaimAnswer.objects.select_related("by").order_by("pk")
    rows = claim.submissions.select_related("sent_by").order_by("-number")
    rows = rows.prefetch_related(Prefetch("answers", queryset=answers))
    sendings = tuple(
        Sending(sent, tuple(sent.lacking.splitlines()), tuple(sent.answers.all())) for sent in rows
    )
    asked = HeldPart.objects.filter(
        replacement__complaint=claim.complaint_id,
        state=HeldPart.State.HELD,
        asked_for_on__isnull=False,
    )
    state = State(claim.state)
    return Out(
        sendings,
        tuple(asked.order_by("asked_for_on", "pk")),
        state in (State.DRAFT, State.APPROVED),
        may(Step.SEND, state),
        may(Step.ANSWER, state) and bool(sendings),
    )


def get_submission(actor: Actor, number: str, sending: int) -> Submission:
    """A stranger's is 404, as none at all."""
    rows: QuerySet[Submission] = Submission.objects.filter(claim__in=Claim.objects.of(actor))
    found = (
        rows.filter(claim__number=number.upper(), number=sending)
        .select_related("claim__workshop", "claim__payer")
        .first()
    )
    if found is None:
        raise Http404
    return found


def get_paper(actor: Actor, number: str, sending: int) -> SubmissionPaper:
    """What went out, byte for byte."""
    sent = get_submission(actor, number, sending)
    found: SubmissionPaper | None = SubmissionPaper.objects.filter(pk=sent.pk).first()
    if found is None:
        raise Http404
    return found
