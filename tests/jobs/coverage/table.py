"""Reads fixtures/reference/coverage_cases.yaml: facts, terms and what must come out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

import yaml

from jobs.coverage.deciding import Decision
from jobs.coverage.facts import Facts, Objection, Reason
from jobs.coverage.terms import Kind, Scope, Term
from jobs.coverage.warning import ends_soon
from tests.reference import FOLDER

SCOPES = ("components", "systems", "left_out", "failure_modes")
METRES = {"m": Decimal(1), "km": Decimal(1000), "mi": Decimal("1609.344")}


@dataclass(frozen=True, slots=True)
class Case:
    name: str
    law: str
    facts: Facts
    terms: tuple[Term, ...]
    gives: Mapping[str, Any]


def cases() -> list[Case]:
    kept = yaml.safe_load((FOLDER / "coverage_cases.yaml").read_text(encoding="utf-8"))
    return [
        Case(
            one["case"],
            one.get("law", ""),
            facts_of(**one["known"]),
            tuple(_term(kept["terms"], asked) for asked in one["terms"]),
            one["gives"],
        )
        for one in kept["cases"]
    ]


def metres(text: str | None) -> int | None:
    """ "60000 km" in whole metres, as an odometer is kept."""
    if text is None:
        return None
    number, unit = text.split()
    return round(Decimal(number) * METRES[unit])


def facts_of(
    came_in: date,
    distance: str | None = None,
    component: str = "",
    system: str = "",
    failure: str = "",
    nothing_found: bool = False,
    objected: Sequence[str] = (),
) -> Facts:
    return Facts(
        on=came_in,
        distance_m=metres(distance),
        component=component,
        system=system,
        failure_mode=failure,
        no_fault_found=nothing_found,
        objections=tuple(_objection(*one.split()) for one in objected),
    )


def _objection(reason: str, proof: str = "") -> Objection:
    shown = {"": "", "blank": "  ", "shown": "a photo"}[proof]
    return Objection(Reason(reason), "seen", shown)


def _term(named: Mapping[str, Any], asked: Any) -> Term:
    name, altered = (asked, {}) if isinstance(asked, str) else asked
    given = named[name] | altered
    words = {key: given[key] for key in ("starts_with",) if key in given}
    return Term(
        key=name,
        name=name,
        kind=Kind(given["kind"]),
        starts_on=given["starts_on"],
        starts_at_m=metres(given.get("starts_at", "0 m")),
        months=given.get("months"),
        distance_m=metres(given.get("distance")),
        waiting_days=given.get("waiting_days", 0),
        waiting_m=metres(given.get("waiting")) or 0,
        scope=Scope(**{key: frozenset(given.get(key, ())) for key in SCOPES}),
        percent=Decimal(given.get("percent", 100)),
        deductible=Decimal(given.get("deductible", 0)),
        remedied_on=given.get("remedied_on"),
        ended_on=given.get("ended_on"),
        **words,
    )


def shown(decision: Decision, wanted: Mapping[str, Any]) -> dict[str, Any]:
    """The decision as the table writes it; sentence and warning where the case asks for them."""
    one = decision.decided
    found: dict[str, Any] = {
        "outcome": str(decision.outcome),
        "missing": [missing.fact for missing in decision.missing],
        "pay": [_share(share.name, share.percent, share.deductible) for share in decision.payers],
        "asked": [asked.term.key for asked in decision.asked],
    }
    if one is not None:
        found |= {"by": one.term.key, "why": str(one.why), "days": one.days_left}
        found["left"] = one.distance_left_m
        if "soon" in wanted:
            found["soon"] = ends_soon(one)
    if "says" in wanted:
        found["says"] = decision.because.replace("\u202f", " ").replace("\xa0", " ")
    return {key: value for key, value in found.items() if value not in (None, [])}


def _share(name: str, percent: Decimal, deductible: Decimal) -> str:
    return f"{name} {percent}" + (f" less {deductible}" if deductible else "")
