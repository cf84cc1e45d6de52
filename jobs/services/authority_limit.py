"""Work above what was authorised is stopped until authority for it is recorded."""

from __future__ import annotations

from jobs.models import RepairOrder
from jobs.queries.limit import limit_of
from shop.errors import Refusal


def check(order: RepairOrder) -> None:
    """Return in silence while the job's price before tax is covered, tolerance included.

    Call it within the transaction that adds a line, raises a price or issues the bill, after the
    change and with the order locked. Raises Refusal with a sentence that names the sums.
    """
    found = limit_of(order)
    if found.over:
        raise Refusal(found.sentence(order.workshop.currency))
