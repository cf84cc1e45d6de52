"""The table of fixtures/reference/coverage_cases.yaml, case by case."""

from __future__ import annotations

import pytest

from jobs.coverage.deciding import decide
from jobs.coverage.why import Why
from tests.jobs.coverage.table import Case, cases, metres, shown

CASES = cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.name} {case.law}".strip())
def test_case(case: Case) -> None:
    wanted = dict(case.gives)
    if "left" in wanted:
        wanted["left"] = metres(wanted["left"])
    assert shown(decide(case.facts, case.terms), wanted) == wanted


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_order_of_terms_changes_nothing(case: Case) -> None:
    assert decide(case.facts, case.terms) == decide(case.facts, case.terms[::-1])


def test_the_table_is_long_enough_and_leaves_no_reason_out() -> None:
    assert len(CASES) >= 60
    assert len({case.name for case in CASES}) == len(CASES)
    assert {case.gives["why"] for case in CASES if "why" in case.gives} == set(Why)
    assert sum(bool(case.law) for case in CASES) >= 10
    assert all(case.law.endswith(("[R]", "[R2]", "[M]")) for case in CASES if case.law)
