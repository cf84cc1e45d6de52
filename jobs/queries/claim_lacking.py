"""What a payer would miss in a claim as it would go out now, a sentence each."""

from __future__ import annotations

from datetime import date

from jobs.claims.time_limits import Limit
from jobs.models import Claim


def lacking_of(claim: Claim, *, on: date) -> tuple[str, ...]:
    """What is not there, and a day that has passed."""
    return (*_late(claim, on),)


def _late(claim: Claim, on: date) -> tuple[str, ...]:
    if claim.due_on is None or on <= claim.due_on:
        return ()
    return (Limit(claim.due_on).sentence(on),)
