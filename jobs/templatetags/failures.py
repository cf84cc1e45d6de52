"""How old a unit was, and how far it had gone, when it was found failed."""

from __future__ import annotations

from datetime import date
from typing import Final

from django import template

from jobs.models import FittedUnit
from shop import units
from shop.actor import Actor

register = template.Library()

_MONTH: Final = 365.25 / 12


@register.filter
def found_failed(unit: FittedUnit) -> date:
    """The day of the visit at which it was found: {{ unit|found_failed|date:"j M Y" }}."""
    return date.fromordinal(unit.out_day)


@register.filter
def age_in_months(unit: FittedUnit) -> str:
    """Since it was fitted, or its vehicle went into service; nothing where that is not known."""
    if unit.born_day is None or unit.born_day > unit.out_day:
        return ""
    return units.format_number((unit.out_day - unit.born_day) / _MONTH, decimals=1)


@register.filter
def way_driven(unit: FittedUnit, actor: Actor) -> str:
    """How far it had gone, in the workshop's unit; nothing where that is not soundly known."""
    if unit.born_m is None or unit.out_m is None or not unit.left_at_out_m:
        return ""
    unit_of_way = actor.workshop.distance_unit
    value = units.from_si(float(unit.out_m - unit.born_m), unit_of_way)
    return f"{units.format_number(value, decimals=0)} {units.symbol_of(unit_of_way)}"
