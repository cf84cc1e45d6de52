"""What a credit takes back: never more than is left, and nothing over when all is credited."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.bill import Bill, Rounding, Share, TaxRule, make_bill
from jobs.credit import BilledLine, Credit, make_credit
from jobs.pricing import Group, PriceLine
from shop.money import total
from tests.jobs.test_bill import lines_of_a_job, shares_of_a_job, taxes_of_a_place

D = Decimal
EVERYTHING = frozenset(Group)


def billed(bill: Bill) -> list[BilledLine]:
    return [
        BilledLine(key, one.line.kind.group, one.payer, one.customer, one.other)
        for key, one in enumerate(bill.lines)
    ]


def after(lines: list[BilledLine], credit: Credit) -> list[BilledLine]:
    taken = {line.key: line for line in credit.lines}
    return [
        replace(
            line,
            customer_before=total((line.customer_before, taken[line.key].customer)),
            other_before=total((line.other_before, taken[line.key].other)),
        )
        if line.key in taken
        else line
        for line in lines
    ]


def sound(credit: Credit) -> None:
    parts = (credit.of(group) for group in Group)
    assert credit.total == total((*parts, credit.tax))
    assert 0 <= credit.customer <= credit.total
    for tax in credit.taxes:
        assert 0 <= tax.customer <= tax.amount


@given(
    lines_of_a_job,
    shares_of_a_job,
    taxes_of_a_place,
    st.sampled_from(Rounding),
    st.lists(st.lists(st.integers(0, 100), min_size=25, max_size=25), max_size=3),
)
def test_credits_in_any_steps_come_to_the_invoice_exactly(
    lines: list[PriceLine],
    shares: dict[int, Share],
    taxes: list[TaxRule],
    rounding: Rounding,
    steps: list[list[int]],
) -> None:
    """Some percent of what is left of each line at a time, and in the end the rest."""
    bill = make_bill(lines, shares, taxes, rounding)
    left, notes = billed(bill), []
    for step in steps:
        percents = dict(enumerate(step))
        amounts = {
            line.key: (line.left * percents[line.key] / 100).quantize(D("0.01")) for line in left
        }
        notes.append(make_credit(left, amounts, taxes, rounding))
        left = after(left, notes[-1])
        assert all(0 <= line.left <= line.amount for line in left)
        assert all(line.customer_before <= line.customer for line in left)
        assert all(line.other_before <= line.other for line in left)
    notes.append(make_credit(left, {line.key: line.left for line in left}, taxes, rounding))
    assert notes[-1].completes
    for note in notes:
        sound(note)
    assert total(note.total for note in notes) == bill.total
    assert total(note.customer for note in notes) == bill.customer
    assert total(note.tax for note in notes) == bill.tax


def test_the_tax_of_one_line_follows_the_rate_it_was_charged_at() -> None:
    line = BilledLine(1, Group.LABOUR, "customer", D("100.00"), D("0.00"))
    credit = make_credit(
        [line], {1: D("40.00")}, [TaxRule("Tax", D("7.25"), EVERYTHING)], Rounding.TOTAL
    )
    assert (credit.tax, credit.total, credit.completes) == (D("2.90"), D("42.90"), False)


def test_two_halves_of_a_cent_come_back_as_the_one_cent_that_was_charged() -> None:
    """0.10 at 5 % is 0.005, so 0.01 was charged; crediting it in two steps gives 0.01, not 0.02."""
    tax = [TaxRule("Tax", D("5"), EVERYTHING)]
    line = BilledLine(1, Group.LABOUR, "customer", D("0.20"), D("0.00"))
    first = make_credit([line], {1: D("0.10")}, tax, Rounding.TOTAL)
    second = make_credit(after([line], first), {1: D("0.10")}, tax, Rounding.TOTAL)
    assert (first.tax, second.tax) == (D("0.01"), D("0.00"))


def test_a_shared_line_goes_back_in_the_proportion_it_was_billed_in() -> None:
    line = BilledLine(1, Group.LABOUR, "goodwill", D("30.00"), D("70.00"))
    (credited,) = make_credit([line], {1: D("10.00")}, [], Rounding.TOTAL).lines
    assert (credited.customer, credited.other) == (D("3.00"), D("7.00"))


@pytest.mark.parametrize("amount", ["-0.01", "100.01"])
def test_it_takes_no_less_than_nothing_and_no_more_than_is_left(amount: str) -> None:
    line = BilledLine(1, Group.LABOUR, "customer", D("100.00"), D("0.00"))
    with pytest.raises(ValueError, match="can be credited"):
        make_credit([line], {1: D(amount)}, [], Rounding.TOTAL)
    with pytest.raises(ValueError, match="not on this invoice"):
        make_credit([line], {2: D("1.00")}, [], Rounding.TOTAL)
