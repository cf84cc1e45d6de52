"""The Till: what is to be billed, what customers owe, and what others bear and nobody asked for."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.bill import BILLED_WITHIN
from jobs.models import Invoice, OtherLine, RepairOrder
from jobs.queries import till
from jobs.queries.borne import borne, borne_altogether, borne_of, borne_rows
from jobs.queries.facts import facts_of
from jobs.services import release
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.money import format_amount
from tests.asserts import text_of
from tests.cast import client_of
from tests.jobs.along import Crew
from tests.jobs.bills import a_job, a_tax, credit, issue, set_terms
from tests.jobs.claim_rows import a_claim_row

D = Decimal


def waiting(actor: Actor) -> list[str]:
    """What the Till lists; what the Desk counts and what each job knows of itself agree with it."""
    found = [order.number for order in till.unbilled(actor)]
    assert till.unbilled_count(actor) == len(found)
    for order in RepairOrder.objects.of(actor):
        standing = Invoice.objects.filter(order=order, kind="invoice", standing=True)
        assert order.invoiced is standing.exists()
    return found


def test_a_job_is_to_be_billed_until_its_invoice_stands_and_again_without_it(crew: Crew) -> None:
    order = a_job(crew)
    a_job(crew, Stage.REPAIRING)
    assert waiting(crew.manager) == [order.number]
    invoice = issue(crew.manager, order)
    assert waiting(crew.manager) == []
    line = invoice.lines.first()
    assert line is not None
    credit(crew.manager, invoice, {line.pk: D("1.00")})
    assert waiting(crew.manager) == []
    credit(crew.manager, invoice)
    assert waiting(crew.manager) == [order.number]
    issue(crew.manager, order)
    assert waiting(crew.manager) == []


def test_a_released_job_leads_the_manager_to_its_bill_and_then_to_its_paper(crew: Crew) -> None:
    order = a_job(crew)
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    path = reverse("order", args=[order.workshop.slug, order.number])
    bill = reverse("bill", args=[order.workshop.slug, order.number])
    next_one = f'class="button button--next" href="{bill}"'
    assert facts_of(RepairOrder.objects.get(pk=order.pk)).to_invoice
    assert next_one in client_of(crew.manager).get(path).content.decode()
    assert next_one not in client_of(crew.technician).get(path).content.decode()
    long_ago = RepairOrder.objects.get(pk=order.pk)
    long_ago.closed_at = clock.now() - BILLED_WITHIN - timedelta(days=1)
    assert not facts_of(long_ago).to_invoice
    issue(crew.manager, order)
    assert not facts_of(RepairOrder.objects.get(pk=order.pk)).to_invoice
    assert next_one not in client_of(crew.manager).get(path).content.decode()


def test_what_another_payer_bears_waits_in_a_list_and_is_not_called_paid(crew: Crew) -> None:
    a_tax(crew.manager.workshop)
    invoice = issue(crew.manager, a_job(crew, payer="parts_warranty"))
    (row,) = borne_rows(borne(crew.manager))
    assert (row.number, row.payers, row.amount) == (
        invoice.number,
        "parts warranty",
        invoice.payer_total,
    )
    assert borne_altogether(crew.manager) == invoice.payer_total == invoice.total > 0
    browser = client_of(crew.manager)
    page = text_of(browser.get(reverse("till", args=[invoice.workshop.slug])))
    assert "Borne by other payers, not asked for yet" in page
    own = text_of(browser.get(reverse("invoice", args=[invoice.workshop.slug, invoice.number])))
    assert f"{format_amount(row.amount, '$')}</b> borne by parts warranty, not asked for yet" in own
    assert "settled" not in own


def test_what_a_claim_that_went_out_asks_for_waits_in_the_ledger_instead(crew: Crew) -> None:
    order = a_job(crew, payer="parts_warranty")
    invoice = issue(crew.manager, order)
    part = D("1.10")
    rest = {"labour": f"{invoice.payer_total - part}", "handling": "5.00"}
    a_claim_row(crew.manager, order=order, state="approved", amounts=rest)
    assert borne_altogether(crew.manager) == invoice.payer_total
    a_claim_row(crew.manager, order=order, amounts=rest)
    assert borne_altogether(crew.manager) == part
    a_claim_row(crew.manager, order=order, amounts={"tax": "1.10"})
    assert not borne(crew.manager)


def test_what_was_credited_of_it_is_not_asked_for(crew: Crew) -> None:
    invoice = issue(crew.manager, a_job(crew, payer="parts_warranty"))
    line = invoice.lines.first()
    assert line is not None
    credit(crew.manager, invoice, {line.pk: D("1.10")})
    assert borne_altogether(crew.manager) == invoice.payer_total - D("1.10")
    credit(crew.manager, invoice)
    assert not borne(crew.manager)
    assert borne_of(Invoice.objects.get(pk=invoice.pk)) is None


@pytest.mark.parametrize("payer", ["customer", "workshop"])
def test_nobody_else_is_asked_for_what_customer_and_workshop_bear(crew: Crew, payer: str) -> None:
    issue(crew.manager, a_job(crew, payer=payer))
    assert not borne(crew.manager)
    assert borne_altogether(crew.manager) == 0


def test_the_workshops_own_part_is_left_out_beside_another_payers(crew: Crew) -> None:
    order = a_job(crew, payer="workshop")
    first = order.complaints.get()
    second = order.complaints.create(
        line=2, words="And it pulls", payer="vehicle_warranty", decision="authorised"
    )
    for complaint in (first, second):
        OtherLine.objects.create(
            complaint=complaint, kind="material", text="Grease", unit_price=D("4.15")
        )
    set_terms(order.workshop, tolerance_percent=D(50))
    invoice = issue(crew.manager, order)
    assert borne_altogether(crew.manager) == D("4.15")
    own = invoice.lines.filter(payer="workshop").first()
    assert own is not None
    credit(crew.manager, invoice, {own.pk: D("2.00")})
    (row,) = borne_rows(borne(crew.manager))
    assert (row.payers, row.amount) == ("vehicle warranty", D("4.15"))
