"""Words for the lines of a bill."""

from __future__ import annotations

from decimal import Decimal

from django import template

from jobs.authorised import plain
from jobs.models import InvoiceLine
from jobs.pricing import LineKind

register = template.Library()
_IN_HOURS = (LineKind.LABOUR, LineKind.DIAGNOSIS)


@register.filter
def kind_words(kind: str) -> str:
    """What a line is, as the bill says it: "assembly" -> "part"."""
    return str(InvoiceLine.Kind(kind).label)


@register.filter
def count_words(quantity: Decimal, kind: str) -> str:
    """ "1.2 h" of labour, "3" pieces, without noughts that say nothing."""
    return f"{plain(quantity)}\u00a0h" if kind in _IN_HOURS else plain(quantity)
