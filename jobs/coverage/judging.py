"""One promise held against the facts. Pure.

Sources: 15 USC 2302(c) and 16 CFR 700.10 as summarised in public pages: a warranty may not be
made to depend on a named brand of part or service, and who refuses because of one must show that
it caused the failure. Local law decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from jobs.coverage.facts import Facts, Missing, Objection, Reason
from jobs.coverage.spans import days_left, months_after
from jobs.coverage.terms import Kind, Term
from shop.units import format_value


class Outcome(StrEnum):
    COVERED = "covered"
    NOT_COVERED = "not_covered"
    NEEDS_PERSON = "needs_person"


@dataclass(frozen=True, slots=True)
class Judged:
    """What one term says. Days and metres left are negative when exceeded, None when the term
    has no such limit or the fact is missing; `last_day` is the last day it holds."""

    term: Term
    outcome: Outcome
    because: str
    last_day: date | None = None
    days_left: int | None = None
    distance_left_m: int | None = None
    missing: tuple[Missing, ...] = ()


def judge(term: Term, facts: Facts, *, unit: str = "km") -> Judged:
    """Does `term` cover what `facts` tell? `unit` is that of distances in sentences.

    What is certain goes before what is missing: a distance that is exceeded ends a term whose
    start nobody knows. Raises UnitError for a unit of length that is not known.
    """
    last_day = _last_day(term)
    days = None if last_day is None else days_left(last_day, facts.on)
    left_m = _left_m(term, facts)
    missing = _missing(term, facts)

    def said(outcome: Outcome, because: str) -> Judged:
        return Judged(term, outcome, because, last_day, days, left_m, missing)

    refused = _out_of_scope(term, facts) or _ended(term, facts, last_day, left_m, unit)
    if refused:
        return said(Outcome.NOT_COVERED, refused)
    doubt = _contradiction(term, facts, unit)
    if doubt:
        return said(Outcome.NEEDS_PERSON, doubt)
    refused = _not_begun(term, facts, unit)
    if refused:
        return said(Outcome.NOT_COVERED, refused)
    for one in facts.objections:
        shown = _objected(one)
        if shown:
            return said(Outcome.NOT_COVERED, shown)
    if missing:
        return said(Outcome.NEEDS_PERSON, missing[0].sentence)
    for one in facts.objections:
        if one.reason is not Reason.OTHER_BRAND:
            return said(Outcome.NEEDS_PERSON, _unproved(one))
    return said(Outcome.COVERED, _holds(term, last_day, days, left_m, unit))


# ------------------------------------------------------------------ figures


def _last_day(term: Term) -> date | None:
    if term.months is None or term.starts_on is None:
        return None
    return months_after(term.starts_on, term.months)


def _left_m(term: Term, facts: Facts) -> int | None:
    if term.distance_m is None or term.starts_at_m is None or facts.distance_m is None:
        return None
    return term.starts_at_m + term.distance_m - facts.distance_m


# ------------------------------------------------------------------ certain refusals


def _out_of_scope(term: Term, facts: Facts) -> str:
    scope = term.scope
    if term.remedied_on is not None:
        return f"It was carried out on this vehicle on {_day(term.remedied_on)}."
    if facts.component in scope.left_out and facts.component:
        return "The component is left out of this term: it wears in use."
    known_outside = facts.component and facts.component not in scope.components
    if not scope.of_everything and known_outside and facts.system not in scope.systems:
        return "The component does not fall under this term."
    if scope.failure_modes and facts.failure_mode and facts.failure_mode not in scope.failure_modes:
        return "This term covers another kind of failure only."
    if facts.no_fault_found:
        return "No fault was found, so nothing failed that the term could cover."
    return ""


def _ended(term: Term, facts: Facts, last_day: date | None, left_m: int | None, unit: str) -> str:
    if last_day is not None and last_day < facts.on:
        days = (facts.on - last_day).days
        return (
            f"{_months(term.months)} from {term.starts_with} ended on {_day(last_day)}, "
            f"{_days(days)} before the vehicle came in."
        )
    if left_m is not None and left_m < 0:
        return (
            f"{_far(term.distance_m, unit)} were used up {_far(-left_m, unit)} before the vehicle "
            "came in."
        )
    return ""


def _not_begun(term: Term, facts: Facts, unit: str) -> str:
    if term.starts_on is not None and term.starts_on > facts.on:
        return f"It starts on {_day(term.starts_on)}, after the vehicle came in."
    if term.starts_on is not None and term.waiting_days:
        waited = (facts.on - term.starts_on).days
        if waited < term.waiting_days:
            rest = term.waiting_days - waited
            return f"The waiting period has {_days(rest)} of {term.waiting_days} to run."
    if term.waiting_m and term.starts_at_m is not None and facts.distance_m is not None:
        rest_m = term.starts_at_m + term.waiting_m - facts.distance_m
        if rest_m > 0:
            return (
                f"The waiting distance has {_far(rest_m, unit)} of {_far(term.waiting_m, unit)} "
                "to go."
            )
    return ""


# ------------------------------------------------------------------ doubts


def _contradiction(term: Term, facts: Facts, unit: str) -> str:
    later = term.starts_on is not None and term.starts_on > facts.on
    if later and term.kind is not Kind.SERVICE_CONTRACT:
        return (
            f"{term.starts_with[:1].upper()}{term.starts_with[1:]}, {_day(term.starts_on)}, lies "
            "after the day the vehicle came in. One of the two is wrong."
        )
    begun_m, now_m = term.starts_at_m, facts.distance_m
    if begun_m is not None and now_m is not None and now_m < begun_m:
        return (
            f"The odometer shows {_far(now_m, unit)}, less than the {_far(begun_m, unit)} at "
            f"{term.starts_with}. Find out why before anybody is asked to pay."
        )
    return ""


def _missing(term: Term, facts: Facts) -> tuple[Missing, ...]:
    found = []
    timed = term.months is not None or term.waiting_days
    if timed and term.starts_on is None:
        found.append(
            Missing(
                term.starts_with,
                f"Without {term.starts_with} nobody can tell whether the months have run out.",
            )
        )
    far = term.distance_m is not None or term.waiting_m
    if far and facts.distance_m is None:
        found.append(
            Missing(
                "the odometer",
                "Without an odometer reading nobody can tell whether the distance is used up.",
            )
        )
    if far and term.starts_at_m is None:
        found.append(
            Missing(
                f"the distance at {term.starts_with}",
                f"Without the distance at {term.starts_with} nobody can tell how much of it is "
                "used up.",
            )
        )
    found += _missing_cause(term, facts)
    return tuple(found)


def _missing_cause(term: Term, facts: Facts) -> list[Missing]:
    scope, found = term.scope, []
    decided_by_system = facts.system and facts.system in scope.systems and not scope.left_out
    open_scope = scope.of_everything and not scope.left_out
    if not facts.component and not (open_scope or decided_by_system):
        found.append(
            Missing(
                "the component at fault",
                "Until a component is concluded nobody can tell whether this term speaks of it.",
            )
        )
    if scope.failure_modes and not facts.failure_mode:
        found.append(
            Missing(
                "how it failed",
                "This term covers one kind of failure only: conclude how the component failed.",
            )
        )
    return found


def _objected(one: Objection) -> str:
    """The sentence that refuses, when what is objected is shown to have caused the failure."""
    if not one.shown.strip():
        return ""
    return f"{_NAMED[one.reason]} caused the failure: {one.words}. Shown by {one.shown}."


def _unproved(one: Objection) -> str:
    return (
        f"{_NAMED[one.reason]} is suspected ({one.words}), and nothing shows yet that it caused "
        "the failure. Who refuses must show it."
    )


_NAMED = {
    Reason.DAMAGE: "Damage from outside",
    Reason.MODIFICATION: "A change to the vehicle",
    Reason.NEGLECT: "Missed maintenance",
    Reason.OTHER_BRAND: "A part or service of another make",
}


# ------------------------------------------------------------------ words


def _holds(
    term: Term, last_day: date | None, days: int | None, left_m: int | None, unit: str
) -> str:
    left = []
    if last_day is not None and days is not None:
        left.append(f"{_days(days)} left, until {_day(last_day)}")
    if left_m is not None:
        left.append(f"{_far(left_m, unit)} left")
    if not left:
        return "It holds without limit of time and distance."
    words = " and ".join(left)
    if term.months is None:
        words += ", without limit of time"
    if term.distance_m is None:
        words += ", without limit of distance"
    return f"It holds: {words}."


def _months(months: int | None) -> str:
    return "1 month" if months == 1 else f"{months} months"


def _days(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"


def _day(day: date | None) -> str:
    return "" if day is None else f"{day.day} {day:%B %Y}"


def _far(metres: int | None, unit: str) -> str:
    return format_value(float(metres or 0), unit, decimals=0)
