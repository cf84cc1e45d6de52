"""The hours of a month: sold, worked and available, person by person. No ranking of people."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, QuerySet

from jobs.clocked import NOTHING, Span, available, month_span
from jobs.labour_ratios import TENTH, Ratios, ratios
from jobs.models import Absence, ClockEntry, Payer
from jobs.queries.clock import Running, open_entries, running, weeks_of, zone
from jobs.queries.labour_sold import SoldPart, sold_in
from shop import clock
from shop.actor import Actor
from shop.models import User
from shop.queries.people import technicians_of


@dataclass(frozen=True, slots=True)
class PersonHours:
    """`user` None: labour that nobody can be named for. Sold and own are tenths of an hour.

    `own` was sold to nobody, since the workshop pays for it; `own_worked` is the part of the
    worked time that went there.
    """

    user: User | None
    sold: int
    own: int
    own_worked: timedelta
    ratios: Ratios


@dataclass(frozen=True, slots=True)
class Month:
    first: date
    people: tuple[PersonHours, ...]
    total: PersonHours
    without_hours: tuple[User, ...]


def span_of(month: date) -> Span:
    return month_span(month, zone())


def month_of(actor: Actor, month: date, *, only: User | None = None) -> Month:
    """Everybody by name, or one person. The number of queries does not grow with the people."""
    span = span_of(month)
    sold = [
        part for part in sold_in(actor.workshop, span) if only is None or part.user_id == only.pk
    ]
    worked, own_worked = _worked(actor, span, only)
    people = _people(actor, only, {part.user_id for part in sold} | set(worked))
    there = _available(actor, month, people)
    rows = [
        _row(user, sold, worked.get(user.pk, NOTHING), own_worked.get(user.pk, NOTHING), there)
        for user in people
    ]
    if any(part.user_id is None for part in sold):
        rows.append(_row(None, sold, NOTHING, NOTHING, there))
    without = tuple(user for user in people if not there[user.pk])
    return Month(month.replace(day=1), tuple(rows), _total(rows), without)


def entries_of(actor: Actor, user: User, span: Span) -> QuerySet[ClockEntry]:
    """The entries that count in that month, newest first."""
    rows: QuerySet[ClockEntry] = (
        ClockEntry.objects.of(actor)
        .filter(_inside(span), user=user)
        .select_related("complaint__order", "user", "workshop")
        .prefetch_related("corrections__by")
        .order_by("-counted_from", "-pk")
    )
    return rows


@dataclass(frozen=True, slots=True)
class EntryRow:
    """An entry with what of it counts in the month; `run` when its clock still runs."""

    entry: ClockEntry
    counts: timedelta
    run: Running | None = None


def rows_of(actor: Actor, entries: Sequence[ClockEntry], span: Span) -> tuple[EntryRow, ...]:
    runs = {one.entry.pk: one for one in running(_open(entries), actor.workshop)}
    return tuple(EntryRow(row, _counts(row, span, runs), runs.get(row.pk)) for row in entries)


def to_look_at(actor: Actor, *, only: User | None = None) -> QuerySet[ClockEntry]:
    """Entries that were caught and that nobody has looked at yet, oldest first."""
    rows: QuerySet[ClockEntry] = (
        ClockEntry.objects.of(actor)
        .filter(ended=ClockEntry.Ended.SHIFT, corrections__isnull=True)
        .select_related("user", "complaint__order")
        .order_by("started_at", "pk")
    )
    return rows.filter(user=only) if only else rows


def forgotten(actor: Actor) -> tuple[Running, ...]:
    """Clocks that run past their shift and were not caught yet."""
    rows = running(open_entries().filter(workshop=actor.workshop), actor.workshop)
    return tuple(one for one in rows if one.forgotten)


def absences_of(actor: Actor, user: User) -> QuerySet[Absence]:
    rows: QuerySet[Absence] = Absence.objects.of(actor).filter(user=user)
    return rows.order_by("-first_on", "pk")


def _inside(span: Span) -> Q:
    return Q(counted_from__lt=span.end) & (
        Q(counted_to__gt=span.start) | Q(counted_to__isnull=True)
    )


def _open(entries: Iterable[ClockEntry]) -> list[ClockEntry]:
    return [row for row in entries if row.ended_at is None]


def _counts(row: ClockEntry, span: Span, runs: dict[int, Running]) -> timedelta:
    end = row.counted_to or row.counted_from + (runs[row.pk].counts if row.pk in runs else NOTHING)
    return Span(row.counted_from, end).inside(span)


def _worked(
    actor: Actor, span: Span, only: User | None
) -> tuple[dict[int, timedelta], dict[int, timedelta]]:
    """By person: all that was clocked in the month, and what the workshop pays of it itself."""
    rows = ClockEntry.objects.of(actor).filter(_inside(span)).select_related("complaint")
    entries = list(rows.filter(user=only) if only else rows)
    runs = {one.entry.pk: one for one in running(_open(entries), actor.workshop)}
    worked: dict[int, timedelta] = defaultdict(timedelta)
    own: dict[int, timedelta] = defaultdict(timedelta)
    for row in entries:
        counts = _counts(row, span, runs)
        worked[row.user_id] += counts
        if row.complaint.payer == Payer.WORKSHOP:
            own[row.user_id] += counts
    return worked, own


def _people(actor: Actor, only: User | None, seen: Iterable[int | None]) -> list[User]:
    """The technicians of today, and whoever else has hours in the month; by name."""
    if only:
        return [only]
    keys = [key for key in seen if key is not None]
    rows = User.objects.filter(Q(pk__in=technicians_of(actor)) | Q(pk__in=keys))
    return list(rows.order_by("display_name", "pk"))


def _available(actor: Actor, month: date, people: Sequence[User]) -> dict[int, timedelta]:
    keys = [user.pk for user in people]
    weeks = weeks_of(actor.workshop, keys)
    away: dict[int, list[tuple[date, date]]] = defaultdict(list)
    for row in Absence.objects.of(actor).filter(user__in=keys):
        away[row.user_id].append((row.first_on, row.last_on))
    now, here = clock.now(), zone()
    return {key: available(month, weeks.get(key, {}), away[key], here, until=now) for key in keys}


def _row(
    user: User | None,
    sold: Iterable[SoldPart],
    worked: timedelta,
    own_worked: timedelta,
    there: dict[int, timedelta],
) -> PersonHours:
    key = user.pk if user else None
    mine = [part for part in sold if part.user_id == key]
    tenths = sum(part.tenths for part in mine if not part.own_account)
    own = sum(part.tenths for part in mine if part.own_account)
    found = ratios(
        sold=tenths * TENTH, worked=worked, available=there.get(key, NOTHING) if key else NOTHING
    )
    return PersonHours(user, tenths, own, own_worked, found)


def _total(rows: Iterable[PersonHours]) -> PersonHours:
    people = tuple(rows)
    found = ratios(
        sold=sum((row.ratios.sold for row in people), NOTHING),
        worked=sum((row.ratios.worked for row in people), NOTHING),
        available=sum((row.ratios.available for row in people), NOTHING),
    )
    return PersonHours(
        None,
        sum(row.sold for row in people),
        sum(row.own for row in people),
        sum((row.own_worked for row in people), NOTHING),
        found,
    )
