"""Moving a claim from state to state, once: the row changes only if nobody changed it first."""

from __future__ import annotations

from typing import Any

from django.db.models import F

from jobs.claims.states import CLOSED, State, Step, why_not
from jobs.models import Claim
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.services import log

_MEANWHILE = "Somebody changed this claim meanwhile. The page shows it as it is now."


def check(claim: Claim, step: Step) -> None:
    """Raises Refusal with a sentence when the claim does not take this step now."""
    said = why_not(step, State(claim.state), claim.number)
    if said:
        raise Refusal(said)


def change(claim: Claim, *, seen_revision: int | None = None, **changes: Any) -> None:
    """Write columns of a claim, with one more revision. Raises Clash when it changed meanwhile.

    `seen_revision` is the one a person saw; without it the one that was loaded.
    """
    seen = claim.revision if seen_revision is None else seen_revision
    rows = Claim.objects.filter(pk=claim.pk, revision=seen, state=claim.state)
    if not rows.update(revision=F("revision") + 1, **changes):
        raise Clash(_MEANWHILE)
    claim.refresh_from_db()


def move(claim: Claim, to: str, *, seen_revision: int | None = None, **changes: Any) -> None:
    """Bring the claim into another state, and keep since when. Closed states close it."""
    now = clock.now()
    closed = now if State(to) in CLOSED else None
    change(
        claim,
        seen_revision=seen_revision,
        state=to,
        state_since=now,
        closed_at=closed,
        **changes,
    )


def say(actor: Actor, claim: Claim, words: str, reason: str = "") -> None:
    """One line in the log of the job."""
    log.write(
        actor,
        kind="claim",
        subject_kind="order",
        subject_id=claim.complaint.order_id,
        words=words,
        reason=reason,
    )
