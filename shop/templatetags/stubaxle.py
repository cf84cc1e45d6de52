"""Template words of the product: addresses within the current workshop, values with units."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import template
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.timesince import timesince
from django.utils.translation import gettext as _

from shop import clock, units
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
    """A stored SI value in the given unit, with its sign: {{ reading.value|in_unit:"kohm" }}."""
    return "" if value is None else units.format_value(value, unit)


@register.filter
def money(amount: Decimal | None, workshop: Workshop) -> str:
    """An amount in the workshop's currency: {{ price.total|money:workshop }}."""
    return "" if amount is None else format_amount(amount, workshop.currency)


@register.filter(expects_localtime=True)
def when(moment: datetime | None) -> str:
    """A moment as it is said in the shop: "today 16:30", "Thu 26 Nov, 12:00"."""
    if moment is None:
        return ""
    days = (moment.date() - clock.today()).days
    time = f"{moment:%H:%M}"
    near = {-1: _("yesterday"), 0: _("today"), 1: _("tomorrow")}.get(days)
    if near:
        return f"{near} {time}"
    year = "" if moment.year == clock.today().year else " Y"
    return f"{date_format(moment, f'D j M{year}')}, {time}"


@register.filter
def how_long(since: datetime | None) -> str:
    """The time since a moment in its largest unit: "48 minutes", "15 hours", "5 days"."""
    return timesince(since, clock.now(), depth=1) if since else ""
