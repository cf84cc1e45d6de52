"""Giving the estimate: every line is kept as it was said, with taxes and who pays what."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import F

from jobs.bill import Bill
from jobs.models import Estimate, EstimateLine, EstimateTax, How, RepairOrder
from jobs.queries.priced import Row, bill_of_rows, in_order, live_rows, row_key
from jobs.queries.said import is_as_given, last_number
from jobs.queries.terms import terms_of
from jobs.services.estimate_change import FREELY, say
from jobs.services.labour_lines import share_steps
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import format_amount
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

LARGEST_TOTAL = Decimal("999999999.99")  # what an estimate's total can hold


@transaction.atomic
def give(
    actor: Actor, *, act: UUID, order: RepairOrder, given_to: str, how: str, contact: str = ""
) -> Estimate:
    """Record that the estimate was given: to whom, how, and by which number or address.

    Raises Refusal when nothing is on it, when the last revision says the same already, and for a
    distant answer without the contact used.
    """
    acts.claim(actor, act, "give estimate", about=order)
    must(actor, Permit.ESTIMATE)
    seen = order
    order = (
        RepairOrder.objects.select_for_update(of=("self",))
        .select_related("workshop")
        .get(pk=order.pk)
    )
    _check_stage(order)
    name = check_name(given_to, "given_to", "Type the name of the person who was told.")
    check_contact(how, contact)
    share_steps(order)
    rows = live_rows([order.pk])
    if not rows:
        raise Refusal("Nothing is on the estimate yet. Add the assembly or the labour first.")
    check_sum(bill_of_rows(order, rows), actor.workshop.currency)
    if is_as_given(order):
        raise Refusal("This estimate was given already, line by line as it stands.")
    given = keep(
        actor, order, rows, given_to=name, how=how, contact=contact.strip(), at=clock.now()
    )
    # An answer to the revision before, being typed on another screen, does not count for this one.
    RepairOrder.objects.filter(pk=order.pk).update(revision=F("revision") + 1)
    seen.refresh_from_db(fields=["revision"])
    amount = format_amount(given.total, actor.workshop.currency)
    words = f"gave estimate {given.number}, {amount} before tax, to {name} {How(how).label}"
    say(actor, order.pk, words)
    return given


def keep(
    actor: Actor,
    order: RepairOrder,
    rows: Sequence[Row],
    *,
    given_to: str,
    how: str,
    contact: str,
    at: datetime,
) -> Estimate:
    """The next revision, of these rows of the job, within an act that holds the order's lock."""
    bill, terms = bill_of_rows(order, rows), terms_of(order.workshop)
    given: Estimate = Estimate.objects.create(
        order=order,
        number=last_number(order) + 1,
        total=bill.before_tax,
        tax=bill.tax,
        customer_total=bill.customer,
        payer_total=bill.other,
        tolerance_percent=terms.tolerance_percent,
        return_parts=terms.return_parts,
        given_at=at,
        given_by=actor.user,
        given_to=given_to,
        how=how,
        contact=contact,
    )
    EstimateLine.objects.bulk_create(
        EstimateLine(
            estimate=given,
            complaint_id=one.line.complaint,
            row=row_key(row),
            text=one.line.text,
            amount=one.line.amount,
            kind=one.line.kind,
            quantity=one.line.quantity,
            unit_price=one.line.unit_price,
            condition=one.line.condition if terms.list_condition else "",
            customer_amount=one.customer,
            payer=row.complaint.payer,
            payer_percent=row.complaint.payer_percent,
            share_because=row.complaint.share_because,
        )
        for row, one in zip(in_order(rows), bill.lines, strict=True)
    )
    EstimateTax.objects.bulk_create(
        EstimateTax(
            estimate=given,
            name=tax.name,
            percent=tax.percent,
            base=tax.base,
            amount=tax.amount,
            customer_amount=tax.customer,
        )
        for tax in bill.taxes
    )
    return given


def check_sum(bill: Bill, currency: str) -> None:
    if bill.total > LARGEST_TOTAL:
        most = format_amount(LARGEST_TOTAL, currency)
        raise Refusal(
            f"Altogether this is more than {most}. Check the prices, the hours and the labour rate."
        )


def check_name(name: str, field: str, sentence: str) -> str:
    if not name.strip():
        raise Refusal(sentence, field=field)
    return name.strip()[:120]


def check_contact(how: str, contact: str) -> None:
    """The number or address used is part of the record, except face to face."""
    if how not in How.values:
        raise Refusal("Choose how it was said.", field="how")
    if how in {How.PHONE, How.EMAIL, How.MESSAGE} and not contact.strip():
        raise Refusal("Type the telephone number or address that was used.", field="contact")


def _check_stage(order: RepairOrder) -> None:
    stage = Stage(order.stage)
    if stage not in FREELY:
        raise Refusal(
            f"The job is {stage.words}. An estimate is given while diagnosing or awaiting "
            "authority; “Ask for more” on the job’s page first."
        )
