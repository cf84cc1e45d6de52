"""Lamps seen: what they mean, whether the vehicle may be driven, what to do first. Pure.

The rules are data and come from the catalogue. A rule speaks only when everything in its
pattern was looked at; where a look is missing the answer says which, instead of guessing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum


class Lamp(StrEnum):
    """A tell-tale of the chassis."""

    AMBER_ANTILOCK = "amber_antilock"
    RED_BRAKE = "red_brake"
    AMBER_STEERING = "amber_steering"
    AMBER_STABILITY = "amber_stability"

    @property
    def label(self) -> str:
        """The lamp as it is said in the shop."""
        return {
            Lamp.AMBER_ANTILOCK: "amber anti-lock lamp",
            Lamp.RED_BRAKE: "red brake lamp",
            Lamp.AMBER_STEERING: "amber steering assist lamp",
            Lamp.AMBER_STABILITY: "amber stability lamp",
        }[self]


class Situation(StrEnum):
    """When a lamp was looked at."""

    KEY_ON = "key_on"
    ENGINE_RUNNING = "engine_running"  # more than about 2 s into it
    DRIVING = "driving"

    @property
    def label(self) -> str:
        """The situation as it is said: "with the engine running"."""
        return {
            Situation.KEY_ON: "at key-on",
            Situation.ENGINE_RUNNING: "with the engine running",
            Situation.DRIVING: "while driving",
        }[self]


class Shown(StrEnum):
    """What a lamp did."""

    DARK = "dark"
    FLASHING = "flashing"
    STEADY = "steady"

    @property
    def label(self) -> str:
        """The same word."""
        return self.value


@dataclass(frozen=True, slots=True)
class Observation:
    """One lamp in one situation and how it showed."""

    lamp: Lamp
    situation: Situation
    shown: Shown


@dataclass(frozen=True, slots=True)
class Part:
    """One thing a rule asks for: this lamp, in this situation, showing one of these."""

    lamp: Lamp
    situation: Situation
    shown: frozenset[Shown]

    def __post_init__(self) -> None:
        if not self.shown:
            raise ValueError("Part of a pattern allows no way for the lamp to show.")

    @property
    def in_words(self) -> str:
        """The look itself, without its outcome: "red brake lamp with the engine running"."""
        return f"{self.lamp.label} {self.situation.label}"


@dataclass(frozen=True, slots=True)
class Rule:
    """What a pattern of lamps means.

    key: its name in the catalogue.
    order: rank by severity, the lowest being the most severe; of equals the unsafe comes first.
    pattern: all parts must be observed and fit.
    says, first: what it means, and what to do first; sentences.
    may_drive, unsafe: whether the vehicle may be driven, and whether the job gets the
        not-to-be-driven mark. An unsafe vehicle may not be driven.
    bulb_finding: the lamp itself is what is wrong.
    only_alone: spoken only when no other rule fits ("nothing detected").

    Raises ValueError for an empty pattern and for unsafe with may_drive.
    """

    key: str
    order: int
    pattern: tuple[Part, ...]
    says: str
    first: str
    may_drive: bool
    unsafe: bool = False
    bulb_finding: bool = False
    only_alone: bool = False

    def __post_init__(self) -> None:
        if not self.pattern:
            raise ValueError(f"Rule {self.key} has no pattern: it would always speak.")
        if self.unsafe and self.may_drive:
            raise ValueError(f"Rule {self.key} calls the vehicle unsafe and lets it be driven.")


@dataclass(frozen=True, slots=True)
class Triage:
    """What the lamps say.

    rule_key: the most severe rule that fits, None when none does; says, first: its sentences.
    may_drive: False as soon as one fitting rule forbids it; None while it cannot be said,
        because none fits or a look that could forbid it is missing. unsafe: one fitting rule
        says so. findings: what the other fitting rules say, most severe first; missing: looks
        that could still change the answer; matched: keys of all fitting rules.
    """

    rule_key: str | None
    says: str
    first: str
    may_drive: bool | None
    unsafe: bool
    findings: tuple[str, ...]
    missing: tuple[str, ...]
    matched: tuple[str, ...]


def triage(observations: Iterable[Observation], rules: Iterable[Rule]) -> Triage:
    """Weigh what was seen against the rules.

    observations: in the order they were made; a later one of the same lamp in the same
        situation replaces the earlier.
    rules: in any order. Raises ValueError when two have the same key.
    """
    seen = {(one.lamp, one.situation): one.shown for one in observations}
    ranked = sorted(rules, key=lambda rule: (rule.order, not rule.unsafe, rule.key))
    if len({rule.key for rule in ranked}) < len(ranked):
        raise ValueError("Two tell-tale rules have the same key.")
    fitting = [rule for rule in ranked if _fits(rule, seen)]
    others = [rule for rule in fitting if not rule.only_alone]
    spoken = others or fitting[:1]
    open_rules = [rule for rule in ranked if _could_still_fit(rule, seen)]
    if not spoken:
        return _nothing_fits(seen, ranked, open_rules)
    winner = spoken[0]
    more_severe = [rule for rule in open_rules if rule.order < winner.order]
    forbidden = any(not rule.may_drive for rule in spoken)
    could_forbid = any(not rule.may_drive for rule in more_severe)
    return Triage(
        rule_key=winner.key,
        says=winner.says,
        first=winner.first,
        may_drive=False if forbidden else None if could_forbid else True,
        unsafe=any(rule.unsafe for rule in spoken),
        findings=tuple(rule.says for rule in spoken[1:]),
        missing=_looks_missing(more_severe, seen),
        matched=tuple(rule.key for rule in spoken),
    )


_Seen = Mapping[tuple[Lamp, Situation], Shown]


def _fits(rule: Rule, seen: _Seen) -> bool:
    return all(seen.get((part.lamp, part.situation)) in part.shown for part in rule.pattern)


def _could_still_fit(rule: Rule, seen: _Seen) -> bool:
    """Whether nothing seen speaks against the rule but some look is missing.

    Nobody is sent driving to find out whether the vehicle may be driven, so a look while
    driving is never called missing.
    """
    missing = False
    for part in rule.pattern:
        look = seen.get((part.lamp, part.situation))
        if look is None and part.situation is Situation.DRIVING:
            return False
        if look is not None and look not in part.shown:
            return False
        missing = missing or look is None
    return missing


def _looks_missing(rules: Iterable[Rule], seen: _Seen) -> tuple[str, ...]:
    missing = (
        part.in_words
        for rule in rules
        for part in rule.pattern
        if (part.lamp, part.situation) not in seen
    )
    return tuple(dict.fromkeys(missing))


def _nothing_fits(seen: _Seen, ranked: Sequence[Rule], open_rules: Sequence[Rule]) -> Triage:
    missing = _looks_missing(open_rules, seen)
    if not seen:
        says = "No lamp has been looked at yet."
    elif missing:
        says = f"Not enough was seen to say. Not looked at: {', '.join(missing)}."
    else:
        says = "No rule describes these lamps together."
    if missing:
        first = f"Look at the {missing[0]}."
    elif ranked:
        first = (
            "Follow the vehicle maker's information, and do not drive it until the cause is known."
        )
    else:
        first = "The catalogue has no tell-tale rules for this platform. Follow the maker's own."
    return Triage(
        rule_key=None,
        says=says,
        first=first,
        may_drive=None,
        unsafe=False,
        findings=(),
        missing=missing,
        matched=(),
    )
