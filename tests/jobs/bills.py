"""Jobs on the way to their bill, for the tests of invoices, credits and payments."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

from jobs.models import Invoice, InvoiceLine, Payment, RepairOrder, Tax, Terms
from jobs.services import credits, invoices, payments
from jobs.services.numbers import next_number
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.models import Workshop
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, bring_to


def a_tax(workshop: Workshop, name: str = "Sales tax", percent: str = "7.25", **on: bool) -> Tax:
    tax: Tax = Tax.objects.create(
        workshop=workshop, name=name, percent=Decimal(percent), **({"on_labour": True} | on)
    )
    return tax


def set_terms(workshop: Workshop, **values: object) -> Terms:
    terms, _made = Terms.objects.update_or_create(workshop=workshop, defaults=values)
    return terms


def a_job(crew: Crew, stage: Stage = Stage.READY, *, payer: str = "customer") -> RepairOrder:
    """A job with one assembly and its labour."""
    order = a_repair_order(
        crew.manager,
        technician=crew.technician,
        complaints=[a_complaint_line(payer=payer)],
    )
    return bring_to(stage, order, crew)


def issue(actor: Actor, order: RepairOrder, **more: object) -> Invoice:
    order.refresh_from_db()
    return invoices.issue(
        actor,
        act=uuid4(),
        order=order,
        revision=order.revision,
        **more,  # type: ignore[arg-type]
    )


def credit(
    actor: Actor,
    invoice: Invoice,
    amounts: dict[int, Decimal] | None = None,
    because: str = "A mistake in the price",
) -> Invoice:
    return credits.credit(actor, act=uuid4(), invoice=invoice, because=because, amounts=amounts)


def pay(actor: Actor, invoice: Invoice, amount: str | Decimal, how: str = "cash") -> Payment:
    reference = "" if how == "cash" else "slip 8812"
    return payments.take(
        actor,
        act=uuid4(),
        invoice=invoice,
        how=how,
        amount=Decimal(amount),
        reference=reference,
    )


def pay_back(actor: Actor, invoice: Invoice, amount: str | Decimal) -> Payment:
    return payments.refund(actor, act=uuid4(), invoice=invoice, how="cash", amount=Decimal(amount))


def a_plain_invoice(actor: Actor, order: RepairOrder, lines: int = 1) -> Invoice:
    """An invoice written straight into its rows, whatever the job's stage: for pages and papers."""
    serial, each = next_number(order.workshop, "invoice"), Decimal("10.00")
    summed = each * lines
    invoice: Invoice = Invoice.objects.create(
        workshop=order.workshop,
        kind=Invoice.Kind.INVOICE,
        serial=serial,
        number=f"{order.workshop.order_prefix}I{serial}",
        order=order,
        issued_at=clock.now(),
        issued_by=actor.user,
        to_name="Ada W.",
        vehicle_words="PL2",
        vin=order.vehicle.vin,
        plate=order.vehicle.plate,
        from_words="Quay Street\n1 Quay Street",
        currency="$",
        labour=summed,
        total=summed,
        customer_total=summed,
        owed=summed,
    )
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            complaint_line=1,
            complaint_words="Light on",
            kind="labour",
            text=f"Operation {number}",
            quantity=1,
            unit_price=each,
            amount=each,
            payer="customer",
            customer_amount=each,
        )
        for number in range(lines)
    )
    RepairOrder.objects.filter(pk=order.pk).update(invoiced=True)
    return invoice
