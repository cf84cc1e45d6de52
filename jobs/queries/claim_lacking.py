"""What a payer would miss in a claim as it would go out now, a sentence each."""

from __future__ import annotations

from datetime import date

from jobs.claims.time_limits import Limit
from jobs.models import Claim
from jobs.queries.evidence import evidence_of
from jobs.queries.evidence_wants import wants_of


def lacking_of(claim: Claim, *, on: date) -> tuple[str, ...]:
    """What this payer could refuse it for: what is not shown, and a day that has passed.

    The part need not be held for longer yet: sending it keeps it as long as the payer may ask.
    """
    complaint = claim.complaint
    found = evidence_of([complaint], {complaint.pk: wants_of(claim.payer)})[complaint.pk]
    return (*(need.sentence for need in found.lacking), *_late(claim, on))


def _late(claim: Claim, on: date) -> tuple[str, ...]:
    if claim.due_on is None or on <= claim.due_on:
        return ()
    return (Limit(claim.due_on).sentence(on),)
