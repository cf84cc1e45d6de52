"""All promises held against the facts: who pays first, and what nobody could tell. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from jobs.coverage.facts import Facts, Missing
from jobs.coverage.judging import Judged, Outcome, judge
from jobs.coverage.terms import IN_ORDER, Term

RULES = 1  # which edition of these rules decided; goes up whenever an answer could change


@dataclass(frozen=True, slots=True)
class Share:
    """One payer in its turn: `percent` of the price, less `deductible`."""

    payer: str
    name: str
    percent: Decimal
    deductible: Decimal


@dataclass(frozen=True, slots=True)
class Decision:
    """`decided` is the term that the outcome rests on, None when there is no term at all.

    `judged` holds every term in the order of asking, `asked` those before the deciding one
    that nobody could judge, `missing` every fact that was not found, each once.
    """

    outcome: Outcome
    decided: Judged | None
    judged: tuple[Judged, ...]
    payers: tuple[Share, ...]
    asked: tuple[Judged, ...]
    missing: tuple[Missing, ...]
    rules: int = RULES

    @property
    def because(self) -> str:
        return f"{self.decided.term.name}: {self.decided.because}" if self.decided else NOTHING


_ORDER = {kind: turn for turn, kind in enumerate(IN_ORDER)}
NOTHING = "No warranty, contract or campaign is on record for this vehicle."


def decide(facts: Facts, terms: Iterable[Term], *, unit: str = "km") -> Decision:
    """Who pays for what `facts` tell, the first that covers it before the others.

    Order: campaign, vehicle warranty, parts warranty, service contract; among equals one of every
    failure before one of some, then the one that bears more after its deductible, then the one
    that lasts longer, then by key, so that the order in which terms are given does not matter.
    One covering term is enough: what the others leave open is kept as a question. Without any the
    outcome needs a person when one term does, and else is not covered: decided then by the first
    term that speaks of it at all.
    """
    judged = tuple(sorted([judge(term, facts, unit=unit) for term in terms], key=_turn))
    covered = [one for one in judged if one.outcome is Outcome.COVERED]
    open_ones = [one for one in judged if one.outcome is Outcome.NEEDS_PERSON]
    near = [one for one in judged if one.speaks_of_it]
    decided = next(iter(covered or open_ones or near or judged), None)
    outcome = decided.outcome if decided else Outcome.NOT_COVERED
    return Decision(
        outcome=outcome,
        decided=decided,
        judged=judged,
        payers=_payers(covered),
        asked=tuple(_asked(judged, decided)),
        missing=_each_once(judged),
    )


def _turn(one: Judged) -> tuple[int, bool, Decimal, Decimal, int, str]:
    term = one.term
    ends = -(one.last_day.toordinal() if one.last_day else 10**7)
    narrow = bool(term.scope.failure_modes)
    return (_ORDER[term.kind], narrow, -term.percent, term.deductible, ends, term.key)


def _asked(judged: tuple[Judged, ...], decided: Judged | None) -> Iterator[Judged]:
    for one in judged:
        if one is decided:
            return
        if one.outcome is Outcome.NEEDS_PERSON:
            yield one


def _payers(covered: list[Judged]) -> tuple[Share, ...]:
    return tuple(
        Share(one.term.kind, one.term.name, one.term.percent, one.term.deductible)
        for one in covered
    )


def _each_once(judged: Iterable[Judged]) -> tuple[Missing, ...]:
    """Only what an undecided term lacks: a term that is certainly over needs nothing more."""
    every = (
        missing for one in judged if one.outcome is Outcome.NEEDS_PERSON for missing in one.missing
    )
    return tuple(dict.fromkeys(every))
