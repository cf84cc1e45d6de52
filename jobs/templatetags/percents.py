"""A percentage without empty decimals."""

from __future__ import annotations

from decimal import Decimal

from django import template

from jobs.authorised import plain

register = template.Library()


@register.filter
def percent(value: Decimal) -> str:
    """7.250 -> "7.25", 10.00 -> "10"."""
    return plain(value)
