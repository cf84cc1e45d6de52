"""How time on the clock is written."""

from __future__ import annotations

from datetime import timedelta

from django import template

register = template.Library()


@register.filter
def clocked(time: timedelta | None) -> str:
    """Hours and minutes: "1:23", "102:05"; whole minutes, the rest left out."""
    if time is None:
        return ""
    minutes = max(0, time // timedelta(minutes=1))
    return f"{minutes // 60}:{minutes % 60:02}"
