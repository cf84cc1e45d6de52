"""After the vehicle has left: the invoice, its payment, and what becomes of the parts taken off."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from random import Random
from uuid import uuid4

from jobs.demo import hours
from jobs.demo.data import Bill, Kept
from jobs.demo.job import Job
from jobs.models import HeldPart, Invoice, Payment
from jobs.services import cores, credits, held_leaves, invoices, payments
from shop import clock
from shop.actor import Actor

Why = HeldPart.Why
_HOW = (Payment.How.CARD, Payment.How.CARD, Payment.How.CASH, Payment.How.TRANSFER)
SENT_AFTER, CREDITED_AFTER, SENT_LATE = 2, 12, 20  # working days


def settle(job: Job, now: datetime) -> None:
    """Bill a released job and clear its parts away, as far as that lies before `now`."""
    if job.row.bill is not Bill.NONE and not job.nothing_to_repair and not job.row.declined:
        _bill(job, now)
    for part in HeldPart.objects.filter(replacement__complaint__order=job.order):
        _clear_away(job, part, now)


def pay(desk: Actor, invoice: Invoice, how: str, amount: Decimal | None = None) -> None:
    """A payment of all that is owed, or of `amount`, with a reference where one belongs to it."""
    reference = {
        Payment.How.CARD: f"slip {invoice.serial:05d}",
        Payment.How.TRANSFER: f"statement line {invoice.serial % 37 + 1}",
    }.get(Payment.How(how), "")
    payments.take(
        desk,
        act=uuid4(),
        invoice=invoice,
        how=how,
        amount=invoice.owed if amount is None else amount,
        reference=reference,
    )


def _bill(job: Job, now: datetime) -> None:
    with job.watch.spend(6):
        job.refresh()
        invoice = invoices.issue(
            job.desk, act=uuid4(), order=job.order, revision=job.order.revision
        )
    if invoice.owed <= 0 or job.row.bill in (Bill.OWED, Bill.CASH_TODAY, Bill.CARD_TODAY):
        return
    rng = Random(invoice.number)  # noqa: S311  (the same world in every load)
    how = rng.choice(_HOW)
    amount = (invoice.owed / 2).quantize(Decimal(10)) if job.row.bill is Bill.PART else None
    paid_at = hours.later(job.watch.now, 5 * hours.DAY if how == Payment.How.TRANSFER else 4)
    if paid_at < now:
        with clock.at(paid_at):
            pay(job.desk, invoice, how, amount)
    if job.row.bill is Bill.CREDITED:
        with clock.at(hours.later(paid_at, 2 * hours.DAY)):
            _credit(job, invoice)


def _credit(job: Job, invoice: Invoice) -> None:
    """A tenth of the dearest line, since the vehicle came twice for it; paid back in cash."""
    line = max(invoice.lines.all(), key=lambda one: one.customer_amount)
    tenth = (line.customer_amount / 10).quantize(Decimal(1))
    credits.credit(
        job.desk,
        act=uuid4(),
        invoice=invoice,
        because="Came back for a clip that was not seated; a tenth is taken off.",
        amounts={line.pk: tenth},
    )
    invoice.refresh_from_db()
    if invoice.owed < 0:
        payments.refund(
            job.desk, act=uuid4(), invoice=invoice, how=Payment.How.CASH, amount=-invoice.owed
        )


def _clear_away(job: Job, part: HeldPart, now: datetime) -> None:
    if job.row.held is Kept.STAYS:
        return
    if part.why == Why.CORE:
        _core(job, part, now)
        return
    gone_at = hours.later(job.watch.now, hours.DAY)
    if part.why == Why.PAYER:
        day = datetime.combine(part.hold_until, hours.OPENS, tzinfo=now.tzinfo)
        gone_at = hours.later(max(day, job.watch.now), 2 * hours.DAY)
    if gone_at >= now:
        return
    with clock.at(gone_at):
        if part.why == Why.CUSTOMER:
            held_leaves.give(
                job.counter,
                act=uuid4(),
                held=part,
                revision=part.revision,
                to=job.order.customer.name,
            )
        else:
            held_leaves.scrap(job.counter, act=uuid4(), held=part, revision=part.revision)


def _core(job: Job, part: HeldPart, now: datetime) -> None:
    awaited = job.row.held is Kept.AWAITED
    sent_at = hours.later(job.watch.now, (SENT_LATE if awaited else SENT_AFTER) * hours.DAY)
    credited_at = hours.later(sent_at, CREDITED_AFTER * hours.DAY)
    if sent_at >= now:
        return
    with clock.at(sent_at):
        part = held_leaves.send(
            job.counter,
            act=uuid4(),
            held=part,
            revision=part.revision,
            parcel=f"parcel {part.serial}",
        )
    if awaited or credited_at >= now:
        return
    with clock.at(credited_at):
        cores.credit(
            job.counter,
            act=uuid4(),
            held=part,
            revision=part.revision,
            amount=part.credit_expected or Decimal(0),
        )
