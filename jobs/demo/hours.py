"""When the demo's workshops are open, and reckoning in their working time. Pure.

Open on five days a week from 07:30 to 17:30. All moments are aware and in the workshop's zone.
"""

from __future__ import annotations

from datetime import datetime, time, timedelta

OPENS = time(7, 30)
CLOSES = time(17, 30)
DAY = 600  # working minutes
_SATURDAY = 5


def next_open(moment: datetime) -> datetime:
    """The moment itself when the workshop is open then, else the next time it opens."""
    if _working_day(moment) and _at(moment, OPENS) <= moment < _at(moment, CLOSES):
        return moment
    if _working_day(moment) and moment < _at(moment, OPENS):
        return _at(moment, OPENS)
    day = moment + timedelta(days=1)
    while not _working_day(day):
        day += timedelta(days=1)
    return _at(day, OPENS)


def last_open(moment: datetime) -> datetime:
    """The moment itself when the workshop is open then, else the last time it closed."""
    if _working_day(moment) and _at(moment, OPENS) < moment <= _at(moment, CLOSES):
        return moment
    if _working_day(moment) and moment > _at(moment, CLOSES):
        return _at(moment, CLOSES)
    day = moment - timedelta(days=1)
    while not _working_day(day):
        day -= timedelta(days=1)
    return _at(day, CLOSES)


def later(moment: datetime, minutes: float) -> datetime:
    """So many working minutes after `moment`."""
    here = next_open(moment)
    left = timedelta(minutes=minutes)
    while here + left > _at(here, CLOSES):
        left -= _at(here, CLOSES) - here
        here = next_open(_at(here, CLOSES))
    return here + left


def earlier(moment: datetime, minutes: float) -> datetime:
    """So many working minutes before `moment`."""
    here = last_open(moment)
    left = timedelta(minutes=minutes)
    while here - left < _at(here, OPENS):
        left -= here - _at(here, OPENS)
        here = last_open(_at(here, OPENS))
    return here - left


def round_to(moment: datetime, minutes: int) -> datetime:
    """Up to the next whole half hour, quarter and so on, as people promise."""
    over = moment.minute % minutes
    up = timedelta(minutes=minutes - over) if over else timedelta()
    return moment.replace(second=0, microsecond=0) + up


def last_of_the_day_before(moment: datetime, minutes: float) -> tuple[datetime, datetime]:
    """The last minutes until closing of the working day before `moment`'s."""
    opened = _at(last_open(moment), OPENS)
    return earlier(opened, minutes), last_open(opened)


def _working_day(moment: datetime) -> bool:
    return moment.weekday() < _SATURDAY


def _at(moment: datetime, when: time) -> datetime:
    return moment.replace(hour=when.hour, minute=when.minute, second=0, microsecond=0)
