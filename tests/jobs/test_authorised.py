"""How far a price may go beyond what was authorised, what stays agreed, and vague names."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.agreed import Answer, agreed
from jobs.authorised import limit
from jobs.vague_names import is_vague

D = Decimal


@pytest.mark.parametrize(
    ("tolerance", "now", "over"),
    [
        # 16 CCR 3354(a): any charge above the authorised price, so at 0 % one cent is too much.
        ("0", "200.00", False),
        ("0", "200.01", True),
        # Prince George's County 26A-107: more than 10 % above the estimate needs consent.
        ("10", "220.00", False),
        ("10", "220.01", True),
        ("12.5", "225.00", False),
        ("12.5", "225.01", True),
    ],
)
def test_the_limit_is_what_was_authorised_and_the_tolerance(
    tolerance: str, now: str, over: bool
) -> None:
    assert limit(D("200.00"), D(tolerance), D(now)).over is over


def test_the_sentence_names_the_sums() -> None:
    said = limit(D(200), D("12.50"), D(300)).sentence("$")
    assert "come to $300.00 before tax" in said
    assert "$200.00 is authorised; 12.5 % more is allowed, $225.00" in said
    assert "nothing has been authorised" in limit(D(0), D(10), D(5)).sentence("$")


def test_a_no_leaves_what_was_authorised_before_and_a_yes_takes_its_place() -> None:
    first = {"labour:1": D(90)}
    more = {"labour:1": D(90), "part:2": D(184)}
    yes, no = Answer(7, True, first), Answer(7, False, more)
    assert agreed([yes, no]) == {7: first}
    assert agreed([yes, no, Answer(7, True, more)]) == {7: more}
    assert agreed([Answer(8, False, more)]) == {8: {}}


@pytest.mark.parametrize(
    "name",
    ["Shop supplies", "Misc. parts", "Miscellaneous", "supplies 10 %", "SUNDRIES", "Other fees"],
)
def test_a_name_that_does_not_say_what_is_charged(name: str) -> None:
    assert is_vague(name)


@pytest.mark.parametrize(
    "name",
    ["Brake fluid, glycol-ether", "Thread sealant", "Disposal of 2 litres of brake fluid"],
)
def test_a_name_that_does(name: str) -> None:
    assert not is_vague(name)
