"""Template words of the product: addresses within the current workshop, values with units."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import template
from django.urls import reverse

from shop import units
from shop.models import Workshop
from shop.money import format_amount

register = template.Library()


@register.simple_tag(takes_context=True)
def at(context: template.Context, name: str, *args: Any) -> str:
    """The address of `name` in the current workshop: {% at "order" order.number %}."""
    slug = context["actor"].workshop.slug
    return reverse(name, args=[slug, *args])


@register.simple_tag
def new_act() -> str:
    """A fresh UUID for a hand-written form."""
    return str(uuid4())


@register.filter
def in_unit(value: float | None, unit: str) -> str:
    """A stored SI value in the given unit, with the unit's sign: {{ reading.value|in_unit:"kohm" }}."""
    return "" if value is None else units.format_value(value, unit)


@register.filter
def money(amount: Decimal | None, workshop: Workshop) -> str:
    """An amount in the workshop's currency: {{ price.total|money:workshop }}."""
    return "" if amount is None else format_amount(amount, workshop.currency)
