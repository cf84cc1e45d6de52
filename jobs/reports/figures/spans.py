"""Whether the month of a report is over, and how months are called."""

from __future__ import annotations

from datetime import date, timedelta

from django.utils.formats import date_format

from jobs.clocked import next_month
from jobs.reports.document import Span
from shop import clock


def under_way(span: Span) -> bool:
    """Whether days of the month are still to come, or its last one is not over."""
    after = next_month(span.month)
    return span.until + timedelta(days=1) < after or clock.today() < after


def short(month: date) -> str:
    return date_format(month, "M Y")


def long(month: date) -> str:
    return date_format(month, "F Y")
