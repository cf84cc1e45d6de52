"""What was said about a job's price, what was answered, and whether it still stands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, Max, OuterRef, Subquery

from jobs.agreed import Answer, agreed
from jobs.bill import SharedLine, make_bill
from jobs.models import Authority, AuthorityLine, Complaint, Estimate, EstimateLine, RepairOrder
from jobs.queries.priced import Row, in_order, live_rows, price_line, row_key, shares_of


@dataclass(frozen=True, slots=True)
class SaidLine:
    text: str
    amount: Decimal
    customer: Decimal


Said = dict[str, SaidLine]  # by row of the job


def standing(order_ids: Collection[int]) -> set[int]:
    """The orders whose last given estimate still says what stands now.

    Until it is answered that means line by line; afterwards less may stand than was said, since
    what was declined is taken off or is back at what was agreed before, and a number may have
    been superseded at the same price.
    The number of queries does not grow with the orders.
    """
    if not order_ids:
        return set()
    said, answered = _said(order_ids)
    now = _now(order_ids)
    return {key for key in order_ids if _stands(said[key], now[key], answered=key in answered)}


def is_as_given(order: RepairOrder) -> bool:
    """Whether giving the estimate now would only repeat the last one."""
    said, _answered = _said([order.pk])
    return _stands(said[order.pk], _now([order.pk])[order.pk], answered=False)


def _stands(said: Said, now: Said, *, answered: bool) -> bool:
    if not said:
        return False
    if not answered:
        return said == now
    return all(
        row in said and line.amount <= said[row].amount and line.customer <= said[row].customer
        for row, line in now.items()
    )


def _said(order_ids: Collection[int]) -> tuple[dict[int, Said], set[int]]:
    """The lines of each order's last estimate, and the orders where that one was answered."""
    said: dict[int, Said] = defaultdict(dict)
    answered: set[int] = set()
    last = Estimate.objects.filter(order=OuterRef("estimate__order")).order_by("-number")
    lines = EstimateLine.objects.filter(
        estimate__order__in=order_ids, estimate=Subquery(last.values("pk")[:1])
    ).annotate(answered=Exists(Authority.objects.filter(estimate=OuterRef("estimate"))))
    for order_id, pk, row, text, amount, customer, was_answered in lines.values_list(
        "estimate__order", "pk", "row", "text", "amount", "customer_amount", "answered"
    ):
        said[order_id][row or f"line:{pk}"] = SaidLine(text, amount, customer)
        if was_answered:
            answered.add(order_id)
    return said, answered


def _now(order_ids: Collection[int]) -> dict[int, Said]:
    now: dict[int, Said] = defaultdict(dict)
    for row, shared in shared_rows(live_rows(order_ids)):
        line = SaidLine(shared.line.text, shared.line.amount, shared.customer)
        now[row.complaint.order_id][row_key(row)] = line
    return now


def shared_rows(rows: Collection[Row]) -> list[tuple[Row, SharedLine]]:
    """Each row with its line and who pays how much of it. No query."""
    sorted_out = in_order(rows)
    bill = make_bill([price_line(row) for row in sorted_out], shares_of(rows), ())
    return list(zip(sorted_out, bill.lines, strict=True))


def given_estimates(order: RepairOrder) -> tuple[Estimate, ...]:
    """Every revision with its lines and its answers, the last one first."""
    rows = (
        Estimate.objects.filter(order=order)
        .select_related("given_by")
        .prefetch_related("lines__complaint", "answers__recorded_by", "answers__lines__complaint")
    )
    given = tuple(rows.order_by("-number"))
    every = sorted((one for row in given for one in row.answers.all()), key=lambda one: one.pk)
    for serial, answer in enumerate(every, 1):
        answer.serial = serial  # type: ignore[attr-defined]  # of its paper, "<order>/A1"
    return given


def last_number(order: RepairOrder) -> int:
    found = Estimate.objects.filter(order=order).aggregate(last=Max("number"))["last"]
    return int(found or 0)


def agreed_on(order_ids: Collection[int]) -> Mapping[int, dict[str, Decimal]]:
    """By complaint, the rows that stand authorised and what was said for each. Two queries."""
    said: dict[tuple[int, int], dict[str, Decimal]] = defaultdict(dict)
    lines = EstimateLine.objects.filter(estimate__order__in=order_ids)
    for estimate, complaint, row, amount in lines.values_list(
        "estimate", "complaint", "row", "amount"
    ):
        said[estimate, complaint][row] = amount
    rows = AuthorityLine.objects.filter(authority__estimate__order__in=order_ids)
    answers = rows.order_by("authority", "pk").values_list(
        "authority__estimate", "complaint", "decision"
    )
    yes = Complaint.Decision.AUTHORISED
    return agreed(
        Answer(complaint, decision == yes, said[estimate, complaint])
        for estimate, complaint, decision in answers
    )


def last_answer(order: RepairOrder) -> Authority | None:
    return Authority.objects.filter(estimate__order=order).order_by("-pk").first()


def authorised_total(order: RepairOrder) -> Decimal:
    """What the last answer left authorised altogether, before tax."""
    last = last_answer(order)
    return last.total_after if last else Decimal("0.00")
