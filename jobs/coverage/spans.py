"""Months from a day, and how much of a span is left. Pure.

A span of months ends with the last hour of the day that has the same number as the day it runs
from, or of the last day of the month where that month has no such day; the day it runs from is
not counted (Regulation (EEC, Euratom) No 1182/71, article 3(1) and (2)(c), from memory).
ISO 8601 writes such durations ("P36M") and leaves adding them to agreement: this is ours. It is
also the reading that is kinder to the owner by one day.
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date

MOST_MONTHS = 12 * 100
ROUNDED_M = 1  # two distances kept in whole metres, as miles must be, sum to one metre more or less
_IN_EVERY_MONTH = 28


def months_after(start: date, months: int) -> date:
    """The day `months` whole months after `start`: the last day of a span that runs from it.

    Raises ValueError for months below nought, above a hundred years or past the year 9999.
    """
    if not 0 <= months <= MOST_MONTHS:
        raise ValueError(f"Months go from 0 to {MOST_MONTHS}.")
    years, month = divmod(start.month - 1 + months, 12)
    year = start.year + years
    if year > date.max.year:
        raise ValueError("That is past the last year a date can have.")
    day = start.day
    if day > _IN_EVERY_MONTH:
        day = min(day, monthrange(year, month + 1)[1])
    return date(year, month + 1, day)


def days_left(last_day: date, on: date) -> int:
    """Days from `on` to the last day: 0 on that day itself, negative when it has passed."""
    return (last_day - on).days


def metres_left(end_m: int, now_m: int) -> int:
    """Metres from `now_m` to `end_m`, negative when that has passed by more than rounding."""
    left = end_m - now_m
    return 0 if abs(left) <= ROUNDED_M else left
