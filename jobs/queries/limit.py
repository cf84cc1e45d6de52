"""What a job may cost by what was authorised, and what it costs now."""

from __future__ import annotations

from decimal import Decimal

from jobs.authorised import Limit, limit
from jobs.models import RepairOrder
from jobs.queries.priced import price_of
from jobs.queries.said import authorised_total
from jobs.queries.terms import terms_of
from shop.models import Workshop


def limit_of(order: RepairOrder) -> Limit:
    return limit_for(order.workshop, authorised_total(order), price_of(order).total)


def limit_for(workshop: Workshop, authorised: Decimal, now: Decimal) -> Limit:
    """One query."""
    return limit(authorised, terms_of(workshop).tolerance_percent, now)
