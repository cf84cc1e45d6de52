"""`python -m tests.bench.coverage`: time who pays for 100,000 vehicles with a complaint each.

Needs no database: facts and terms lie ready, as the queries would have gathered them.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from statistics import median
from textwrap import wrap
from time import perf_counter

from jobs.coverage.deciding import Decision, decide
from jobs.coverage.facts import Facts
from jobs.coverage.judging import Outcome
from jobs.coverage.terms import Kind, Scope, Term

PAIRS, TURNS, SEED = 100_000, 3, 20260601
AIM = 25.0
TODAY = date(2026, 6, 1)
WHOLE = Scope(left_out=frozenset({"pads"}))
STEERING = Scope(systems=frozenset({"steering"}))
RACK = Scope(components=frozenset({"rack"}))
NOTE = (
    "Medians in one process, taking turns, the collector of garbage off. Each pair holds one "
    "complaint against four terms: two of the vehicle, one of a unit, one contract; every sixth "
    "lacks a fact. A bare construction makes one frozen dataclass of seven fields, the facts of "
    "that pair."
)

Pair = tuple[Facts, tuple[Term, ...]]


def main() -> None:
    pairs = [_pair(Random(SEED + number)) for number in range(PAIRS)]
    outcomes = _must_be_mixed(pairs)
    seconds = _side_by_side(
        {
            "decide": lambda: [decide(facts, terms) for facts, terms in pairs],
            "say": lambda: [_said(decide(facts, terms)) for facts, terms in pairs],
            "bare": lambda: [_bare(facts) for facts, _terms in pairs],
        }
    )
    sys.stdout.write("\n".join(_lines(seconds, outcomes)) + "\n")


def _pair(random: Random) -> Pair:
    start = date(2020, 1, 1) + timedelta(days=random.randrange(2300))
    fitted, bought = start + timedelta(days=500), start + timedelta(days=1000)
    begun = None if random.randrange(6) == 0 else start
    vehicle, far = Kind.VEHICLE_WARRANTY, 60_000_000
    terms = (
        Term("whole", "Whole", vehicle, begun, 0, 36, far, scope=WHOLE),
        Term("steering", "Steering", vehicle, begun, 0, 60, None, scope=STEERING),
        Term("rack", "Rack", Kind.PARTS_WARRANTY, fitted, 20_000_000, 24, 40_000_000, scope=RACK),
        Term(
            "contract",
            "Contract",
            Kind.SERVICE_CONTRACT,
            bought,
            far,
            24,
            40_000_000,
            waiting_days=30,
            waiting_m=1_000_000,
            deductible=Decimal(100),
        ),
    )
    component, system = random.choice(
        (("rack", "steering"), ("pads", "brakes"), ("hose", "brakes"))
    )
    return Facts(TODAY, random.randrange(150_000_000), component, system), terms


def _bare(facts: Facts) -> Facts:
    return Facts(
        facts.on,
        facts.distance_m,
        facts.component,
        facts.system,
        facts.failure_mode,
        facts.no_fault_found,
        facts.objections,
    )


def _said(decision: Decision) -> str:
    return " ".join([decision.because, *(one.because for one in decision.judged)])


def _must_be_mixed(pairs: Sequence[Pair]) -> dict[Outcome, int]:
    """A quick answer counts only when every answer is among them."""
    outcomes = [decide(facts, terms).outcome for facts, terms in pairs]
    counted = {outcome: outcomes.count(outcome) for outcome in Outcome}
    if min(counted.values()) < PAIRS // 100:
        raise AssertionError(f"The pairs are too much alike: {counted}")
    return counted


def _side_by_side(cases: dict[str, Callable[[], object]]) -> dict[str, float]:
    taken: dict[str, list[float]] = {name: [] for name in cases}
    gc.disable()
    for _ in range(TURNS):
        for name, case in cases.items():
            begun = perf_counter()
            case()
            taken[name].append(perf_counter() - begun)
            gc.collect()
    gc.enable()
    return {name: median(values) for name, values in taken.items()}


def _lines(seconds: dict[str, float], outcomes: dict[Outcome, int]) -> list[str]:
    ratio = seconds["decide"] / seconds["bare"]
    said = "aim" if ratio <= AIM else "OVER the aim"
    mixed = ", ".join(f"{outcome.value} {count:,}" for outcome, count in outcomes.items())
    return [
        f"Who pays, {PAIRS:,} vehicles with a complaint each: {mixed}",
        "",
        f"{'decided':<48}{seconds['decide']:>8.2f} s",
        f"{'decided, and every sentence written':<48}{seconds['say']:>8.2f} s",
        f"{'bare dataclass constructions':<48}{seconds['bare']:>8.2f} s",
        "",
        f"{'decided / bare':<48}{ratio:>8.1f}     {said} {AIM:g}",
        f"{'decided and written / bare':<48}{seconds['say'] / seconds['bare']:>8.1f}",
        "",
        *wrap(NOTE, 96),
    ]


if __name__ == "__main__":
    main()
