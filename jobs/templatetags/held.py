"""How much is to be done with held parts, for the head of every room of the Counter."""

from __future__ import annotations

from typing import Any

from django import template

from jobs.queries.held import counts

register = template.Library()


@register.simple_tag(takes_context=True)
def held_counts(context: template.Context) -> dict[str, Any]:
    """{% held_counts as due %}: due.send, due.overdue, due.may_go, due.credit. Two queries."""
    return {which.name.lower(): number for which, number in counts(context["actor"]).items()}
