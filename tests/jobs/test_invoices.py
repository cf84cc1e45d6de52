"""Issuing the invoice of a job: what it says, what is in the way, and that it stays as it is."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from jobs.models import Complaint, Invoice, LabourLine, OtherLine, Replacement
from jobs.services import clock as clocks
from jobs.services import invoices, release
from jobs.stages import Stage
from shop.errors import Clash
from shop.money import total
from tests.asserts import refused
from tests.jobs.along import Crew
from tests.jobs.bills import a_job, a_tax, credit, issue, set_terms

D = Decimal


def adds_up(invoice: Invoice) -> None:
    lines, taxes = list(invoice.lines.all()), list(invoice.taxes.all())
    assert invoice.total == total(
        (*(line.amount for line in lines), *(tax.amount for tax in taxes))
    )
    assert invoice.customer_total == total(
        (*(line.customer_amount for line in lines), *(tax.customer_amount for tax in taxes))
    )
    assert invoice.tax == total(tax.amount for tax in taxes)
    assert total((invoice.customer_total, invoice.payer_total)) == invoice.total


def test_it_writes_out_who_what_and_how_much_as_it_stands(crew: Crew) -> None:
    workshop = crew.manager.workshop
    a_tax(workshop)
    set_terms(workshop, tax_number="12-345", invoice_note="Thank you.")
    order = a_job(crew)
    invoice = issue(crew.manager, order)
    adds_up(invoice)
    assert invoice.number == f"{workshop.order_prefix}I1001"
    assert (invoice.to_name, invoice.vin) == ("Ada W.", order.vehicle.vin)
    assert "84" in invoice.odometer_words
    assert workshop.name in invoice.from_words
    assert "12-345" in invoice.from_words
    assert invoice.note == "Thank you."
    assert "Ada W., by telephone (555 0123)" in invoice.authorised_words
    assert invoice.authorised_total == total((invoice.total, -invoice.tax))
    part = invoice.lines.get(kind="assembly")
    assert (part.condition, part.amount) == ("new", D("184.00"))
    assert invoice.tax == total(tax.amount for tax in invoice.taxes.all()) > 0
    assert invoice.owed == invoice.customer_total == invoice.total


def test_nothing_of_it_changes_with_what_it_was_made_from(crew: Crew) -> None:
    workshop = crew.manager.workshop
    tax = a_tax(workshop)
    order = a_job(crew)
    invoice = issue(crew.manager, order)
    before = Invoice.objects.values().get(pk=invoice.pk), list(invoice.lines.values())
    tax.percent = D("19")
    tax.save()
    workshop.name, workshop.address = "Other name", "Other street"
    workshop.save()
    order.customer.name = "Somebody Else"
    order.customer.save()
    Replacement.objects.filter(complaint__order=order).update(price=D("1.00"), condition="used")
    set_terms(workshop, tax_rounding="line", invoice_note="Other words")
    assert (Invoice.objects.values().get(pk=invoice.pk), list(invoice.lines.values())) == before


@pytest.mark.parametrize(
    "stage",
    [
        Stage.RECEIVED,
        Stage.DIAGNOSING,
        Stage.AWAITING_AUTHORITY,
        Stage.AWAITING_ASSEMBLY,
        Stage.REPAIRING,
        Stage.PROVING,
    ],
)
def test_a_job_that_is_not_done_is_not_invoiced(crew: Crew, stage: Stage) -> None:
    order = a_job(crew, stage)
    with refused(says=f"the job is {stage.words}"):
        issue(crew.manager, order)


def test_a_released_job_is_invoiced_too(crew: Crew) -> None:
    order = a_job(crew)
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    assert issue(crew.manager, order).standing


def test_every_open_line_is_named(crew: Crew) -> None:
    order = a_job(crew)
    part = Replacement.objects.get(complaint__order=order)
    Replacement.objects.filter(pk=part.pk).update(state=Replacement.State.RECEIVED)
    with refused(says=f"{part.part_number} is received and not fitted"):
        issue(crew.manager, order)
    Replacement.objects.filter(pk=part.pk).update(state=Replacement.State.FITTED)
    entry = clocks.on(crew.technician, act=uuid4(), complaint=order.complaints.get())
    with refused(says=f"{entry.user} is still clocked on to complaint 1"):
        issue(crew.manager, order)
    clocks.off(crew.technician, act=uuid4(), complaint=order.complaints.get())
    order.complaints.update(decision=Complaint.Decision.UNDECIDED)
    with refused(says="complaint 1 is not answered"):
        issue(crew.manager, order)
    assert not Invoice.objects.exists()


def test_what_goes_above_the_authority_is_stopped_unless_the_tolerance_covers_it(
    crew: Crew,
) -> None:
    order = a_job(crew)
    complaint = order.complaints.get()
    OtherLine.objects.create(
        complaint=complaint, kind="material", text="Brake fluid", unit_price=D("10.00")
    )
    with refused(says="ask for authority for the addition"):
        issue(crew.manager, order)
    set_terms(order.workshop, tolerance_percent=D("10"))
    assert issue(crew.manager, order).lines.filter(kind="material").count() == 1


def test_nothing_to_bill_is_said(crew: Crew) -> None:
    order = a_job(crew, Stage.DECLINED)
    LabourLine.objects.filter(complaint__order=order).update(withdrawn=True)
    with refused(says="nothing to bill"):
        issue(crew.manager, order)


def test_a_total_that_is_not_the_one_seen_is_not_issued(crew: Crew) -> None:
    order = a_job(crew)
    with refused(says="price changed"):
        issue(crew.manager, order, seen=D("1.00"))
    order.refresh_from_db()
    with pytest.raises(Clash):
        invoices.issue(crew.manager, act=uuid4(), order=order, revision=order.revision - 1)


def test_a_second_invoice_is_refused_until_the_first_is_credited(crew: Crew) -> None:
    order = a_job(crew)
    first = issue(crew.manager, order)
    with refused(says=f"invoiced already: {first.number}"):
        issue(crew.manager, order)
    credit(crew.manager, first)
    second = issue(crew.manager, order)
    assert second.serial == first.serial + 1


def test_a_refused_invoice_leaves_no_gap_in_the_numbers(crew: Crew) -> None:
    first, second = a_job(crew), a_job(crew)
    issue(crew.manager, first)
    for _ in range(3):
        with refused():
            issue(crew.manager, first)
        with refused():
            issue(crew.manager, second, seen=D("1.00"))
    issue(crew.manager, second)
    serials = Invoice.objects.order_by("serial").values_list("serial", flat=True)
    assert list(serials) == [1001, 1002]


def test_only_the_manager_issues(crew: Crew) -> None:
    order = a_job(crew)
    for actor in (crew.technician, crew.counter):
        with refused(says="only the service manager issues"):
            issue(actor, order)


@pytest.mark.parametrize("payer", ["vehicle_warranty", "workshop", "goodwill"])
def test_what_another_payer_bears_is_listed_and_not_owed(crew: Crew, payer: str) -> None:
    a_tax(crew.manager.workshop)
    order = a_job(crew, payer=payer)
    invoice = issue(crew.manager, order)
    adds_up(invoice)
    assert (invoice.customer_total, invoice.owed) == (0, 0)
    assert invoice.payer_total == invoice.total > 0
    assert (invoice.tax == 0) is (payer == "workshop")


def test_terms_may_leave_out_what_costs_the_customer_nothing(crew: Crew) -> None:
    set_terms(crew.manager.workshop, list_unpaid_work=False, list_condition=False)
    order = a_job(crew, payer="vehicle_warranty")
    with refused(says="nothing to bill"):
        issue(crew.manager, order)


def test_the_replaced_parts_are_spoken_of(crew: Crew) -> None:
    order = a_job(crew)
    order.parts_wanted = "wanted"
    order.save()
    words = issue(crew.manager, order).parts_words
    assert words.endswith("."), words


def test_the_database_holds_one_standing_invoice_and_sums(crew: Crew) -> None:
    invoice = issue(crew.manager, a_job(crew))
    again = Invoice.objects.get(pk=invoice.pk)
    again.pk, again.serial, again.number = None, 1999, "other"
    with pytest.raises(IntegrityError), transaction.atomic():
        again.save(force_insert=True)
    for field in ("total", "customer_total", "assemblies"):
        with pytest.raises(IntegrityError), transaction.atomic():
            Invoice.objects.filter(pk=invoice.pk).update(**{field: D("0.01")})
    line = invoice.lines.first()
    assert line is not None
    with pytest.raises(IntegrityError), transaction.atomic():
        invoice.lines.filter(pk=line.pk).update(customer_amount=D("0.01"))
