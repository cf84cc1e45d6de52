"""How rates and percentages are written on a page."""

from __future__ import annotations

from decimal import Decimal

from django import template

register = template.Library()


@register.filter
def percent(number: Decimal | None) -> str:
    """A percentage without the noughts that only the column added: 7.250 -> "7.25 %"."""
    return "" if number is None else f"{number.normalize():f}\u00a0%"
