"""The bill is issued: once for a job, as it stands, and for good."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.bill import Bill, TaxRule
from jobs.models import Invoice, InvoiceLine, InvoiceTax, RepairOrder
from jobs.queries import billing
from jobs.services.numbers import next_number
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

LETTER = "I"


@transaction.atomic
def issue(
    actor: Actor,
    *,
    act: UUID,
    order: RepairOrder,
    revision: int,
    seen: Decimal | None = None,
    signature: str = "",
) -> Invoice:
    """Issue the invoice of a job that is ready, released, or declined with diagnosis to bill.

    `seen` is the total that the person saw, tax included; `signature` the strokes of the customer.
    Raises Refusal that names each line still open, what was not authorised, or that nothing is to
    be billed; Clash when the job or its price changed meanwhile, or it was invoiced.
    """
    acts.claim(actor, act, "issue invoice", about=order)
    must(actor, Permit.ISSUE_INVOICE)
    held = _lock(actor, order)
    standing = billing.standing_invoice(held)
    if standing:
        raise Clash(f"{held.number} is invoiced already: {standing.number}.")
    if held.revision != revision:
        raise Clash("Somebody changed this job meanwhile. Look at the bill again, then issue it.")
    preview = billing.preview(held)
    if preview.in_the_way:
        raise Refusal(" ".join(preview.in_the_way))
    if seen is not None and seen != preview.bill.total:
        raise Clash("The price changed meanwhile. Look at the bill again, then issue it.")
    invoice = _write(actor, held, preview, signature)
    log.write(
        actor,
        kind="bill",
        subject_kind="order",
        subject_id=held.pk,
        words=f"issued {invoice.number}, {invoice.customer_total} from the customer",
    )
    return invoice


def _lock(actor: Actor, order: RepairOrder) -> RepairOrder:
    rows = RepairOrder.objects.of(actor).select_for_update(of=("self",))
    held: RepairOrder | None = (
        rows.select_related("workshop", "vehicle__platform", "customer", "odometer_in")
        .filter(pk=order.pk)
        .first()
    )
    if held is None:
        raise Refusal("That job is not in this workshop’s list any more.")
    return held


def _write(actor: Actor, order: RepairOrder, preview: billing.Preview, signature: str) -> Invoice:
    bill, words = preview.bill, billing.words_of(order, preview.terms)
    serial = next_number(order.workshop, "invoice")
    invoice: Invoice = Invoice.objects.create(
        workshop=order.workshop,
        kind=Invoice.Kind.INVOICE,
        serial=serial,
        number=f"{order.workshop.order_prefix}{LETTER}{serial}",
        order=order,
        issued_at=clock.now(),
        issued_by=actor.user,
        signature=signature,
        assemblies=bill.assemblies,
        labour=bill.labour,
        sublet=bill.sublet,
        tax=bill.tax,
        total=bill.total,
        customer_total=bill.customer,
        payer_total=bill.other,
        owed=bill.customer,
        rounding=preview.rounding,
        **words,
    )
    lines = _lines(order, invoice, preview)
    InvoiceLine.objects.bulk_create(lines)
    InvoiceTax.objects.bulk_create(_taxes(invoice, bill, preview.taxes))
    RepairOrder.objects.filter(pk=order.pk).update(invoiced=True)
    return invoice


def _lines(order: RepairOrder, invoice: Invoice, preview: billing.Preview) -> list[InvoiceLine]:
    complaints = {row.pk: row for row in order.complaints.all()}
    return [
        InvoiceLine(
            invoice=invoice,
            complaint_line=complaints[one.line.complaint].line,
            complaint_words=complaints[one.line.complaint].words,
            kind=one.line.kind,
            text=one.line.text,
            condition=one.line.condition if preview.terms.list_condition else "",
            quantity=one.line.quantity,
            unit_price=one.line.unit_price,
            amount=one.line.amount,
            payer=one.payer,
            customer_amount=one.customer,
            payer_amount=one.other,
        )
        for one in preview.bill.lines
    ]


def _taxes(invoice: Invoice, bill: Bill, rules: tuple[TaxRule, ...]) -> list[InvoiceTax]:
    return [
        InvoiceTax(
            invoice=invoice,
            name=charged.name,
            percent=charged.percent,
            on=" ".join(sorted(rule.on)),
            customer_only=rule.customer_only,
            base=charged.base,
            amount=charged.amount,
            customer_amount=charged.customer,
        )
        for rule, charged in zip(rules, bill.taxes, strict=True)
    ]
