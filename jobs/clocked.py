"""Time on the clock: how long it was, and on which local day it counts. Pure.

Moments are aware datetimes. How long something took is elapsed time, so that the night on which
the clocks change is an hour shorter or longer; days and months begin at local midnight.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

NOTHING = timedelta()
EARLY = timedelta(hours=4)  # one who begins so long before a shift belongs to it
LONGEST_OUTSIDE = timedelta(hours=8)  # a clock begun outside of every shift


class NoSuchTime(ValueError):
    """The clocks were put forward over this local time: it never was."""


class TwiceTime(ValueError):
    """The clocks were put back over this local time: it was twice."""


@dataclass(frozen=True, slots=True)
class Span:
    """From `start` up to, and without, `end`, in UTC: wall time does not run evenly.

    Raises ValueError when it ends before it starts.
    """

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "start", self.start.astimezone(UTC))
        object.__setattr__(self, "end", self.end.astimezone(UTC))
        if self.end < self.start:
            raise ValueError("A span of time ends before it starts.")

    @property
    def length(self) -> timedelta:
        return elapsed(self.start, self.end)

    def meets(self, other: Span) -> bool:
        """Do they share any time? Ends that only touch do not."""
        return self.start < other.end and other.start < self.end

    def inside(self, other: Span) -> timedelta:
        """How much of this span lies in the other."""
        start, end = max(self.start, other.start), min(self.end, other.end)
        return elapsed(start, end) if start < end else NOTHING


@dataclass(frozen=True, slots=True)
class Shift:
    """Local times of one day; an end that is not after the start is next morning."""

    starts: time
    ends: time
    pause: timedelta = NOTHING


def elapsed(start: datetime, end: datetime) -> timedelta:
    """Time that really passed, whatever the clocks on the wall did meanwhile."""
    return end.astimezone(UTC) - start.astimezone(UTC)


def midnight(day: date, zone: tzinfo) -> datetime:
    """The first moment of a local day, in UTC."""
    return datetime.combine(day, time.min, zone).astimezone(UTC)


def day_span(day: date, zone: tzinfo) -> Span:
    """The local day, from midnight to midnight: 23 to 25 hours."""
    return Span(midnight(day, zone), midnight(day + timedelta(days=1), zone))


def month_span(month: date, zone: tzinfo) -> Span:
    """The local month in which the day `month` lies."""
    first = month.replace(day=1)
    return Span(midnight(first, zone), midnight(next_month(first), zone))


def next_month(month: date) -> date:
    """The first day of the month after."""
    return (month.replace(day=1) + timedelta(days=32)).replace(day=1)


def by_day(span: Span, zone: tzinfo) -> dict[date, timedelta]:
    """A span shared out over its local days, first to last; the parts make its length."""
    parts: dict[date, timedelta] = {}
    day = span.start.astimezone(zone).date()
    while midnight(day, zone) < span.end:
        parts[day] = span.inside(day_span(day, zone))
        day += timedelta(days=1)
    return parts


def at_local(typed: datetime, zone: tzinfo, *, second: bool | None = None) -> datetime:
    """The moment, in UTC, that a time typed without its zone means.

    Raises NoSuchTime for one that the change of the clocks left out, and TwiceTime for one that
    was twice unless `second` says which of the two it was.
    """
    first = typed.replace(tzinfo=zone, fold=0)
    other = typed.replace(tzinfo=zone, fold=1)
    moment = first.astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None, fold=0) != typed.replace(fold=0):
        raise NoSuchTime(f"{typed:%H:%M} was not on {typed:%Y-%m-%d}: the clocks went forward.")
    if first.utcoffset() == other.utcoffset():
        return moment
    if second is None:
        raise TwiceTime(f"{typed:%H:%M} was twice on {typed:%Y-%m-%d}: the clocks went back.")
    return other.astimezone(UTC) if second else moment


def shift_span(day: date, shift: Shift, zone: tzinfo) -> Span:
    """The shift that begins on `day`, in UTC; a time that never was is taken as if it had been."""
    last = day if shift.starts < shift.ends else day + timedelta(days=1)
    start = datetime.combine(day, shift.starts, zone).astimezone(UTC)
    return Span(start, max(start, datetime.combine(last, shift.ends, zone).astimezone(UTC)))


def shift_end(begun: datetime, week: Mapping[int, Shift], zone: tzinfo) -> datetime:
    """When a clock begun then has to be off, in UTC, without any grace.

    The end of the shift in which it was begun, or of the one that begins within four hours; after
    that and on free days eight hours on, but not into the next shift. `week`: 0 is Monday.
    """
    begun = begun.astimezone(UTC)
    today = begun.astimezone(zone).date()
    spans = [
        shift_span(day, week[day.weekday()], zone)
        for day in (today + timedelta(days=days) for days in (-1, 0, 1))
        if day.weekday() in week
    ]
    for span in spans:
        if span.start - EARLY <= begun < span.end:
            return span.end
    latest = begun + LONGEST_OUTSIDE
    return min((latest, *(span.start for span in spans if span.start > begun)))


def shifts_of(
    days: Iterable[date], week: Mapping[int, Shift], away: Collection[tuple[date, date]]
) -> Iterator[tuple[date, Shift]]:
    """The shifts that begin on these days, without those of an absence (first, last day)."""
    for day in days:
        shift = week.get(day.weekday())
        if shift and not any(first <= day <= last for first, last in away):
            yield day, shift


def available(
    month: date,
    week: Mapping[int, Shift],
    away: Collection[tuple[date, date]],
    zone: tzinfo,
    *,
    until: datetime,
) -> timedelta:
    """How long a person is there in a local month, up to `until`: shifts less breaks.

    A shift over midnight counts in each month what lies in it. Its break is taken off once the
    shift is over, in the month in which the shift began as far as it goes.
    """
    whole = month_span(month, zone)
    first = month.replace(day=1)
    days = (first + timedelta(days=days) for days in range(-1, (next_month(first) - first).days))
    there = NOTHING
    for day, shift in shifts_of(days, week, away):
        span = shift_span(day, shift, zone)
        if span.start >= until:
            continue
        parts = _parts(Span(span.start, min(span.end, until)), zone)
        pause = shift.pause if span.end <= until else NOTHING
        for start, length in parts:
            off = min(pause, length)
            pause -= off
            if whole.start <= start < whole.end:
                there += length - off
    return there


def _parts(span: Span, zone: tzinfo) -> list[tuple[datetime, timedelta]]:
    """The span cut where a month begins: (start, length)."""
    cut = month_span(span.start.astimezone(zone).date(), zone).end
    if span.end <= cut:
        return [(span.start, span.length)]
    return [(span.start, elapsed(span.start, cut)), (cut, elapsed(cut, span.end))]
