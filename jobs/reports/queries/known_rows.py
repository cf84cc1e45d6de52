"""The lives of units as they were known at the end of a day that is past.

Of a unit that was written off later, and of a vehicle that was seen later, nothing of that was
known: the unit counts as still on, seen for the last time when its vehicle had last been here. The
rows have the columns of those that are kept, so that all counts are made of either alike. What was
corrected since is as it was corrected. Portable SQL; nothing here writes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from django.db import connections
from django.utils import timezone

from jobs.lives.odometer import LEAST_DAYS
from jobs.models import FittedUnit
from shop import clock
from shop.models import OdometerReading

_SAME: Final = (
    *("workshop_id", "vehicle_id", "component_id", "position", "supplier", "batch"),
    *("failure_mode_id", "entry", "in_day", "born_day", "in_m", "born_m"),
)
_TOLD: Final = ("exit", "out_day", "out_m", "left_at_out_m", "m_a_day")
_THERE: Final = "u.workshop_id = %(workshop)s AND u.in_day <= %(known)s"
_LEFT: Final = "COALESCE(u.known_day, u.out_day)"
# Its vehicle not seen since, or written off by then: the row says what was known.
_AS_KEPT: Final = (
    f"((u.exit = '' AND u.out_day <= %(known)s) OR (u.exit <> '' AND {_LEFT} <= %(known)s))"
)
# One found in the place of ours was known to be there when it came off, and never before.
_OPEN_THEN: Final = (
    "((u.exit = '' AND u.out_day > %(known)s)"
    f" OR (u.exit <> '' AND {_LEFT} > %(known)s AND u.entry <> 'elsewhere'))"
)
_TOLD_THEN: Final = (
    "''",
    "CASE WHEN s.seen > u.in_day THEN s.seen ELSE u.in_day END",
    "CASE WHEN s.last_m > u.in_m THEN s.last_m ELSE u.in_m END",
    "(1 = 0)",
    (
        f"CASE WHEN s.stretch < s.latest THEN 0 WHEN s.last_day - s.first_day >= {LEAST_DAYS}"
        " THEN (2 * (s.last_m - s.first_m) + s.last_day - s.first_day)"
        " / (2 * (s.last_day - s.first_day)) END"
    ),
)


@dataclass(frozen=True, slots=True)
class Rows:
    """What stands after FROM, an alias to follow, and the values that it asks for."""

    sql: str
    values: tuple[tuple[str, Any], ...] = ()


def known_rows(workshop: int, known: date) -> Rows:
    """Rows of lives as of the end of `known`. Where nothing came after it, the table itself, so
    that the present costs nothing more. Two queries at most, none for today."""
    if known >= clock.today() or not _came_after(workshop, known):
        return Rows(_quoted(FittedUnit))
    (first_day, zone), (last_day, _zone) = _ordinal_of("g.since"), _ordinal_of("g.till")
    units = _quoted(FittedUnit)
    kept = ", ".join(f"u.{name}" for name in (*_SAME, *_TOLD))
    then = ", ".join(
        (*map(_looked_up, _SAME), *map(" AS ".join, zip(_TOLD_THEN, _TOLD, strict=True)))
    )
    # CROSS JOIN tells SQLite to take the stretches first and to look units up by their vehicle,
    # of which the workshop is known by its readings.
    sql = (
        f"(SELECT {kept} FROM {units} u WHERE {_THERE} AND {_AS_KEPT} UNION ALL"  # noqa: S608
        f" SELECT {then} FROM ({_stretches(first_day, last_day)}) s CROSS JOIN {units} u"
        " WHERE u.vehicle_id = s.vehicle_id AND u.stretch = s.stretch"
        f" AND u.in_day <= %(known)s AND {_OPEN_THEN})"
    )
    values = {"known": known.toordinal(), "end": _adapted(_end_of(known)), **zone}
    return Rows(sql, tuple(values.items()))


def _looked_up(name: str) -> str:
    """A plus before a whole number keeps SQLite from looking rows up by it, of a whole workshop."""
    plus = "+" if name in ("workshop_id", "component_id", "in_day") else ""
    return f"{plus}u.{name} AS {name}"


def _came_after(workshop: int, known: date) -> bool:
    read = OdometerReading.objects.filter(workshop=workshop, read_at__gte=_end_of(known))
    left = FittedUnit.objects.filter(workshop=workshop, known_day__gt=known.toordinal())
    return read.exists() or left.exists()


def _stretches(first_day: str, last_day: str) -> str:
    """Of each vehicle the stretches of its odometer up to the end of the day (as in
    jobs.lives.odometer): readings that never go backwards. `seen`: the last day of them all."""
    window = "PARTITION BY vehicle_id ORDER BY read_at, id"
    back = (
        "SELECT vehicle_id, id, read_at, distance_m, CASE WHEN distance_m <"  # noqa: S608
        f" LAG(distance_m) OVER ({window}) THEN 1 ELSE 0 END AS back"
        f" FROM {_quoted(OdometerReading)} WHERE workshop_id = %(workshop)s AND read_at < %(end)s"
    )
    numbered = (
        f"SELECT vehicle_id, read_at, distance_m, SUM(back) OVER ({window}) AS stretch"  # noqa: S608
        f" FROM ({back}) b"
    )
    grouped = (
        "SELECT vehicle_id, stretch, MIN(read_at) AS since, MAX(read_at) AS till,"  # noqa: S608
        " MIN(distance_m) AS first_m, MAX(distance_m) AS last_m"
        f" FROM ({numbered}) n GROUP BY vehicle_id, stretch"
    )
    dated = (
        f"SELECT vehicle_id, stretch, first_m, last_m, {first_day} AS first_day,"  # noqa: S608
        f" {last_day} AS last_day FROM ({grouped}) g"
    )
    by_vehicle = "OVER (PARTITION BY vehicle_id)"
    return (
        "SELECT vehicle_id, stretch, first_m, last_m, first_day, last_day,"  # noqa: S608
        f" MAX(last_day) {by_vehicle} AS seen, MAX(stretch) {by_vehicle} AS latest"
        f" FROM ({dated}) d"
    )


def _ordinal_of(column: str) -> tuple[str, dict[str, str]]:
    """SQL of the ordinal (date.toordinal) of the local day of a moment, and its values."""
    connection = connections[FittedUnit.objects.db]
    zone = timezone.get_current_timezone_name()
    sql, params = connection.ops.datetime_cast_date_sql(column, (), zone)
    names = [f"zone_{at}" for at in range(len(params))]
    cast = sql % tuple(f"%({name})s" for name in names)
    if connection.vendor == "sqlite":
        # The Julian day at midnight, of which 1 January of the year 1 has 1721425.5.
        day = f"CAST(julianday({cast}) - 1721424.5 AS INTEGER)"
    else:
        day = f"({cast} - DATE '0001-01-01' + 1)"
    return day, dict(zip(names, params, strict=True))


def _quoted(model: type[FittedUnit] | type[OdometerReading]) -> str:
    return connections[FittedUnit.objects.db].ops.quote_name(model._meta.db_table)


def _adapted(moment: datetime) -> Any:
    return connections[FittedUnit.objects.db].ops.adapt_datetimefield_value(moment)


def _end_of(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day + timedelta(days=1), time.min))
