"""Clocking on and off: one person on one thing at a time, in whatever workshop.

Lock order: repair order, person, entry. What a tablet sends late counts from when it was
pressed, if that can be true: not more than twelve hours ago, not in the future, and not into
time that counts already.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils.timezone import localtime

from jobs.models import ClockEntry, Complaint, RepairOrder
from jobs.services import clock_end
from jobs.stages import CLOSED, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import User
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

Ended = ClockEntry.Ended
OLDEST_SENDING = timedelta(hours=12)
CLOCKS_DIFFER = timedelta(minutes=2)


@transaction.atomic
def on(
    actor: Actor, *, act: UUID, complaint: Complaint, pressed: datetime | None = None
) -> ClockEntry:
    """Begin to work on a complaint; whatever else this person's clock ran on ends.

    `pressed` is when a tablet without network was pressed. Raises Refusal on a closed job and
    for a late sending into time that is clocked already. Sent from two tablets it is one clock.
    """
    acts.claim(actor, act, "clock on", about=complaint)
    must(actor, Permit.CLOCK)
    order = RepairOrder.objects.select_for_update().get(pk=complaint.order_id)
    if Stage(order.stage) in CLOSED:
        raise Refusal(
            f"{order.number} is {Stage(order.stage).words}; nobody clocks on to it any more. "
            "Time that is missing is entered by the service manager, under Hours."
        )
    lock_person(actor.user)
    if pressed is None:
        clock_end.catch_due(actor.user)
    moment, says = _moment(pressed)
    before = _latest(actor.user, moment)
    if before and before.ended_at is None and before.complaint_id == complaint.pk:
        return before
    gives_way = before is not None and _gives_way(before, moment)
    start, end = _room(actor.user, None if gives_way else before, moment)
    if before and gives_way:
        clock_end.end(before, start, Ended.OTHER_WORK, again=True)
    entry: ClockEntry = ClockEntry.objects.create(
        workshop=order.workshop,
        complaint=complaint,
        user=actor.user,
        started_at=start,
        counted_from=start,
        ended_at=end,
        counted_to=end,
        ended=Ended.OTHER_WORK if end else "",
    )
    _log(actor, entry, f"clocked on to complaint {complaint.line}{says}")
    # A late sending may lie before the end of a shift that is over.
    if end and end > clock_end.caught_at(entry):
        clock_end.catch(entry, again=True)
    if pressed is not None:
        clock_end.catch_due(actor.user)
        entry.refresh_from_db()
    return entry


@transaction.atomic
def off(
    actor: Actor, *, act: UUID, complaint: Complaint, pressed: datetime | None = None
) -> ClockEntry:
    """Stop. One who forgot and presses long after the shift is clocked off at its end.

    The entry returned says how it ended. Raises Refusal when this person's clock does not run
    on the complaint.
    """
    acts.claim(actor, act, "clock off", about=complaint)
    must(actor, Permit.CLOCK)
    lock_person(actor.user)
    moment, says = _moment(pressed)
    entry = _to_end(actor.user, complaint, moment)
    if entry is None:
        raise Refusal(f"Your clock does not run on complaint {complaint.line}.")
    if entry.ended_at is not None:
        _check_may_change(entry, moment if pressed else None)
    if moment > clock_end.caught_at(entry):
        clock_end.catch(entry)
        return entry
    clock_end.end(entry, _until(entry, moment), Ended.PERSON, again=True)
    _log(actor, entry, f"clocked off complaint {complaint.line}{says}")
    return entry


def lock_person(user: User) -> None:
    """One act at a time on one person's clock, whichever tablet it comes from."""
    User.objects.select_for_update().get(pk=user.pk)


def _moment(pressed: datetime | None) -> tuple[datetime, str]:
    """When it counts from, and what the log says of it."""
    now = clock.now()
    if pressed is None:
        return now, ""
    if pressed > now + CLOCKS_DIFFER:
        return now, "; the tablet's clock is ahead, so it counts from when it was sent"
    if pressed < now - OLDEST_SENDING:
        return now, "; pressed more than twelve hours before it was sent, so it counts from then"
    moment = min(pressed, now)
    at, sent = localtime(moment), localtime(now)
    return moment, f" at {at:%H:%M}, sent at {sent:%H:%M}"


def _gives_way(entry: ClockEntry, moment: datetime) -> bool:
    """It runs, or was only caught later than that: what was begun meanwhile is what ended it."""
    if entry.counted_to is None:
        return True
    return entry.counted_to > moment and _only_caught(entry)


def _only_caught(entry: ClockEntry) -> bool:
    return entry.ended == Ended.SHIFT and not entry.corrections.exists()


def _check_may_change(entry: ClockEntry, pressed: datetime | None) -> None:
    """A sending that waited on its tablet changes an end that this person did not press."""
    if entry.ended_at is None:
        return
    if pressed and _only_caught(entry):
        return
    if pressed and entry.ended == Ended.OTHER_WORK and pressed <= entry.ended_at:
        return
    since = localtime(entry.ended_at)
    if entry.ended == Ended.SHIFT:
        raise Refusal(
            f"Your clock was ended at {since:%H:%M}, the end of the shift. If you worked on, "
            "tell the service manager."
        )
    raise Refusal(f"Your clock on complaint {entry.complaint.line} is off since {since:%H:%M}.")


def _latest(user: User, moment: datetime) -> ClockEntry | None:
    rows = ClockEntry.objects.filter(user=user, counted_from__lte=moment)
    return rows.order_by("-counted_from", "-pk").first()


def _room(
    user: User, before: ClockEntry | None, moment: datetime
) -> tuple[datetime, datetime | None]:
    """From when to when a clock begun at that moment runs among what is clocked already."""
    start = moment
    if before and before.counted_to and before.counted_to > moment:
        start = before.counted_to
    after = ClockEntry.objects.filter(user=user, counted_from__gt=moment).order_by("counted_from")
    following = after.first()
    if following is None:
        return start, None
    if following.counted_from <= start:
        at = localtime(moment)
        raise Refusal(
            f"Your time at {at:%H:%M} is clocked already. If it went to this complaint, tell the "
            "service manager."
        )
    return start, following.counted_from


def _to_end(user: User, complaint: Complaint, moment: datetime) -> ClockEntry | None:
    """The entry that this off is about: the one begun last before it, else the one that runs."""
    rows = ClockEntry.objects.filter(user=user, complaint=complaint).select_related("workshop")
    entry: ClockEntry | None = rows.filter(started_at__lte=moment).order_by("-started_at").first()
    return entry or rows.filter(ended_at__isnull=True).first()


def _until(entry: ClockEntry, moment: datetime) -> datetime:
    """Not before it began, and not into what was clocked after it."""
    after = ClockEntry.objects.filter(user=entry.user_id, counted_from__gt=entry.counted_from)
    following = after.order_by("counted_from").first()
    latest = min(moment, following.counted_from) if following else moment
    return max(latest, entry.started_at)


def _log(actor: Actor, entry: ClockEntry, words: str) -> None:
    order = entry.complaint.order_id
    log.write(actor, kind="clock", subject_kind="order", subject_id=order, words=words)
