"""Which rule judges brake forces, asked alike by every kind, and its words. Pure."""

from __future__ import annotations

from diagnostics.compute.braking import (
    GB_DANGEROUS_SHARE,
    NEWER_CARS_FROM,
    Rule,
    Standing,
    System,
    gb_required,
    is_newer,
)
from diagnostics.measurements.fields import Choice
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Finding, Tone
from shop.units import format_value

NONE, NEW, OLD = "none", "new", "old"

RULE = Choice(
    "rule",
    "Judge by",
    (
        (Rule.GB.value, "GB in-service rules (inspection manual, section 1)"),
        (Rule.US.value, "US in-service rules (49 CFR 570)"),
        (NONE, "No rule, figures only"),
    ),
    required=False,
    known="brake_rule",
    help="The workshop’s settings choose it. The testing authority’s own current text decides.",
)
FIRST_USED = Choice(
    "first_used",
    "Car first used",
    ((NEW, "On or after 1 September 2010"), (OLD, "Before that, or a light van")),
    required=False,
    known="first_used",
    help="Only the GB rules ask: 58 % or 50 %.",
)

GB_SOURCE = (
    "GB inspection manual, section 1 (read in a copy; Directive 2014/45/EU behind it was not)"
)
US_SIDE_SOURCE = "49 CFR 570.5(d)(1), from memory"
US_STOP_SOURCE = "49 CFR 570.5(d)(2), from memory"
AUTHORITY = "The testing authority’s own current text decides; only it passes or fails a vehicle."

_TONES: dict[Standing, Tone] = {
    Standing.MET: "good",
    Standing.DISREGARDED: "unknown",
    Standing.NOT_JUDGED: "unknown",
    Standing.FAILED: "bad",
    Standing.MAJOR: "bad",
    Standing.DANGEROUS: "bad",
}
DANGEROUS_SAYS = "By the rule this is dangerous: the car does not go on the road like this."


def rule_of(given: Given, known: Known) -> Rule | None:
    """The rule chosen, or else the workshop's; None when neither says one."""
    chosen = given.choice("rule") or known.brake_rule
    return Rule(chosen) if chosen in (Rule.GB, Rule.US) else None


def is_newer_car(given: Given, known: Known) -> bool:
    """Whether the car was first used from 1 September 2010 on. Raises InputError when not known."""
    chosen = given.choice("first_used")
    if chosen:
        return chosen == NEW
    if known.first_used is None:
        raise InputError(
            "Choose when the car was first used: the GB figure depends on it.", "first_used"
        )
    return is_newer(known.first_used)


def required(rule: Rule | None, system: System, given: Given, known: Known) -> float | None:
    """The least efficiency by the rule, None where it sets none. Raises InputError as above."""
    if rule is not Rule.GB:
        return None
    newer = system is not System.SERVICE or is_newer_car(given, known)
    return gb_required(system, newer=newer)


def efficiency_allowed(least: float, *, by_lock: bool = False, conditions: str = "") -> Allowed:
    """The GB figure as a limit. Taken as met by locked wheels, any figure is enough."""
    if by_lock:
        says = "more than half of the wheels locked: taken as met"
        return Allowed("%", GB_SOURCE, low=0.0, conditions=says)
    return Allowed("%", GB_SOURCE, low=least, conditions=conditions)


def tone_of_standing(standing: Standing) -> Tone:
    """A standing as a tone: whatever fails is bad, whatever is not judged unknown."""
    return _TONES[standing]


def about_rule(rule: Rule | None, given: Given, known: Known) -> tuple[str, ...]:
    """Which rule was taken, and whether the record says another age than was chosen."""
    if rule is None:
        return ("No rule judged these figures.",)
    named = {
        Rule.GB: "Judged by the GB in-service rules, inspection manual section 1.",
        Rule.US: "Judged by the US in-service rules, 49 CFR 570.5, known from memory.",
    }
    notes = [f"{named[rule]} {AUTHORITY}"]
    used = known.first_used
    if rule is Rule.GB and given.choice("first_used") == NEW and used and used < NEWER_CARS_FROM:
        notes.append(
            f"The vehicle’s record says first used on {used:%-d %B %Y}: before the date chosen."
        )
    return tuple(notes)


def no_rule() -> Finding:
    """The finding that says that nobody chose a rule."""
    return Finding(
        "unknown",
        "No rule is chosen, so nothing is judged: choose one above, or for the whole workshop in "
        "its settings.",
    )


def efficiency_says(standing: Standing, value: float, least: float) -> str:
    """How an efficiency stands before the GB figure, without what it points to."""
    shown, needed = percent(value), percent(least)
    if shown == needed and value != least:
        shown = format_value(value, "%", digits=8)
    if standing is Standing.DANGEROUS:
        half = percent(least * GB_DANGEROUS_SHARE)
        return f"{shown} is less than half of the {needed} required ({half}). {DANGEROUS_SAYS}"
    if standing is Standing.MAJOR:
        return f"{shown} is below the {needed} required: a major defect by the rule."
    return f"{shown} meets the {needed} required."


def percent(ratio: float) -> str:
    """With two places at most, so that what is just outside does not look like the limit."""
    return format_value(round(ratio, 4), "%")
