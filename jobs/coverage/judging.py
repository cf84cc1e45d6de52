"""One promise held against the facts. Pure.

Sources: 15 USC 2302(c) and 16 CFR 700.10 as summarised in public pages: a warranty may not be
made to depend on a named brand of part or service, and who refuses because of one must show that
it caused the failure. Local law decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from jobs.coverage import sentences
from jobs.coverage.facts import Facts, Missing, Objection, Reason
from jobs.coverage.spans import days_left, metres_left, months_after
from jobs.coverage.terms import Kind, Term
from jobs.coverage.why import OUT_OF_SCOPE, Why


class Outcome(StrEnum):
    COVERED = "covered"
    NOT_COVERED = "not_covered"
    NEEDS_PERSON = "needs_person"


@dataclass(frozen=True, slots=True)
class Judged:
    """What one term says. Days and metres left are negative when exceeded, None when the term
    has no such limit or the fact is missing; `last_day` is the last day it holds. `because` is
    written when it is read. `unit` is that of distances in it."""

    term: Term
    outcome: Outcome
    why: Why
    facts: Facts
    last_day: date | None = None
    days_left: int | None = None
    distance_left_m: int | None = None
    missing: tuple[Missing, ...] = ()
    objection: Objection | None = None
    unit: str = "km"

    @property
    def because(self) -> str:
        return sentences.because(self)

    @property
    def speaks_of_it(self) -> bool:
        """False where the term is about something else, so that its span hardly matters."""
        return self.why not in OUT_OF_SCOPE


def judge(term: Term, facts: Facts, *, unit: str = "km") -> Judged:
    """Does `term` cover what `facts` tell? `unit` is that of distances in sentences.

    What is certain goes before what is missing: a distance that is exceeded ends a term whose
    start nobody knows. Raises UnitError, once it is read, for a unit of length that is not known.
    """
    last_day = _last_day(term)
    days = None if last_day is None else days_left(last_day, facts.on)
    left_m = _left_m(term, facts)
    missing = _missing(term, facts)
    outcome, why, objection = _judged(term, facts, days, left_m, missing)
    return Judged(term, outcome, why, facts, last_day, days, left_m, missing, objection, unit)


def _judged(
    term: Term, facts: Facts, days: int | None, left_m: int | None, missing: tuple[Missing, ...]
) -> tuple[Outcome, Why, Objection | None]:
    refused = _out_of_scope(term, facts) or _ended(term, days, left_m)
    if refused:
        return Outcome.NOT_COVERED, refused, None
    doubt = _contradiction(term, facts)
    if doubt:
        return Outcome.NEEDS_PERSON, doubt, None
    refused = _not_begun(term, facts)
    if refused:
        return Outcome.NOT_COVERED, refused, None
    for one in facts.objections:
        if one.shown.strip():
            return Outcome.NOT_COVERED, Why.OBJECTION_SHOWN, one
    if missing:
        return Outcome.NEEDS_PERSON, Why.MISSING, None
    for one in facts.objections:
        if one.reason is not Reason.OTHER_BRAND:
            return Outcome.NEEDS_PERSON, Why.OBJECTION_UNPROVED, one
    return Outcome.COVERED, Why.HOLDS, None


# ------------------------------------------------------------------ figures


def _last_day(term: Term) -> date | None:
    last = None
    if term.months is not None and term.starts_on is not None:
        last = months_after(term.starts_on, term.months)
    if term.ended_on is not None and (last is None or term.ended_on < last):
        last = term.ended_on
    return last


def _left_m(term: Term, facts: Facts) -> int | None:
    if term.distance_m is None or term.starts_at_m is None or facts.distance_m is None:
        return None
    return metres_left(term.starts_at_m + term.distance_m, facts.distance_m)


# ------------------------------------------------------------------ certain refusals


def _out_of_scope(term: Term, facts: Facts) -> Why | None:
    """A campaign asks for work on what has not failed, so that it needs no fault."""
    scope, component = term.scope, facts.component
    if term.remedied_on is not None and term.remedied_on < facts.on:
        return Why.REMEDIED
    if component and component in scope.left_out:
        return Why.LEFT_OUT
    if component and not scope.of_everything and component not in scope.components:
        known = facts.system or not scope.systems
        if known and facts.system not in scope.systems:
            return Why.OTHER_COMPONENT
    if scope.failure_modes and facts.failure_mode and facts.failure_mode not in scope.failure_modes:
        return Why.OTHER_FAILURE
    if facts.no_fault_found and term.kind is not Kind.CAMPAIGN:
        return Why.NO_FAULT
    return None


def _ended(term: Term, days: int | None, left_m: int | None) -> Why | None:
    if days is not None and days < 0:
        early = term.ended_on is not None and _ended_early(term, term.ended_on)
        return Why.ENDED_EARLY if early else Why.TIME_OVER
    if left_m is not None and left_m < 0:
        return Why.DISTANCE_OVER
    return None


def _ended_early(term: Term, ended_on: date) -> bool:
    if term.months is None or term.starts_on is None:
        return True
    return ended_on < months_after(term.starts_on, term.months)


def _not_begun(term: Term, facts: Facts) -> Why | None:
    starts_on = term.starts_on
    if starts_on is not None and starts_on > facts.on:
        return Why.STARTS_LATER
    if starts_on is not None and (facts.on - starts_on).days < term.waiting_days:
        return Why.WAITING_DAYS
    if _to_wait_m(term, facts) > 0:
        return Why.WAITING_DISTANCE
    return None


def _to_wait_m(term: Term, facts: Facts) -> int:
    if not term.waiting_m or term.starts_at_m is None or facts.distance_m is None:
        return 0
    return metres_left(term.starts_at_m + term.waiting_m, facts.distance_m)


# ------------------------------------------------------------------ doubts


def _contradiction(term: Term, facts: Facts) -> Why | None:
    if term.starts_on is not None and term.starts_on > facts.on:
        # A contract bought ahead starts at a day and a distance that are both still to come.
        bought_ahead = term.kind is Kind.SERVICE_CONTRACT
        return None if bought_ahead else Why.BEFORE_ITS_START
    begun_m, now_m = term.starts_at_m, facts.distance_m
    if begun_m is not None and now_m is not None and metres_left(now_m, begun_m) < 0:
        return Why.ODOMETER_LOWER
    return None


def _missing(term: Term, facts: Facts) -> tuple[Missing, ...]:
    timed = term.months is not None or term.waiting_days
    far = term.distance_m is not None or term.waiting_m
    found: list[Missing] = []
    if timed and term.starts_on is None:
        found.append(sentences.no_start(term))
    if far and facts.distance_m is None:
        found.append(sentences.NO_ODOMETER)
    if far and term.starts_at_m is None:
        found.append(sentences.no_start_distance(term))
    if term.kind is Kind.CAMPAIGN and term.scope.of_everything:
        found.append(sentences.NO_CAMPAIGN_COMPONENT)
    elif _component_open(term, facts):
        found.append(sentences.NO_SYSTEM if facts.component else sentences.NO_COMPONENT)
    if term.scope.failure_modes and not facts.failure_mode:
        found.append(sentences.NO_FAILURE_MODE)
    return tuple(found)


def _component_open(term: Term, facts: Facts) -> bool:
    """Does the term depend on a component, or its system, that nobody has told? The system that
    is complained of decides nothing: what is at fault may belong to another."""
    scope = term.scope
    if facts.component:
        untold = scope.systems and not facts.system
        return bool(untold and facts.component not in scope.components)
    return bool(scope.left_out) or not scope.of_everything
