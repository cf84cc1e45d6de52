"""A figure without empty decimals."""

from __future__ import annotations

from decimal import Decimal

from django import template

from jobs.authorised import plain as written

register = template.Library()


@register.filter
def plain(value: Decimal) -> str:
    """7.250 -> "7.25", 10.00 -> "10"."""
    return written(value)
