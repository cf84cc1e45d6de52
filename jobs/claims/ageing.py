"""How long money has been owed, and how long payers took. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction

SMALL = 20
"""Below this many a share or a median says little, and is said to be small."""


class Age(StrEnum):
    """Whole days since the day a claim was first sent; that day itself is day nought."""

    MONTH = "30"
    TWO = "60"
    THREE = "90"
    OLDER = "older"

    @property
    def label(self) -> str:
        return _LABELS[self]


_LABELS: Mapping[Age, str] = {
    Age.MONTH: "0–30 days",
    Age.TWO: "31–60 days",
    Age.THREE: "61–90 days",
    Age.OLDER: "older",
}
_LAST: tuple[tuple[int, Age], ...] = ((30, Age.MONTH), (60, Age.TWO), (90, Age.THREE))


@dataclass(frozen=True, slots=True)
class Days:
    """First sent from `first` to `last`, both included; None: as far as it goes."""

    first: date | None
    last: date | None


def age_of(sent: date, today: date) -> Age:
    """A day that is still to come counts as today."""
    days = (today - sent).days
    return next((age for last, age in _LAST if days <= last), Age.OLDER)


def days_of(age: Age, today: date) -> Days:
    """The days of sending that are of this age on `today`."""
    if age is Age.OLDER:
        return Days(None, today - timedelta(days=_LAST[-1][0] + 1))
    place = [each for _last, each in _LAST].index(age)
    first = today - timedelta(days=_LAST[place][0])
    last = today - timedelta(days=_LAST[place - 1][0] + 1) if place else None
    return Days(first, last)


def median(counts: Mapping[int, int]) -> Fraction | None:
    """The median of whole numbers, each given with how often it occurs; None for none.

    Of an even number it is the mean of the two in the middle.
    """
    number = sum(counts.values())
    if not number:
        return None
    low, high = (number - 1) // 2, number // 2
    passed, middle = 0, []
    for value in sorted(counts):
        before, passed = passed, passed + counts[value]
        middle += [value for place in {low, high} if before <= place < passed]
        if len(middle) == len({low, high}):
            break
    return Fraction(sum(middle), len(middle))


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many; `percent` is None of none."""

    count: int
    of: int

    @property
    def percent(self) -> int | None:
        """To the nearest whole percent, halves up, but 100 only for all and 0 only for none."""
        if not self.of:
            return None
        near = (200 * self.count + self.of) // (2 * self.of)
        if 0 < self.count < self.of:
            return min(max(near, 1), 99)
        return near

    @property
    def small(self) -> bool:
        return self.of < SMALL
