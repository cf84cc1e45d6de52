"""Who pays what of a job, and the taxes on it.

Half up to the cent, shares per line, each tax on what is taxed before any other tax: common
practice, no source; rounding per line and per total against printed examples is in
test_tax_rounding.py. The items of an invoice: 16 CCR 3356(c)(1)-(6), as summarised in the strict
profile: services with diagnosis and warranty work, parts, labour, parts without tax, tax, total.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.bill import WORKSHOP, Bill, Rounding, Share, TaxRule, make_bill
from jobs.pricing import Group, LineKind, PriceLine
from shop.money import total

D = Decimal
EVERYTHING = frozenset(Group)
CENTS = st.integers(0, 5_000_000).map(lambda n: D(n) / 100)
PERCENT = st.integers(0, 10_000).map(lambda n: D(n) / 100)


def line(amount: str | Decimal, kind: LineKind = LineKind.LABOUR, complaint: int = 1) -> PriceLine:
    return PriceLine(complaint, kind, "Line", D(amount))


def adds_up(bill: Bill) -> None:
    """What anyone may check on the paper by hand."""
    for one in bill.lines:
        assert total((one.customer, one.other)) == one.line.amount
        assert 0 <= one.customer <= one.line.amount
    assert bill.before_tax == total(one.line.amount for one in bill.lines)
    assert bill.tax == total(tax.amount for tax in bill.taxes)
    assert bill.total == total((bill.assemblies, bill.labour, bill.sublet, bill.tax))
    assert total((bill.customer, bill.other)) == bill.total
    customers = (one.customer for one in bill.lines)
    assert bill.customer == total((*customers, *(tax.customer for tax in bill.taxes)))


lines_of_a_job = st.lists(
    st.builds(
        lambda complaint, kind, amount: line(amount, kind, complaint),
        st.integers(1, 4),
        st.sampled_from(LineKind),
        CENTS,
    ),
    max_size=25,
)
shares_of_a_job = st.dictionaries(
    st.integers(1, 4),
    st.builds(Share, st.sampled_from(["customer", "vehicle_warranty", WORKSHOP]), PERCENT, CENTS),
)
taxes_of_a_place = st.lists(
    st.builds(
        TaxRule,
        st.just("Tax"),
        st.integers(0, 100_000).map(lambda n: D(n) / 1000),
        st.frozensets(st.sampled_from(Group)),
        st.booleans(),
    ),
    max_size=3,
)


@given(lines_of_a_job, shares_of_a_job, taxes_of_a_place, st.sampled_from(Rounding))
def test_any_mix_adds_up(
    lines: list[PriceLine], shares: dict[int, Share], taxes: list[TaxRule], rounding: Rounding
) -> None:
    bill = make_bill(lines, shares, taxes, rounding)
    adds_up(bill)
    assert [one.line for one in bill.lines] == lines


def test_labour_parts_and_sublet_work_are_summed_apart_before_tax() -> None:
    """The items in the order of 16 CCR 3356(c): lines, labour, parts without tax, tax, total."""
    bill = make_bill(
        [
            line("50.00", LineKind.DIAGNOSIS),
            line("108.00"),
            line("184.00", LineKind.ASSEMBLY),
            line("6.40", LineKind.MATERIAL),
            line("40.00", LineKind.SUBLET),
        ],
        {},
        [TaxRule("Sales tax", D("7.25"), frozenset({Group.ASSEMBLIES}))],
    )
    assert (bill.labour, bill.assemblies, bill.sublet) == (D("158.00"), D("190.40"), D("40.00"))
    assert (bill.taxes[0].base, bill.tax) == (D("190.40"), D("13.80"))  # 13.804
    assert bill.total == D("402.20")


def test_nothing_costs_nothing() -> None:
    bill = make_bill([], {}, [TaxRule("Tax", D("19"), EVERYTHING)])
    adds_up(bill)
    assert (bill.total, bill.customer, bill.other) == (D(0), D(0), D(0))


@pytest.mark.parametrize(
    ("percent", "customer", "other"),
    [
        ("0", "100.05", "0.00"),
        ("100", "0.00", "100.05"),
        ("50", "50.02", "50.03"),  # 50.025: the payer's half is rounded up
        ("33.33", "66.70", "33.35"),  # 33.346665
        ("0.01", "100.04", "0.01"),  # 0.010005
    ],
)
def test_a_share_is_rounded_once_and_the_rest_is_the_customers(
    percent: str, customer: str, other: str
) -> None:
    share = {1: Share("vehicle_warranty", D(percent))}
    (one,) = make_bill([line("100.05")], share, []).lines
    assert (one.customer, one.other) == (D(customer), D(other))


def test_the_share_of_another_complaint_does_not_touch_this_one() -> None:
    bill = make_bill([line("10.00"), line("20.00", complaint=2)], {2: Share("goodwill")}, [])
    assert (bill.customer, bill.other) == (D("10.00"), D("20.00"))


def test_each_payer_gets_a_paper_whose_tax_is_right_by_itself() -> None:
    """Two halves of 0.25 % on 10.00 are 0.0125 each: a cent each, where one paper had 0.03."""
    bill = make_bill(
        [line("10.00")], {1: Share("goodwill", D(50))}, [TaxRule("Tax", D("0.25"), EVERYTHING)]
    )
    assert (bill.tax, bill.taxes[0].customer) == (D("0.02"), D("0.01"))
    adds_up(bill)


def test_what_the_workshop_bears_is_no_sale_and_untaxed() -> None:
    tax = [TaxRule("Tax", D("20"), EVERYTHING)]
    assert make_bill([line("80.00")], {1: Share(WORKSHOP)}, tax).tax == 0
    shared = make_bill([line("80.00")], {1: Share(WORKSHOP, D(50))}, tax)
    assert (shared.tax, shared.customer) == (D("8.00"), D("48.00"))


def test_a_tax_on_the_customer_only_leaves_other_payers_untaxed() -> None:
    tax = [TaxRule("Tax", D("20"), EVERYTHING, customer_only=True)]
    bill = make_bill([line("80.00")], {1: Share("vehicle_warranty", D(75))}, tax)
    assert (bill.taxes[0].base, bill.tax, bill.other) == (D("20.00"), D("4.00"), D("60.00"))


def test_taxes_are_laid_side_by_side_and_not_on_one_another() -> None:
    bill = make_bill(
        [line("100.00")],
        {},
        [TaxRule("State", D("5"), EVERYTHING), TaxRule("City", D("1"), EVERYTHING)],
    )
    assert [tax.amount for tax in bill.taxes] == [D("5.00"), D("1.00")]


def test_rounding_on_each_line_and_on_the_total_differ() -> None:
    """Three times 0.15 at 10 %: 0.02 each by line, 0.045 together."""
    lines, tax = [line("0.15")] * 3, [TaxRule("Tax", D("10"), EVERYTHING)]
    assert make_bill(lines, {}, tax, Rounding.LINE).tax == D("0.06")
    assert make_bill(lines, {}, tax, Rounding.TOTAL).tax == D("0.05")


def test_the_deductible_goes_off_the_first_lines_and_never_beyond_what_the_payer_bears() -> None:
    lines = [line("30.00", LineKind.ASSEMBLY), line("50.00"), line("20.00", complaint=2)]
    share = {1: Share("service_contract", D(100), D("40.00"))}
    bill = make_bill(lines, share, [TaxRule("Tax", D(10), EVERYTHING)])
    assert [one.customer for one in bill.lines] == [D("30.00"), D("10.00"), D("20.00")]
    assert (bill.customer, bill.other) == (D("66.00"), D("44.00"))
    much = make_bill(lines, {1: Share("service_contract", D(50), D("400.00"))}, [])
    assert (much.customer, much.other) == (D("100.00"), D("0.00"))


def test_what_a_deductible_leaves_over_goes_on_to_the_next_complaint_of_the_visit_and_payer() -> (
    None
):
    lines = [line("30.00"), line("20.00", complaint=2), line("50.00", complaint=3)]
    contract, warranty = "service_contract", "vehicle_warranty"
    shares = {
        1: Share(contract, D(100), D("80.00"), visit=7),
        2: Share(warranty, visit=7),
        3: Share(contract, visit=7),
    }
    bill = make_bill(lines, shares, [])
    assert [one.customer for one in bill.lines] == [D("30.00"), D("0.00"), D("50.00")]
    shares[3] = Share(contract, visit=8)
    elsewhere = make_bill(lines, shares, [])
    assert [one.customer for one in elsewhere.lines] == [D("30.00"), D("0.00"), D("0.00")]


def test_the_customer_gets_no_deductible_of_his_own() -> None:
    (one,) = make_bill([line("30.00")], {1: Share("customer", D(100), D("40.00"))}, []).lines
    assert (one.customer, one.other) == (D("30.00"), D("0.00"))
