"""What a judgement says in words: written only where somebody reads it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING

from jobs.coverage.facts import Missing, Reason
from jobs.coverage.spans import metres_left
from jobs.coverage.terms import Kind, Term
from jobs.coverage.why import Why
from shop.units import format_value, from_si

if TYPE_CHECKING:
    from jobs.coverage.judging import Judged

NO_ODOMETER = Missing(
    "the odometer",
    "Without an odometer reading nobody can tell whether the distance is used up.",
)
NO_COMPONENT = Missing(
    "the component at fault",
    "Until a component is concluded nobody can tell whether this term speaks of it.",
)
NO_SYSTEM = Missing(
    "the system of the component",
    "Until it is known to which system the component belongs nobody can tell whether this term "
    "speaks of it.",
)
NO_CAMPAIGN_COMPONENT = Missing(
    "what the campaign is about",
    "No component is noted for this campaign: say whether this complaint is the work it asks for.",
)
NO_FAILURE_MODE = Missing(
    "how it failed",
    "This term covers one kind of failure only: conclude how the component failed.",
)


def no_start(term: Term) -> Missing:
    """The day that the months run from is not known."""
    return Missing(
        term.starts_with,
        f"Without {term.starts_with} nobody can tell whether the months have run out.",
    )


def no_start_distance(term: Term) -> Missing:
    """What the odometer showed when the distance began to run is not known."""
    return Missing(
        f"the distance at {term.starts_with}",
        f"Without the distance at {term.starts_with} nobody can tell how much of it is used up.",
    )


def because(one: Judged) -> str:
    """Why it was judged so, as one or two sentences."""
    words = _WORDS[one.why]
    return words if isinstance(words, str) else words(one)


# ------------------------------------------------------------------ refusals


def _remedied(one: Judged) -> str:
    return f"It was carried out on this vehicle on {_day(one.term.remedied_on)}."


def _time_over(one: Judged) -> str:
    return (
        f"{_months(one.term.months)} from {one.term.starts_with} ended on {_day(one.last_day)}, "
        f"{_days(-(one.days_left or 0))} before the vehicle came in."
    )


def _ended_early(one: Judged) -> str:
    return (
        f"It was ended early on {_day(one.last_day)}, {_days(-(one.days_left or 0))} before the "
        "vehicle came in."
    )


def _distance_over(one: Judged) -> str:
    return (
        f"{_far(one.term.distance_m, one.unit)} were used up "
        f"{_far(-(one.distance_left_m or 0), one.unit)} before the vehicle came in."
    )


def _starts_later(one: Judged) -> str:
    return f"It starts on {_day(one.term.starts_on)}, after the vehicle came in."


def _waiting_days(one: Judged) -> str:
    term = one.term
    waited = (one.facts.on - term.starts_on).days if term.starts_on else 0
    return (
        f"The waiting period has {_days(term.waiting_days - waited)} of {term.waiting_days} to run."
    )


def _waiting_distance(one: Judged) -> str:
    term = one.term
    rest = metres_left((term.starts_at_m or 0) + term.waiting_m, one.facts.distance_m or 0)
    whole = _far(term.waiting_m, one.unit)
    return f"The waiting distance has {_far(rest, one.unit)} of {whole} to go."


# ------------------------------------------------------------------ doubts


def _before_its_start(one: Judged) -> str:
    start, day = one.term.starts_with, _day(one.term.starts_on)
    words = f"{start[:1].upper()}{start[1:]}, {day}, lies after the day the vehicle came in."
    if one.term.kind is Kind.CAMPAIGN:
        return f"{words} Ask whether work that was begun before is paid too."
    return f"{words} One of the two is wrong."


def _odometer_lower(one: Judged) -> str:
    now, then = _far(one.facts.distance_m, one.unit), _far(one.term.starts_at_m, one.unit)
    return (
        f"The odometer shows {now}, less than the {then} at {one.term.starts_with}. Find out why "
        "before anybody is asked to pay."
    )


def _objection_shown(one: Judged) -> str:
    if one.objection is None:
        return ""
    said = one.objection
    return f"{_NAMED[said.reason]} caused the failure: {said.words}. Shown by {said.shown}."


def _objection_unproved(one: Judged) -> str:
    if one.objection is None:
        return ""
    said = one.objection
    return (
        f"{_NAMED[said.reason]} is suspected ({said.words}), and nothing shows yet that it caused "
        "the failure. Who refuses must show it."
    )


def _missing(one: Judged) -> str:
    return one.missing[0].sentence if one.missing else ""


_NAMED = {
    Reason.DAMAGE: "Damage from outside",
    Reason.MODIFICATION: "A change to the vehicle",
    Reason.NEGLECT: "Missed maintenance",
    Reason.OTHER_BRAND: "A part or service of another make",
}


# ------------------------------------------------------------------ what holds


def _holds(one: Judged) -> str:
    left = []
    if one.last_day is not None and one.days_left is not None:
        left.append(f"{_days(one.days_left)} left, until {_day(one.last_day)}")
    if one.distance_left_m is not None:
        left.append(f"{_far(one.distance_left_m, one.unit)} left")
    if not left:
        return "It holds without limit of time and distance."
    words = " and ".join(left)
    if one.last_day is None:
        words += ", without limit of time"
    if one.term.distance_m is None:
        words += ", without limit of distance"
    return f"It holds: {words}."


_WORDS: Mapping[Why, str | Callable[[Judged], str]] = MappingProxyType(
    {
        Why.HOLDS: _holds,
        Why.REMEDIED: _remedied,
        Why.LEFT_OUT: "The component is left out of this term: it wears in use.",
        Why.OTHER_COMPONENT: "The component does not fall under this term.",
        Why.OTHER_FAILURE: "This term covers another kind of failure only.",
        Why.NO_FAULT: "No fault was found, so nothing failed that the term could cover.",
        Why.TIME_OVER: _time_over,
        Why.ENDED_EARLY: _ended_early,
        Why.DISTANCE_OVER: _distance_over,
        Why.STARTS_LATER: _starts_later,
        Why.WAITING_DAYS: _waiting_days,
        Why.WAITING_DISTANCE: _waiting_distance,
        Why.OBJECTION_SHOWN: _objection_shown,
        Why.BEFORE_ITS_START: _before_its_start,
        Why.ODOMETER_LOWER: _odometer_lower,
        Why.MISSING: _missing,
        Why.OBJECTION_UNPROVED: _objection_unproved,
    }
)


# ------------------------------------------------------------------ figures in words


def _months(months: int | None) -> str:
    return "1 month" if months == 1 else f"{months} months"


def _days(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"


def _day(day: date | None) -> str:
    return "" if day is None else f"{day.day} {day:%B %Y}"


def _far(metres: int | None, unit: str) -> str:
    """In whole units as an odometer shows them; what is less than one is said to be so."""
    si = float(metres or 0)
    if 0 < round(from_si(si, unit), 3) < 1:
        return f"less than 1 {unit}"
    return format_value(si, unit, decimals=0)
