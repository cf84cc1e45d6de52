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

from jobs.reports.stats.staying import followed_for
from shop.models import OdometerReading, Workshop

FEWEST: Final = 10
"""Fewer gaps between visits say little: lives then end at the last visit."""

_DAYS: Final = 10_000_000  # more than there are days in any calendar


@dataclass(frozen=True, slots=True)
class Gap:
    """Days to follow a vehicle after its last visit, of how many gaps, and that in a sentence."""

    days: float
    gaps: int
    words: str

    @property
    def whole_days(self) -> int:
        return round(self.days)


def residual_gap(workshop: Workshop, until: date) -> Gap:
    """Of the days on which each vehicle was seen, up to `until`, for whatever it came.

    The same for all, so that all together are followed for as long as customers who come back as
    these do would still have come (jobs.reports.stats.staying). One query, whatever there is.
    """
    seen = _contacts(workshop, until)
    another = np.diff(seen // _DAYS) != 0
    gaps = np.diff(seen % _DAYS)[~another]
    last = seen[np.append(another, True)] if seen.size else seen
    count = int(gaps.size)
    unseen = until.toordinal() - last % _DAYS
    days = followed_for(gaps, unseen) if count >= FEWEST else 0.0
    return Gap(days, count, _words(round(days), count))


def _contacts(workshop: Workshop, until: date) -> NDArray[np.int64]:
    """Vehicle and day in one number, in order, each once."""
    end = timezone.make_aware(datetime.combine(until + timedelta(days=1), time.min))
    rows = (
        OdometerReading.objects.filter(workshop=workshop, read_at__lt=end)
        .annotate(day=TruncDate("read_at"))
        .order_by("vehicle_id", "day")
        .values_list("vehicle_id", "day")
        .distinct()
    )
    keys = (vehicle * _DAYS + day.toordinal() for vehicle, day in rows)
    return np.fromiter(keys, dtype=np.int64)


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
