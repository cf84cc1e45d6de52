"""A claim that is begun after the bill asks for what the bill says, and claims make it together."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.claims.splitting import split
from jobs.models import ClaimPayer, Complaint, Invoice, OtherLine, RepairOrder, Tax, Terms
from jobs.queries.claim_lines import asked_lines, sum_of
from jobs.stages import Stage
from shop.money import total
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, bring_to
from tests.jobs.bills import a_job, a_tax, credit, issue, set_terms
from tests.jobs.claim_rows import a_claim_payer

D = Decimal
WARRANTY = "vehicle_warranty"
CENTS = st.integers(0, 10_000_000).map(lambda cents: D(cents) / 100)


@given(CENTS, st.lists(CENTS, max_size=8))
def test_parts_make_the_whole_to_the_cent(amount: Decimal, weights: list[Decimal]) -> None:
    parts = split(amount, weights)
    assert len(parts) == len(weights)
    assert total(parts) == (amount if any(weights) else 0)
    whole = sum(weights)
    for part, weight in zip(parts, weights, strict=True):
        assert whole == 0 or abs(part - amount * weight / whole) < D("0.01")


def test_the_cent_that_is_left_goes_to_who_lost_most_and_then_to_the_first() -> None:
    assert split(D("1.00"), [D(1), D(1), D(1)]) == (D("0.34"), D("0.33"), D("0.33"))
    assert split(D("0.05"), [D(1), D(3)]) == (D("0.01"), D("0.04"))
    assert split(D("5.00"), []) == ()


@pytest.mark.parametrize(("amount", "weight"), [("-0.01", "1"), ("1", "-1")])
def test_nothing_below_zero_is_split(amount: str, weight: str) -> None:
    with pytest.raises(ValueError, match="not below zero"):
        split(D(amount), [D(weight)])


@pytest.fixture
def payer(crew: Crew) -> ClaimPayer:
    return a_claim_payer(crew.manager, make="")


@pytest.fixture
def billed(crew: Crew) -> Invoice:
    a_tax(crew.manager.workshop, on_assemblies=True, on_labour=True)
    return issue(crew.manager, a_job(crew, Stage.READY, payer=WARRANTY))


def of(order: RepairOrder) -> Complaint:
    found: Complaint = order.complaints.select_related("order__workshop").get()
    return found


@pytest.mark.django_db
def test_taxes_and_rounding_of_today_do_not_change_what_was_billed(
    crew: Crew, billed: Invoice, payer: ClaimPayer
) -> None:
    asked = asked_lines(of(billed.order), payer)
    assert sum_of(asked) == billed.payer_total > 0
    Tax.objects.update(percent=D(21))
    a_tax(crew.manager.workshop, "Another", "3", on_assemblies=True)
    set_terms(crew.manager.workshop, tax_rounding=Terms.TaxRounding.LINE)
    assert asked_lines(of(billed.order), payer) == asked
    assert all(line.row for line in asked if line.kind in ("part", "labour"))


@pytest.mark.django_db
def test_what_was_credited_is_not_asked_for(crew: Crew, billed: Invoice, payer: ClaimPayer) -> None:
    line = billed.lines.order_by("-payer_amount")[0]
    note = credit(crew.manager, billed, {line.pk: D("10.00")})
    assert note.payer_total > 10
    asked = asked_lines(of(billed.order), payer)
    assert sum_of(asked) == total((billed.payer_total, -note.payer_total))


@pytest.mark.django_db
@pytest.mark.parametrize("rounding", Terms.TaxRounding.values)
@pytest.mark.parametrize("is_billed", [False, True], ids=["before the bill", "after it"])
def test_the_claims_of_an_order_make_its_invoice_to_the_cent(
    crew: Crew, payer: ClaimPayer, rounding: str, is_billed: bool
) -> None:
    """Three complaints whose taxes, rounded each alone, are a cent more than the invoice's."""
    workshop = crew.manager.workshop
    set_terms(workshop, tax_rounding=rounding, tolerance_percent=5)
    a_tax(workshop, percent="7.25", on_assemblies=False, on_labour=False, on_sublet=True)
    lines = [a_complaint_line(words=words, payer=WARRANTY) for words in ("One", "Two", "Three")]
    order = a_repair_order(crew.manager, complaints=lines, technician=crew.technician)
    bring_to(Stage.READY, order, crew)
    for complaint in order.complaints.all():
        OtherLine.objects.create(
            complaint=complaint, kind="sublet", text="Welding", quantity=1, unit_price=D("1.45")
        )
    if is_billed:
        invoice = issue(crew.manager, order)
        expected, taxed = invoice.payer_total, invoice.taxes.get()
        assert taxed.customer_amount == 0
    asked = [
        asked_lines(complaint, payer)
        for complaint in order.complaints.select_related("order__workshop")
    ]
    taxes = total(line.amount for lines in asked for line in lines if line.kind == "tax")
    assert taxes == (D("0.32") if rounding == "total" else D("0.33"))
    if is_billed:
        assert total(sum_of(lines) for lines in asked) == expected
