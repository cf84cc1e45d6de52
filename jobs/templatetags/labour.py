"""How labour is written."""

from __future__ import annotations

from django import template

from jobs import pricing

register = template.Library()


@register.filter
def hours(tenths: int) -> str:
    """Tenths of an hour: 12 -> "1.2"."""
    return pricing.hours(tenths)
