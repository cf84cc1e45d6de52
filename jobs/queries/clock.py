"""Whose clock runs, on what, since when, and when it has to be off. Nothing here writes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from django.db.models import QuerySet
from django.utils import timezone

from jobs.clocked import NOTHING, Shift, Span, elapsed, shift_end
from jobs.models import ClockEntry, RepairOrder, WorkingHours
from jobs.queries.terms import terms_of
from shop import clock
from shop.models import User, Workshop

Weeks = dict[int, dict[int, Shift]]


def zone() -> tzinfo:
    """Where the workshop's days begin."""
    return timezone.get_default_timezone()


def weeks_of(workshop: Workshop, users: Iterable[int]) -> Weeks:
    """The shifts of each of these people by weekday. One query."""
    weeks: Weeks = defaultdict(dict)
    for row in WorkingHours.objects.filter(workshop=workshop, user__in=users):
        pause = timedelta(minutes=row.break_minutes)
        weeks[row.user_id][row.weekday] = Shift(row.starts, row.ends, pause)
    return weeks


def grace_of(workshop: Workshop) -> timedelta:
    return timedelta(minutes=terms_of(workshop).grace_minutes)


@dataclass(frozen=True, slots=True)
class Running:
    """An entry whose clock runs; it has to be off at `off_at`, and is caught after `caught_at`."""

    entry: ClockEntry
    off_at: datetime
    caught_at: datetime

    @property
    def forgotten(self) -> bool:
        return clock.now() > self.caught_at

    @property
    def counts(self) -> timedelta:
        """Until now, or until it had to be off."""
        until = self.off_at if self.forgotten else clock.now()
        return max(NOTHING, elapsed(self.entry.counted_from, until))


def running(entries: Iterable[ClockEntry], workshop: Workshop) -> tuple[Running, ...]:
    """These open entries with their ends. Two queries."""
    rows = tuple(entries)
    weeks = weeks_of(workshop, {row.user_id for row in rows})
    grace, here = grace_of(workshop), zone()
    made = []
    for row in rows:
        off_at = shift_end(row.started_at, weeks.get(row.user_id, {}), here)
        made.append(Running(row, off_at, off_at + grace))
    return tuple(made)


def open_entries() -> QuerySet[ClockEntry]:
    rows: QuerySet[ClockEntry] = ClockEntry.objects.filter(ended_at__isnull=True)
    return rows.select_related("user", "complaint__order", "workshop").order_by("started_at", "pk")


def running_of(user: User) -> Running | None:
    """What this person's clock runs on, in whatever workshop."""
    entry = open_entries().filter(user=user).first()
    return running([entry], entry.workshop)[0] if entry else None


@dataclass(frozen=True, slots=True)
class Clocked:
    """The clock of one complaint: who is at it now, and what was worked altogether."""

    at_it: tuple[Running, ...] = ()
    worked: timedelta = NOTHING

    @property
    def people(self) -> tuple[int, ...]:
        """Those whose clock runs on it, by key."""
        return tuple(one.entry.user_id for one in self.at_it)


def clocked_on(order: RepairOrder) -> dict[int, Clocked]:
    """By complaint. A constant number of queries; a running clock counts up to now."""
    rows = ClockEntry.objects.filter(complaint__order=order).select_related("user")
    runs = {
        one.entry.pk: one
        for one in running([r for r in rows if r.ended_at is None], order.workshop)
    }
    worked: dict[int, timedelta] = defaultdict(timedelta)
    at_it: dict[int, list[Running]] = defaultdict(list)
    for row in rows:
        if row.pk in runs:
            at_it[row.complaint_id].append(runs[row.pk])
        worked[row.complaint_id] += counted(row, runs.get(row.pk))
    return {key: Clocked(tuple(at_it[key]), worked[key]) for key in worked}


def counted(row: ClockEntry, run: Running | None = None) -> timedelta:
    """How much of an entry counts; of an open one what `run` says."""
    if row.counted_to is None:
        return run.counts if run else NOTHING
    return Span(row.counted_from, row.counted_to).length
