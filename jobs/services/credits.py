"""A credit note takes an invoice back, wholly or in part. The invoice itself stays as it was."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.credit import Credit, make_credit
from jobs.models import Invoice, InvoiceLine, InvoiceTax, RepairOrder
from jobs.pricing import Group
from jobs.queries import credited
from jobs.services.invoice_rows import lock, settle
from jobs.services.numbers import next_number
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import cents, format_amount, total
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

LETTER = "C"
LONGEST_REASON = 500
# What stays of the invoice's words on a paper that corrects it.
_SAME = (
    *("to_name", "to_contact", "from_words", "currency", "vehicle_words", "vin", "plate"),
    *("odometer_words", "rounding"),
)


@transaction.atomic
def credit(
    actor: Actor,
    *,
    act: UUID,
    invoice: Invoice,
    because: str,
    amounts: Mapping[int, Decimal] | None = None,
) -> Invoice:
    """Credit `amounts` before tax, by key of the invoice's line; None takes back all that is left.

    Once nothing is left the invoice does not stand any more, and the job can be invoiced anew.
    Raises Refusal for no reason, for nothing to credit, and for more than is left of a line.
    """
    acts.claim(actor, act, "credit invoice", about=invoice)
    must(actor, Permit.ISSUE_INVOICE)
    why = because.strip()
    if not why:
        raise Refusal("Say why it is credited; the reason prints.", field="because")
    if len(why) > LONGEST_REASON:
        raise Refusal(f"At most {LONGEST_REASON} signs, please.", field="because")
    held = lock(actor, invoice)
    if held.kind != Invoice.Kind.INVOICE:
        raise Refusal("A credit note itself is not credited; issue a new invoice instead.")
    if not held.standing:
        raise Refusal(f"{held.number} is credited in full already.")
    worked = _work_out(held, amounts)
    note = _write(actor, held, worked, why)
    held.credited = total((held.credited, note.customer_total))
    held.standing = not worked.completes
    settle(held)
    if not held.standing:
        RepairOrder.objects.filter(pk=held.order_id).update(invoiced=False)
    log.write(
        actor,
        kind="bill",
        subject_kind="order",
        subject_id=held.order_id,
        words=f"credited {note.total} of {held.number} by {note.number}",
        reason=why,
    )
    return note


def _work_out(invoice: Invoice, amounts: Mapping[int, Decimal] | None) -> Credit:
    lines = credited.billed_lines(invoice)
    if amounts is None:
        amounts = {line.key: line.left for line in lines if line.left or not line.amount}
    else:
        amounts = {key: cents(amount) for key, amount in amounts.items() if amount}
        if not amounts:
            raise Refusal("Nothing is to be credited: type an amount beside at least one line.")
    by_key = {line.key: line for line in lines}
    for key, amount in amounts.items():
        line = by_key.get(key)
        if line is None:
            raise Refusal(f"That line is not on {invoice.number}.")
        if amount < 0:
            raise Refusal("A credit is above zero. Type it without the minus.", field=f"line-{key}")
        if amount > line.left:
            left = format_amount(line.left, invoice.currency)
            raise Refusal(f"Only {left} is left of that line to credit.", field=f"line-{key}")
    return make_credit(lines, amounts, credited.rules_of(invoice), credited.rounding_of(invoice))


def _write(actor: Actor, invoice: Invoice, worked: Credit, why: str) -> Invoice:
    serial = next_number(invoice.workshop, "credit")
    note: Invoice = Invoice.objects.create(
        workshop=invoice.workshop,
        kind=Invoice.Kind.CREDIT,
        serial=serial,
        number=f"{invoice.workshop.order_prefix}{LETTER}{serial}",
        order=invoice.order,
        corrects=invoice,
        because=why,
        issued_at=clock.now(),
        issued_by=actor.user,
        assemblies=worked.of(Group.ASSEMBLIES),
        labour=worked.of(Group.LABOUR),
        sublet=worked.of(Group.SUBLET),
        tax=worked.tax,
        total=worked.total,
        customer_total=worked.customer,
        payer_total=total((worked.total, -worked.customer)),
        **{name: getattr(invoice, name) for name in _SAME},
    )
    rows = {row.pk: row for row in invoice.lines.all()}
    InvoiceLine.objects.bulk_create(
        [
            _line(note, rows[line.key], line.amount, line.customer, line.other)
            for line in worked.lines
        ]
    )
    InvoiceTax.objects.bulk_create(
        [
            InvoiceTax(
                invoice=note,
                name=tax.rule.name,
                percent=tax.rule.percent,
                on=" ".join(sorted(tax.rule.on)),
                customer_only=tax.rule.customer_only,
                base=tax.base,
                amount=tax.amount,
                customer_amount=tax.customer,
            )
            for tax in worked.taxes
            if tax.base or worked.completes
        ]
    )
    return note


def _line(
    note: Invoice, row: InvoiceLine, amount: Decimal, customer: Decimal, other: Decimal
) -> InvoiceLine:
    """The line as it was billed when all of it comes back, else its amount once."""
    whole = amount == row.amount
    return InvoiceLine(
        invoice=note,
        corrects=row,
        complaint_line=row.complaint_line,
        complaint_words=row.complaint_words,
        kind=row.kind,
        text=row.text,
        condition=row.condition,
        quantity=row.quantity if whole else Decimal(1),
        unit_price=row.unit_price if whole else amount,
        amount=amount,
        payer=row.payer,
        customer_amount=customer,
        payer_amount=other,
    )
