"""How times are said at the Desk: short, and in columns."""

from __future__ import annotations

from datetime import datetime

from django import template
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from shop import clock

register = template.Library()


@register.filter
def waited(since: datetime) -> str:
    """How long ago: "0:35", from a day on "2 d"."""
    minutes = max(0, int((clock.now() - since).total_seconds() // 60))
    if minutes >= 24 * 60:
        return _("%s d") % (minutes // (24 * 60))
    return f"{minutes // 60}:{minutes % 60:02}"


@register.filter
def promise(at: datetime) -> str:
    """ "14:00" today, "Thu 12:00" within six days either way, else "3 Nov"."""
    moment = localtime(at)
    days = (moment.date() - clock.today()).days
    if days == 0:
        return f"{moment:%H:%M}"
    if abs(days) < 7:
        return date_format(moment, "D H:i")
    return date_format(moment, "j M")
