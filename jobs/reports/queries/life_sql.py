"""The SQL that the counts of lives share: portable, with names of tables from the models.

Days are ordinals, distances metres. `%(until)s` is the last day counted, `%(gap)s` for how long a
unit still in place is followed after its vehicle was last seen, `%(pool)s` how far a vehicle goes
in a day of which that is not known. Nothing here writes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain
from typing import Any, Final

import numpy as np
from django.db import connections
from numpy.typing import NDArray

from jobs.models import FittedUnit
from jobs.reports.queries.follow_up import Gap
from jobs.reports.queries.known_rows import Rows, known_rows

# Failed when it was first seen: it was chosen by failing, and says nothing of a rate.
AT_FIRST_VISIT: Final = "(entry <> 'fitted' AND out_day <= in_day)"
# Rows on which a failure was found; most others are still open.
FAILED: Final = "exit = 'failed' AND out_day <= %(until)s"
OPEN: Final = "exit = '' AND out_day < %(until)s"
LAST_DAY: Final = "(CASE WHEN out_day > %(until)s THEN %(until)s ELSE out_day END)"
LEFT_DAYS: Final = "(%(until)s - out_day)"  # of an open row
GAP_DAYS: Final = (
    "(CASE WHEN out_day + %(gap)s > %(until)s THEN %(until)s - out_day ELSE %(gap)s END)"
)
# Of any row, to the end of its follow-up.
END_DAY: Final = (
    "(CASE WHEN out_day > %(until)s THEN %(until)s WHEN exit <> '' THEN out_day"
    " WHEN out_day + %(gap)s > %(until)s THEN %(until)s ELSE out_day + %(gap)s END)"
)
# Beyond the last day counted only the share of the way that was driven until then.
LAST_M: Final = (
    "(CASE WHEN out_day > %(until)s"
    " THEN in_m + (out_m - in_m) * (%(until)s - in_day) / (out_day - in_day) ELSE out_m END)"
)
KNOWN_AGE: Final = "born_day <= in_day"  # neither holds nor fails where it is not known
KNOWN_M: Final = "born_m <= in_m AND out_m IS NOT NULL"
FAR: Final = 1_000_000
"""More than any age in days or distance in 100 km: component and time go into one number."""


@dataclass(frozen=True, slots=True)
class Lives:
    """Which lives are counted, and how far: a workshop's, of some components or (None) of all.

    `known`: the rows as they were known on some day; `pool`: metres a day where a vehicle's own is
    not known, the same for every kind.
    """

    workshop: int
    until: int
    gap: int
    components: tuple[int, ...] | None
    known: Rows
    pool: int

    @property
    def rows(self) -> str:
        """What they are counted from; an alias is to follow."""
        return self.known.sql

    @property
    def where(self) -> str:
        return self.where_of("")

    def where_of(self, alias: str) -> str:
        """The condition on rows of the table under an alias ("u.")."""
        rows = f"{alias}workshop_id = %(workshop)s AND {alias}in_day <= %(until)s"
        if self.components is None:
            return rows
        wanted = ", ".join(str(int(one)) for one in self.components) or "NULL"
        return f"{rows} AND {alias}component_id IN ({wanted})"

    @property
    def values(self) -> dict[str, Any]:
        own = {"workshop": self.workshop, "until": self.until, "gap": self.gap, "pool": self.pool}
        return own | dict(self.known.values)


def lives_of(
    workshop: int,
    until: date,
    gap: Gap,
    components: Sequence[int] | None = None,
    *,
    known: date | None = None,
) -> Lives:
    """Counted up to `until`, as they were known at the end of that day or of a later one (`known`):
    what two times are to be compared by is known of both. Two queries at most."""
    some = None if components is None else tuple(components)
    rows = known_rows(workshop, known or until)
    return Lives(workshop, until.toordinal(), gap.whole_days, some, rows, gap.m_a_day)


def fetched(sql: str, values: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """All rows at once."""
    with connections[FittedUnit.objects.db].cursor() as cursor:
        cursor.execute(sql, dict(values))
        return list(cursor.fetchall())


def whole_numbers(rows: Sequence[tuple[Any, ...]], columns: int) -> NDArray[np.int64]:
    """Rows of whole numbers as an array, a row each."""
    return np.fromiter(
        chain.from_iterable(rows), dtype=np.int64, count=len(rows) * columns
    ).reshape(-1, columns)
