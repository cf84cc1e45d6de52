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

from jobs.lives.follow_up import mean_residual
from jobs.models import FittedUnit
from shop.models import OdometerReading, Workshop

FEWEST: Final = 10
"""With fewer gaps their mean says little: lives then end at the last visit."""

_DAYS: Final = 10_000_000  # more than there are days in any calendar


@dataclass(frozen=True, slots=True)
class Gap:
    """The mean residual gap in days, of how many gaps, and that in a sentence."""

    days: float
    gaps: int
    words: str

    @property
    def whole_days(self) -> int:
        return round(self.days)


def residual_gap(workshop: Workshop, until: date) -> Gap:
    """Of the gaps between the days on which a vehicle was seen, up to `until`.

    Gaps that ended with a failed unit found are left out: that visit was not by routine.
    Two queries, whatever there is.
    """
    seen = _contacts(workshop, until)
    gaps = np.diff(seen % _DAYS)
    same_vehicle = np.diff(seen // _DAYS) == 0
    routine = gaps[same_vehicle & ~np.isin(seen[1:], _failed(workshop, until))]
    count = int(routine.size)
    days = mean_residual(routine) if count >= FEWEST else 0.0
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


def _failed(workshop: Workshop, until: date) -> NDArray[np.int64]:
    """The same of the visits at which a failed unit was found."""
    rows = (
        FittedUnit.objects.filter(
            workshop=workshop, exit=FittedUnit.Exit.FAILED, out_day__lte=until.toordinal()
        )
        .order_by()
        .values_list("vehicle_id", "out_day")
        .distinct()
    )
    return np.fromiter((vehicle * _DAYS + day for vehicle, day in rows), dtype=np.int64)


def _words(days: int, gaps: int) -> str:
    if gaps < FEWEST:
        return _(
            "Vehicles are followed to their last visit: there are too few gaps between visits to "
            "say how long one is likely to go on after it."
        )
    return ngettext(
        "Vehicles are followed for %(days)d day after their last visit, but not beyond the last "
        "day counted: what is left on average of a gap between routine visits, of %(gaps)d gaps.",
        "Vehicles are followed for %(days)d days after their last visit, but not beyond the last "
        "day counted: what is left on average of a gap between routine visits, of %(gaps)d gaps.",
        days,
    ) % {"days": days, "gaps": gaps}
