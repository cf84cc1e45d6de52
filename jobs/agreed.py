"""What the answers given so far leave authorised, row by row of the job. Pure.

Every answer is to one revision of the estimate. What was authorised stays so when an addition
to it is declined later; a new authority takes the place of the one before (16 CCR 3354(a): the
extra parts and labour, their cost and the total revised cost).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

Amounts = Mapping[str, Decimal]  # row of the job -> what was said for it, in cents


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer for one complaint: `said` is what the revision that was answered said for it."""

    complaint: int
    authorised: bool
    said: Amounts


def agreed(answers: Iterable[Answer]) -> dict[int, dict[str, Decimal]]:
    """By complaint, the rows that stand authorised with their amounts; `answers` oldest first.

    A complaint that was only ever declined is there with nothing.
    """
    standing: dict[int, dict[str, Decimal]] = {}
    for answer in answers:
        if answer.authorised:
            standing[answer.complaint] = dict(answer.said)
        else:
            standing.setdefault(answer.complaint, {})
    return standing
