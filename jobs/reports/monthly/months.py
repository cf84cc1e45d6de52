"""Which months a report can be about: whole ones, since the first vehicle was taken in."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Min
from django.utils.formats import date_format
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from jobs.clocked import next_month
from jobs.models import MonthlyReport, RepairOrder
from jobs.reports.document import Span
from shop import clock
from shop.errors import Refusal
from shop.models import Workshop

MOST_OFFERED = 24


def month_of(text: str) -> date:
    """The first day of a month written 2026-10. Raises Refusal for anything else."""
    try:
        if len(text) == len("2026-10"):
            return date.fromisoformat(f"{text}-01")
    except ValueError:
        pass  # said below like every other fault
    raise Refusal(_("Write the month as 2026-10, year and month."), field="month")


def whole(month: date) -> Span:
    """The month from its first day to its last."""
    return Span(month, next_month(month) - timedelta(days=1))


def last_whole_month() -> date:
    """The month before the one that is under way."""
    return (clock.today().replace(day=1) - timedelta(days=1)).replace(day=1)


def first_month(workshop: Workshop) -> date | None:
    """The month in which the first vehicle was taken in; None before that."""
    rows = RepairOrder.objects.filter(workshop=workshop)
    first = rows.aggregate(first=Min("taken_in_at"))["first"]
    return localdate(first).replace(day=1) if first else None


def may_be_shown(workshop: Workshop, month: date) -> date:
    """The month. Raises Refusal when there is nothing of it, or nothing yet."""
    first = first_month(workshop)
    if first is None:
        raise Refusal(_("No vehicle was taken in yet, so there is nothing to report."))
    if month < first:
        said = {"month": named(month), "first": named(first)}
        raise Refusal(
            _("The first vehicle came in %(first)s; there is nothing to report of %(month)s.")
            % said,
            field="month",
        )
    if month > clock.today().replace(day=1):
        raise Refusal(
            _("%(month)s has not begun yet.") % {"month": named(month)},
            field="month",
        )
    return month


def may_be_issued(workshop: Workshop, month: date) -> date:
    """The month. Raises Refusal when it is not over, or there is nothing of it."""
    may_be_shown(workshop, month)
    if whole(month).until >= clock.today():
        raise Refusal(
            _("%(month)s is not over. Look at its draft; the report can be issued from %(day)s on.")
            % {
                "month": named(month),
                "day": date_format(next_month(month), "j F Y"),
            },
            field="month",
        )
    return month


def not_issued_yet(workshop: Workshop) -> tuple[date, ...]:
    """Whole months without a report, newest first, as many as are offered at once."""
    first = first_month(workshop)
    if first is None:
        return ()
    issued = set(MonthlyReport.objects.filter(workshop=workshop).values_list("month", flat=True))
    found: list[date] = []
    month = last_whole_month()
    while month >= first and len(found) < MOST_OFFERED:
        if month not in issued:
            found.append(month)
        month = (month - timedelta(days=1)).replace(day=1)
    return tuple(found)


def named(month: date) -> str:
    return date_format(month, "F Y")
