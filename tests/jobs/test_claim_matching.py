"""Which claim a line pays. The rules are our own: common practice, no source."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.claims.matching import Found, Known, Match, Matcher
from jobs.claims.payment_file import PaidLine

HUNDRED = Decimal("100.00")


def a_claim(pk: int, number: str, **more: object) -> Known:
    plain = {"order_number": f"Q{pk}", "vin": f"9ZZ{pk}", "owed": HUNDRED, "paid": Decimal(0)}
    return Known(pk, number, **(plain | more))  # type: ignore[arg-type]


def a_line(number: str = "", amount: str = "100.00", order: str = "", vin: str = "") -> PaidLine:
    return PaidLine(2, number, order, vin, "", date(2026, 11, 25), Decimal(amount), None)


CLAIMS = (
    a_claim(1, "QC1001"),
    a_claim(2, "QC2044"),
    a_claim(3, "QC3077", unlike="it was not sent yet"),
    a_claim(4, "QC4090", owed=Decimal(0), paid=HUNDRED),
)


@pytest.mark.parametrize(
    ("line", "match", "pk", "words"),
    [
        (a_line("QC1001"), "exact", 1, "Our number"),
        (a_line("qc-1001 ", "40.00"), "exact", 1, "Our number"),
        (a_line("QC1001", order="Q1", vin="9ZZ1"), "exact", 1, "Our number"),
        (a_line("QC1001", "100.01"), "probable", 1, "only 100.00 is owed"),
        (a_line("QC1001", order="Q9"), "probable", 1, "its order is Q1"),
        (a_line("QC1001", vin="9ZZ9"), "probable", 1, "its VIN is 9ZZ1"),
        (a_line("QC3077"), "probable", 3, "not sent yet"),
        (a_line("QC4090"), "probable", 4, "only 0.00 is owed"),
        (a_line("QC4090", "-100.00"), "exact", 4, "Our number"),
        (a_line("QC4090", "-100.01"), "probable", 4, "only 100.00 was paid"),
        (a_line("1001"), "probable", 1, "digits"),
        (a_line("W-0001001"), "probable", 1, "digits"),
        (a_line("QC1007"), "probable", 1, "one sign away"),
        (a_line("QC2404"), "probable", 2, "one sign away"),
        (a_line("", "60.00", order="q-2"), "probable", 2, "order and the amount"),
        (a_line("", "60.00", vin="9zz2"), "probable", 2, "VIN and the amount"),
        (a_line("", "160.00", order="Q2"), "none", None, "fits the order"),
        (a_line("QC1099"), "none", None, "no claim QC1099"),
        (a_line("1"), "none", None, "no claim 1"),
    ],
)
def test_a_line_finds_its_claim(line: PaidLine, match: str, pk: int | None, words: str) -> None:
    found = Matcher(CLAIMS).find(line)
    assert (found.match, found.claim.pk if found.claim else None) == (match, pk)
    assert words in found.because


def test_what_fits_several_is_left_open_and_names_them() -> None:
    twins = (a_claim(1, "QC1", order_number="Q7"), a_claim(2, "QC2", order_number="Q7"))
    found = Matcher(twins).find(a_line(order="Q7"))
    assert found == Found(
        Match.NONE, None, "The order and the amount are of several: QC1, QC2. Choose one."
    )
    assert Matcher(twins[:1]).find(a_line(order="Q7")).match is Match.PROBABLE


def test_two_lines_for_one_claim_are_exact_only_as_far_as_it_is_owed() -> None:
    matcher = Matcher(CLAIMS)
    found = [matcher.find(a_line("QC1001", amount)).match for amount in ("60", "40", "0.01")]
    assert found == [Match.EXACT, Match.EXACT, Match.PROBABLE]


@given(st.lists(st.tuples(st.sampled_from(CLAIMS), st.integers(-150, 150)), max_size=12))
def test_exact_lines_never_pay_more_than_is_owed_nor_take_back_more_than_was_paid(
    acts: list[tuple[Known, int]],
) -> None:
    """Property over any order of lines."""
    matcher, paid = Matcher(CLAIMS), {claim.pk: claim.paid for claim in CLAIMS}
    for claim, amount in acts:
        if not amount:
            continue
        found = matcher.find(a_line(claim.number, f"{amount}.00"))
        if found.match is Match.EXACT and found.claim:
            paid[found.claim.pk] += amount
            assert 0 <= paid[found.claim.pk] <= claim.owed + claim.paid
