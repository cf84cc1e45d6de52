"""Why a part is kept and when it may go. The days are counted by hand.

Exchange parts and parts that go back under warranty are not returned: 16 CCR 3355 (as read in a
public copy). That a payer's claim comes before a core's credit is common practice, no source.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from jobs.holding import Due, Held, Why, due, proposed, stays_because, wanted_back

TODAY = date(2026, 5, 20)
BEFORE, AFTER = TODAY - timedelta(days=1), TODAY + timedelta(days=1)


@pytest.mark.parametrize(
    ("payer", "credit", "wants", "why"),
    [
        ("vehicle warranty", "40.00", True, Why.PAYER),
        ("", "40.00", True, Why.CORE),
        ("", "0.00", True, Why.CUSTOMER),
        ("", None, True, Why.CUSTOMER),
        ("", None, False, Why.SCRAP),
    ],
)
def test_why_it_is_kept_follows_from_the_job(
    payer: str, credit: str | None, wants: bool, why: Why
) -> None:
    amount = Decimal(credit) if credit else None
    assert proposed(payer=payer, core_credit=amount, customer_wants=wants).why is why


@pytest.mark.parametrize(
    ("unless_waived", "answer", "wanted"),
    [
        (False, "", False),
        (False, "wanted", True),
        (False, "not_wanted", False),
        (True, "", True),
        (True, "not_wanted", False),
    ],
)
def test_the_rule_on_returned_parts(unless_waived: bool, answer: str, wanted: bool) -> None:
    assert wanted_back(unless_waived=unless_waived, answer=answer) is wanted


@pytest.mark.parametrize(
    ("part", "what"),
    [
        (Held(Why.CORE, AFTER), Due.SEND),
        (Held(Why.CORE, TODAY), Due.SEND),
        (Held(Why.CORE, BEFORE), Due.OVERDUE),
        (Held(Why.PAYER, AFTER, left_on=BEFORE), Due.KEPT),
        (Held(Why.PAYER, TODAY, left_on=BEFORE), Due.KEPT),
        (Held(Why.PAYER, BEFORE, left_on=BEFORE), Due.MAY_GO),
        (Held(Why.PAYER, BEFORE, asked_for_on=AFTER, left_on=BEFORE), Due.SEND),
        (Held(Why.PAYER, AFTER, asked_for_on=BEFORE), Due.OVERDUE),
        (Held(Why.CUSTOMER, AFTER), Due.GIVE),
        (Held(Why.CUSTOMER, BEFORE, left_on=BEFORE), Due.MAY_GO),
        (Held(Why.SCRAP, BEFORE), Due.KEPT),  # the vehicle is still here
        (Held(Why.SCRAP, BEFORE, left_on=TODAY), Due.KEPT),
        (Held(Why.SCRAP, BEFORE, left_on=BEFORE), Due.MAY_GO),
        (Held(Why.SCRAP, BEFORE, left_on=TODAY - timedelta(days=2), keep_days=2), Due.KEPT),
        (Held(Why.SCRAP, BEFORE, left_on=TODAY - timedelta(days=3), keep_days=2), Due.MAY_GO),
    ],
)
def test_what_is_to_be_done_today(part: Held, what: Due) -> None:
    assert due(part, TODAY) is what
    # What may go is exactly what nothing keeps.
    assert (stays_because(part, TODAY) == "") is (what is Due.MAY_GO)


def test_the_sentence_names_the_day_and_who_waits() -> None:
    assert stays_because(Held(Why.PAYER, AFTER, left_on=BEFORE), TODAY) == (
        "It stays until 21 May 2026: until then the payer may ask for it."
    )
    assert "asked for it by 21 May 2026" in stays_because(
        Held(Why.PAYER, BEFORE, asked_for_on=AFTER), TODAY
    )
    assert "job is still open" in stays_because(Held(Why.SCRAP, BEFORE), TODAY)
