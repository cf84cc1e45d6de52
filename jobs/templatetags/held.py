"""Words of the shelf and of held parts: what is to be done, and pieces with their sign."""

from __future__ import annotations

from typing import Any

from django import template

from jobs.queries.held import counts
from shop.units import MINUS_SIGN

register = template.Library()


@register.simple_tag(takes_context=True)
def held_counts(context: template.Context) -> dict[str, Any]:
    """{% held_counts as due %}: due.send, due.overdue, due.may_go, due.credit. Three queries."""
    return {which.name.lower(): number for which, number in counts(context["actor"]).items()}


@register.filter
def signed(pieces: int) -> str:
    """A movement's pieces: "+2", and "-1" with a true minus."""
    return f"{MINUS_SIGN}{-pieces}" if pieces < 0 else f"+{pieces}"
