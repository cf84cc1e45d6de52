"""Until when a claim must be sent, and how long that is. Pure.

The day a limit runs from is not counted, and the last day is one on which it may still be sent.
Working days are Monday to Friday less the holidays that are given. A limit in calendar days that
ends on a weekend or a holiday stays there unless the caller says that it moves: a payer's own terms
decide, and the earlier day is the safe one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

SOON_DAYS = 7
_DAY = timedelta(days=1)
_SATURDAY = 5


def is_working(day: date, holidays: frozenset[date] = frozenset()) -> bool:
    """Monday to Friday, and none of the holidays."""
    return day.weekday() < _SATURDAY and day not in holidays


def last_day(
    start: date,
    days: int,
    *,
    working: bool,
    holidays: frozenset[date] = frozenset(),
    moves: bool = False,
) -> date:
    """The last of `days` days after `start`, which itself is not counted.

    `moves` takes a calendar limit that ends on a weekend or a holiday to the next working day.
    Raises ValueError for days below nought or past the last year a date can have.
    """
    if days < 0:
        raise ValueError("A limit has no days below nought.")
    try:
        if working:
            return _after_working(start, days, holidays)
        day = start + timedelta(days=days)
        while moves and not is_working(day, holidays):
            day += _DAY
    except OverflowError as error:
        raise ValueError("That is past the last year a date can have.") from error
    return day


def _after_working(start: date, days: int, holidays: frozenset[date]) -> date:
    day = start
    while days:
        day += _DAY
        days -= is_working(day, holidays)
    return day


@dataclass(frozen=True, slots=True)
class Limit:
    """The last day to do something; `words` is what, as in "send the claim"."""

    ends_on: date
    working: bool = False
    holidays: frozenset[date] = frozenset()
    words: str = "send the claim"

    def over(self, on: date) -> bool:
        return on > self.ends_on

    def days_left(self, on: date) -> int:
        """Days after `on`, the last day included, in working days where the limit is in them.

        Nought on the last day. When it is over, minus the calendar days since: time that ran out on
        a Friday has run out on the Saturday too.
        """
        apart = (self.ends_on - on).days
        if apart <= 0 or not self.working:
            return apart
        days = (on + timedelta(days=ahead) for ahead in range(1, apart + 1))
        return sum(is_working(day, self.holidays) for day in days)

    def soon(self, on: date, *, days: int = SOON_DAYS) -> bool:
        """Not over, and at most so many days left."""
        return 0 <= self.days_left(on) <= days and not self.over(on)

    def sentence(self, on: date) -> str:
        """What to say on that day."""
        last, left = _day(self.ends_on), self.days_left(on)
        if self.over(on):
            return f"The last day to {self.words} was {last}, {_days(-left, '')} ago."
        if on == self.ends_on:
            return f"Today, {last}, is the last day to {self.words}."
        act = self.words[:1].upper() + self.words[1:]
        return f"{act} by {last}: {_days(left, 'working ' if self.working else '')} left."


def _days(days: int, kind: str) -> str:
    return f"1 {kind}day" if days == 1 else f"{days} {kind}days"


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
