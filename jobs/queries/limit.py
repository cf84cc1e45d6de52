"""What a job may cost by what was authorised, and what it costs now."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.authorised import Limit, limit
from jobs.bill import NOTHING, SharedLine
from jobs.models import RepairOrder
from jobs.queries.priced import live_rows
from jobs.queries.said import last_answer, shared_rows
from jobs.queries.terms import terms_of
from shop.money import total


def limit_of(order: RepairOrder) -> Limit:
    return limit_on(order, [line for _row, line in shared_rows(live_rows([order.pk]))])


def limit_on(order: RepairOrder, lines: Sequence[SharedLine]) -> Limit:
    """The limit of the whole job or, where only that is passed, of what the customer pays.

    What one payer was to bear may not become the customer's unasked, though the sum stays the
    same. `lines` are all that stand on the job now. Two queries.
    """
    tolerance, answer = terms_of(order.workshop).tolerance_percent, last_answer(order)
    whole = limit(
        answer.total_after if answer else NOTHING,
        tolerance,
        total(one.line.amount for one in lines),
    )
    if whole.over or answer is None or answer.customer_after is None:
        return whole
    pays = total(one.customer for one in lines)
    customers = limit(answer.customer_after, tolerance, pays, customers=True)
    return customers if customers.over else whole
