"""The bill of a job as it would be issued now, and what is in the way of it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone
from django.utils.formats import date_format

from jobs.bill import Bill, Rounding, SharedLine, TaxRule, make_bill
from jobs.models import (
    Authority,
    ClockEntry,
    Complaint,
    Invoice,
    LabourLine,
    RepairOrder,
    Replacement,
    Terms,
)
from jobs.parts_statement import Returned, parts_statement
from jobs.queries.limit import limit_on
from jobs.queries.papers import odometer_out
from jobs.queries.priced import (
    Row,
    assembly_text,
    in_order,
    live_rows,
    price_line,
    row_key,
    row_text,
    shares_of,
)
from jobs.queries.said import agreed_on, shared_rows
from jobs.queries.stub import distance_words, vehicle_words
from jobs.queries.terms import rounding_of, tax_rules, terms_of
from jobs.stages import Stage
from shop.money import format_amount, total

BILLED_AT = frozenset({Stage.READY, Stage.RELEASED, Stage.DECLINED})


@dataclass(frozen=True, slots=True)
class Preview:
    """`in_the_way`: sentences; while there is one, nothing can be issued."""

    bill: Bill
    terms: Terms
    rounding: Rounding
    taxes: tuple[TaxRule, ...]
    in_the_way: tuple[str, ...]


def standing_invoice(order: RepairOrder) -> Invoice | None:
    """The invoice that holds now; None when none was issued or it was credited in full."""
    rows = Invoice.objects.filter(order=order, kind=Invoice.Kind.INVOICE, standing=True)
    return rows.select_related("issued_by").first()


def preview(order: RepairOrder) -> Preview:
    """The number of queries does not grow with the lines."""
    terms = terms_of(order.workshop)
    rows = live_rows([order.pk])
    rules, rounding = tax_rules(order.workshop), rounding_of(terms)
    bill = _bill(rows, terms, rules, rounding)
    said = list(_open_lines(order, rows))
    limit = limit_on(order, [line for _row, line in shared_rows(rows)])
    if limit.over:
        said.append(limit.sentence(order.workshop.currency))
    if not bill.lines and not said:
        said.append("There is nothing to bill: no part, labour or other work stands on this job.")
    return Preview(bill, terms, rounding, rules, tuple(said))


def _bill(rows: list[Row], terms: Terms, rules: tuple[TaxRule, ...], rounding: Rounding) -> Bill:
    """Without the lines that cost the customer nothing, where the terms leave them out."""
    lines, shares = [price_line(row) for row in in_order(rows)], shares_of(rows)
    bill = make_bill(lines, shares, rules, rounding)
    if terms.list_unpaid_work:
        return bill
    listed = [one.line for one in bill.lines if one.customer]
    return make_bill(listed, shares, rules, rounding)


def _open_lines(order: RepairOrder, rows: list[Row]) -> list[str]:
    """What is not finished on the job, each in a sentence."""
    stage = Stage(order.stage)
    if stage not in BILLED_AT:
        done = "ready for release, released, or declined with diagnosis to pay"
        return [f"The job is {stage.words}: an invoice is issued once it is {done}."]
    clocks = ClockEntry.objects.filter(complaint__order=order, ended_at__isnull=True)
    return [
        *_unanswered(order, rows),
        *(
            f"{assembly_text(row)} is {row.get_state_display()} and not fitted: "
            "fit it or take it off the job."
            for row in rows
            if isinstance(row, Replacement) and row.state != Replacement.State.FITTED
        ),
        *(
            f"{entry.user} is still clocked on to complaint {entry.complaint.line}: "
            "clock off first."
            for entry in clocks.select_related("user", "complaint").order_by("pk")
        ),
    ]


def _unanswered(order: RepairOrder, rows: list[Row]) -> list[str]:
    """Complaints with work on them that nobody has authorised.

    Diagnosis that was authorised by itself needs no second answer.
    """
    agreed = {row for own in agreed_on([order.pk]).values() for row in own}
    waiting: dict[int, Complaint] = {}
    for row in rows:
        diagnosis = isinstance(row, LabourLine) and row.kind == LabourLine.Kind.DIAGNOSIS
        authorised = row.complaint.decision == Complaint.Decision.AUTHORISED
        if not authorised and not (diagnosis and row_key(row) in agreed):
            waiting[row.complaint.line] = row.complaint
    return [
        f"Complaint {line} is {complaint.get_decision_display()} and has "
        f"{_named(rows, complaint)} on it: record the answer, or take it off the estimate."
        for line, complaint in sorted(waiting.items())
    ]


def _named(rows: list[Row], complaint: Complaint) -> str:
    own = [row for row in rows if row.complaint_id == complaint.pk]
    more = f" and {len(own) - 1} more" if len(own) > 1 else ""
    return f"{row_text(own[0])}{more}"


def words_of(order: RepairOrder, terms: Terms) -> dict[str, object]:
    """Who and what, written out as it stands today: the columns of an invoice."""
    vehicle, customer, workshop = order.vehicle, order.customer, order.workshop
    answers = _answers(order)
    out = odometer_out(order)
    distances = [f"in {distance_words(order.odometer_in)}"]
    if out:
        distances.append(f"out {distance_words(out)}")
    return {
        "to_name": customer.name,
        "to_contact": ", ".join(part for part in (customer.phone, customer.email) if part),
        "from_words": from_words(order, terms),
        "currency": workshop.currency,
        "vehicle_words": vehicle_words(order)[:200],
        "vin": vehicle.vin,
        "plate": vehicle.plate,
        "odometer_words": ", ".join(distances)[:80],
        "authorised_total": answers[-1].total_after if answers else 0,
        "authorised_words": "\n".join(
            _answer_words(answer, workshop.currency) for answer in answers
        ),
        "parts_words": _parts_words(order, terms),
        "note": terms.invoice_note,
    }


def from_words(order: RepairOrder, terms: Terms) -> str:
    """Name, address, telephone and tax number of the workshop, a line each."""
    workshop = order.workshop
    lines = [workshop.name, workshop.address, workshop.phone]
    if terms.tax_number:
        lines.append(f"Tax or registration number {terms.tax_number}")
    return "\n".join(line for line in lines if line)


def _answers(order: RepairOrder) -> list[Authority]:
    return list(Authority.objects.filter(estimate__order=order).order_by("pk"))


def _answer_words(answer: Authority, currency: str) -> str:
    """What 16 CCR 3356(d) asks for: who, when, how and where reached, what it added, the total."""
    at = timezone.localtime(answer.answered_at)
    reached = f" ({answer.contact})" if answer.contact else ""
    added = format_amount(answer.amount, currency)
    after = format_amount(answer.total_after, currency)
    return (
        f"{answer.who}, {answer.get_how_display()}{reached}, {date_format(at, 'j M Y, H:i')}: "
        f"{added} authorised, {after} before tax altogether"
    )


def _parts_words(order: RepairOrder, terms: Terms) -> str:
    fitted = (
        Replacement.objects.filter(complaint__order=order, state=Replacement.State.FITTED)
        .select_related("component", "held_part", "complaint")
        .order_by("complaint__line", "pk")
    )
    return parts_statement(
        [
            Returned(assembly_text(row), row.held_part.why if hasattr(row, "held_part") else "")
            for row in fitted
        ],
        wanted=order.parts_wanted,
        unless_waived=terms.return_parts == Terms.ReturnParts.UNLESS_WAIVED,
        keep_days=terms.keep_replaced_days,
    )


@dataclass(frozen=True, slots=True)
class Block:
    """The lines of one complaint as they would be billed, and what another payer bears."""

    complaint: Complaint
    lines: tuple[SharedLine, ...]
    borne: Decimal


def blocks_of(order: RepairOrder, bill: Bill) -> tuple[Block, ...]:
    """One query."""
    sorted_out: dict[int, list[SharedLine]] = {}
    for one in bill.lines:
        sorted_out.setdefault(one.line.complaint, []).append(one)
    complaints = order.complaints.order_by("line")
    return tuple(
        Block(row, tuple(sorted_out[row.pk]), total(one.other for one in sorted_out[row.pk]))
        for row in complaints
        if row.pk in sorted_out
    )
