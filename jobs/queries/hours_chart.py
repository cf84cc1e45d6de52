"""A person's month as a picture: clocked hours, day by day."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta

from django.utils.translation import gettext as _

from jobs.clocked import NOTHING, Span, by_day, next_month
from jobs.labour_ratios import hours_of
from jobs.queries.clock import zone
from jobs.queries.hours import entries_of, rows_of, span_of
from shop.actor import Actor
from shop.charting import Axis, Bars, Chart, Table
from shop.models import User


def by_day_chart(actor: Actor, user: User, month: date) -> Chart | None:
    """None when nothing was clocked. The days are local ones, from midnight to midnight."""
    span = span_of(month)
    days = _days(actor, user, span)
    if not any(days.values()):
        return None
    first = month.replace(day=1)
    count = (next_month(first) - first).days
    bars = tuple(
        (str(day.day), float(hours_of(days.get(day, NOTHING))))
        for day in (first + timedelta(days=number) for number in range(count))
    )
    worked = sum(1 for time in days.values() if time)
    whole = hours_of(sum(days.values(), NOTHING))
    rows = tuple(
        (f"{day:%Y-%m-%d}", str(hours_of(time))) for day, time in sorted(days.items()) if time
    )
    return Chart(
        _("Worked, day by day"),
        _("%(hours)s hours were clocked on %(days)s days.") % {"hours": whole, "days": worked},
        Axis(_("Day of the month")),
        Axis(_("Worked"), "h", zero=True),
        (Bars(_("Worked"), bars),),
        table=Table(_("Worked hours by day"), (_("Day"), _("Hours")), rows),
    )


def _days(actor: Actor, user: User, span: Span) -> dict[date, timedelta]:
    entries = list(entries_of(actor, user, span).prefetch_related(None))
    days: dict[date, timedelta] = defaultdict(timedelta)
    for row in rows_of(actor, entries, span):
        start = max(row.entry.counted_from, span.start)
        for day, time in by_day(Span(start, start + row.counts), zone()).items():
            days[day] += time
    return days
