"""{% way one.way %}: the address behind a figure of a report, in the current workshop."""

from __future__ import annotations

from django import template
from django.urls import NoReverseMatch, reverse

from jobs.reports.document import Way
from shop.tables import Column, Reads

register = template.Library()

_NUMBERS = {Reads.WHOLE, Reads.AMOUNT, Reads.NUMBER}


@register.simple_tag(takes_context=True)
def way(context: template.Context, one: Way | None) -> str:
    """The address, or nothing: a report that was kept may name one that is gone since."""
    if one is None:
        return ""
    try:
        path = reverse(one.name, args=[context["actor"].workshop.slug, *one.parts])
    except NoReverseMatch:
        return ""
    return f"{path}?{one.query}" if one.query else path


@register.filter
def is_number(column: Column) -> bool:
    """Whether its cells stand at the end of their column, digit under digit."""
    return column.reads in _NUMBERS


@register.filter
def beside(cells: object, columns: tuple[Column, ...]) -> list[tuple[object, Column]]:
    """Each cell with its column: {% for cell, column in row|beside:table.columns %}."""
    assert isinstance(cells, (tuple, list))
    return list(zip(cells, columns, strict=True))
