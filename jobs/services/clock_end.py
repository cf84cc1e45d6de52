"""Ends that the person did not make: at the end of the shift, and when a job is closed."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils.timezone import localtime

from jobs.models import ClockEntry, RepairOrder
from jobs.queries.clock import open_entries, running
from shop import clock
from shop.actor import Actor
from shop.models import Membership, User
from shop.roles import Role
from shop.services import log

Ended = ClockEntry.Ended


def end(entry: ClockEntry, at: datetime, how: str, *, again: bool = False) -> bool:
    """End a running entry at that moment; with `again` also one that was caught. True when done."""
    rows = ClockEntry.objects.filter(pk=entry.pk)
    if not again:
        rows = rows.filter(ended_at__isnull=True)
    at = max(at, entry.started_at)
    done = rows.update(ended_at=at, counted_to=at, ended=how)
    entry.refresh_from_db()
    return bool(done)


def caught_at(entry: ClockEntry) -> datetime:
    """After this moment the clock counts as forgotten: the end of the shift and the grace."""
    return running([entry], entry.workshop)[0].caught_at


def catch(entry: ClockEntry, *, at: datetime | None = None, again: bool = False) -> bool:
    """End a forgotten clock where the shift ended. True when it ran until now."""
    off_at = at or running([entry], entry.workshop)[0].off_at
    if not end(entry, off_at, Ended.SHIFT, again=again):
        return False
    here = localtime(off_at)
    log.write(
        Actor(entry.user, entry.workshop, frozenset()),
        kind="clock",
        subject_kind="order",
        subject_id=entry.complaint.order_id,
        words=f"did not clock off complaint {entry.complaint.line}; the clock was ended "
        f"at {here:%H:%M}, to be looked at by the service manager",
    )
    return True


def catch_due(user: User) -> int:
    """What this person forgot, in whatever workshop. Call it with the person locked."""
    caught = 0
    for entry in open_entries().filter(user=user):
        if clock.now() > caught_at(entry):
            caught += catch(entry)
        elif not _works_here(entry):
            caught += catch(entry, at=min(clock.now(), running([entry], entry.workshop)[0].off_at))
    return caught


def evening() -> int:
    """Every clock that was forgotten, and those of people who no longer work there.

    Safe to run as often as one likes; each person is a transaction of its own.
    """
    caught = 0
    people = open_entries().order_by("user").values_list("user", flat=True)
    for key in tuple(people):
        with transaction.atomic():
            person = User.objects.select_for_update().get(pk=key)
            caught += catch_due(person)
    return caught


@transaction.atomic
def end_on_closed(actor: Actor, order: RepairOrder) -> None:
    """A job that is closed is not worked on: whoever's clock runs on it is clocked off now.

    Part of the act that closes it; a forgotten clock ends where the shift did.
    """
    rows = open_entries().filter(complaint__order=order).order_by("user")
    for entry in rows:
        person = User.objects.select_for_update().get(pk=entry.user_id)
        catch_due(person)
        if end(entry, clock.now(), Ended.MANAGER):
            log.write(
                actor,
                kind="clock",
                subject_kind="order",
                subject_id=order.pk,
                words=f"ended the clock of {person} on complaint {entry.complaint.line} "
                "with the job",
            )


def _works_here(entry: ClockEntry) -> bool:
    if not entry.user.is_active:
        return False
    roles = Membership.objects.filter(
        workshop=entry.workshop_id, user=entry.user_id, role=Role.TECHNICIAN
    )
    return roles.exists()
