"""{% chart one %} puts a chart on a page, {% chart one ground="paper" %} on paper."""

from __future__ import annotations

from typing import Any

from django import template
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from shop.charting import Chart
from shop.web import charts
from shop.web.chart_marks import Ground
from shop.web.chart_size import NARROW, WIDE
from shop.web.chart_table import table_of

register = template.Library()


@register.simple_tag
def chart(one: Chart, ground: Ground = "page", size: str = "wide") -> SafeString:
    """A chart with its title, what is to be seen in it, and its numbers.

    ground: "page", where it follows the theme and comes in two drawings, or "paper", where it is
    one drawing in ink, as a picture; size: on paper "wide" across the sheet or "narrow" for two
    beside each other. When it cannot be drawn, a sentence says so and its numbers are shown.
    """
    if ground == "paper":
        picture = charts.for_paper(one, NARROW if size == "narrow" else WIDE)
        context: dict[str, Any] = {"picture": picture, "size": size}
    else:
        context = {"pictures": charts.for_page(one)}
    drawn = any(context[name] for name in ("picture", "pictures") if name in context)
    context |= {"chart": one, "table": one.table if drawn else one.table or table_of(one)}
    return render_to_string(f"parts/chart{'_paper' if ground == 'paper' else ''}.html", context)
