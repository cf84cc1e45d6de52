"""How long vehicles of this workshop are likely to have gone on after they were last seen.

Nothing here writes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

import numpy as np
from django.db.models.functions import TruncDate
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from numpy.typing import NDArray

from jobs.lives.odometer import LEAST_DAYS
from jobs.reports.stats.staying import came_until, followed_for
from shop.models import OdometerReading, Vehicle, Workshop

YEAR: Final = 365
FEWEST: Final = 10
"""Fewer gaps between visits say little: lives then end at the last visit."""

Whole = NDArray[np.int64]
_DAYS: Final = 10_000_000  # more than there are days in any calendar


@dataclass(frozen=True, slots=True)
class Gap:
    """Days to follow a vehicle after its last visit, of how many gaps, and that in a sentence.

    `m_a_day`: metres a day, the mean of all vehicles of the workshop of which that is known; taken
    for each of which it is not. `to_year_ago`: of a vehicle unseen for 0, 1, 2 ... days, for how
    many of them it still came on average up to a year before the last day counted.
    """

    days: float
    gaps: int
    words: str
    m_a_day: int = 0
    to_year_ago: tuple[float, ...] = ()

    @property
    def whole_days(self) -> int:
        return round(self.days)


def residual_gap(workshop: Workshop, until: date) -> Gap:
    """Of the days on which each vehicle was seen, up to `until`, for whatever it came.

    The same for all, so that all together are followed for as long as customers who come back as
    these do would still have come (jobs.reports.stats.staying). A vehicle that was gone by then was
    waited for until that day. Two queries, whatever there is.
    """
    keys, metres = _readings(workshop, until)
    seen = _each_once(keys)
    another = np.diff(seen // _DAYS) != 0
    gaps = np.diff(seen % _DAYS)[~another]
    last = seen[np.append(another, True)] if seen.size else seen
    count = int(gaps.size)
    left = gone_days(workshop, until)
    gone = np.array([left.get(int(one), 0) for one in last // _DAYS], dtype=np.int64)
    away = gone >= last % _DAYS  # seen again later, it was not gone for good
    unseen = until.toordinal() - last[~away] % _DAYS
    ended = (gone - last % _DAYS)[away]
    some = _m_a_day(keys, metres)
    if count < FEWEST:
        return Gap(0.0, count, _words(0, count), some)
    days = followed_for(gaps, unseen, ended)
    year = tuple(came_until(gaps, unseen, ended, YEAR).tolist())
    return Gap(days, count, _words(round(days), count), some, year)


def last_contacts(workshop: Workshop, until: date) -> dict[int, int]:
    """By vehicle the last day, an ordinal, on which it was seen up to `until`. One query."""
    seen, _metres = _readings(workshop, until)
    return dict(zip((seen // _DAYS).tolist(), (seen % _DAYS).tolist(), strict=True))


def gone_days(workshop: Workshop, until: date) -> dict[int, int]:
    """By vehicle the day, an ordinal, since which it was gone by `until`; only of those. It may
    have been seen again later. One query."""
    rows = Vehicle.objects.filter(workshop=workshop, gone_on__lte=until)
    return {pk: on.toordinal() for pk, on in rows.values_list("pk", "gone_on") if on}


def _readings(workshop: Workshop, until: date) -> tuple[Whole, Whole]:
    """Vehicle and day in one number, and the distance, metres, in the order of reading."""
    end = timezone.make_aware(datetime.combine(until + timedelta(days=1), time.min))
    rows = (
        OdometerReading.objects.filter(workshop=workshop, read_at__lt=end)
        .annotate(day=TruncDate("read_at"))
        .order_by("vehicle_id", "read_at", "pk")
        .values_list("vehicle_id", "day", "distance_m")
    )
    found = [(vehicle * _DAYS + day.toordinal(), metres) for vehicle, day, metres in rows]
    pairs = np.array(found, dtype=np.int64).reshape(-1, 2)
    return pairs[:, 0], pairs[:, 1]


def _each_once(keys: Whole) -> Whole:
    return keys[np.append(True, np.diff(keys) != 0)] if keys.size else keys


def _m_a_day(keys: Whole, metres: Whole) -> int:
    """The mean of all vehicles that go, each since its odometer last went backwards, as
    jobs.lives.odometer has it; nought where it is known of none."""
    if not keys.size:
        return 0
    another = np.append(np.diff(keys // _DAYS) != 0, True)
    begins = np.append(True, another[:-1] | (np.diff(metres) < 0))
    last = np.flatnonzero(another)
    first = np.flatnonzero(begins)[np.searchsorted(np.flatnonzero(begins), last, "right") - 1]
    days = keys[last] - keys[first]
    some = days >= LEAST_DAYS
    driven, days = (metres[last] - metres[first])[some], days[some]
    each = (2 * driven + days) // (2 * days)
    return round(float(each[each > 0].mean())) if np.any(each > 0) else 0


def _words(days: int, gaps: int) -> str:
    if gaps < FEWEST:
        return _(
            "Vehicles are followed to their last visit: there are too few gaps between visits to "
            "say how long one is likely to go on after it."
        )
    return ngettext(
        "Vehicles are followed for %(days)d day after their last visit, but not beyond the last "
        "day counted: so that all together are followed for as long as customers who come back "
        "as these did, in %(gaps)d gaps between visits, would still have come.",
        "Vehicles are followed for %(days)d days after their last visit, but not beyond the last "
        "day counted: so that all together are followed for as long as customers who come back "
        "as these did, in %(gaps)d gaps between visits, would still have come.",
        days,
    ) % {"days": days, "gaps": gaps}
