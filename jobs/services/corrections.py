"""The service manager puts the clock right. What the clock said is kept beside what counts."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import F
from django.utils.timezone import localtime

from jobs.clocked import elapsed
from jobs.models import ClockCorrection, ClockEntry, Complaint
from jobs.services.clock import lock_person
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Membership, User
from shop.roles import Permit, Role
from shop.services import acts, log
from shop.services.rights import must

LONGEST = timedelta(hours=16)


@transaction.atomic
def correct(
    actor: Actor,
    *,
    act: UUID,
    entry: ClockEntry,
    seen: int,
    counted_from: datetime,
    counted_to: datetime,
    because: str,
) -> ClockEntry:
    """Set what counts of an entry, and why; a clock that runs is ended by it.

    `seen` is how many corrections the entry had when its page was opened. Raises Clash when
    another was made meanwhile, and Refusal for times that cannot be.
    """
    acts.claim(actor, act, "correct clock", about=entry)
    must(actor, Permit.CORRECT_CLOCK)
    lock_person(entry.user)
    entry.refresh_from_db()
    if entry.corrections.count() != seen:
        raise Clash("Somebody corrected this entry meanwhile. The page now shows what counts.")
    _check(actor, entry.user, counted_from, counted_to, because, own=entry.pk)
    changes: dict[str, object] = {"counted_from": counted_from, "counted_to": counted_to}
    if entry.ended_at is None:
        ended = max(counted_to, entry.started_at)
        changes |= {"ended_at": ended, "ended": ClockEntry.Ended.MANAGER}
    ClockEntry.objects.filter(pk=entry.pk).update(**changes)
    entry.refresh_from_db()
    _keep(actor, entry, because, "set the time of")
    return entry


@transaction.atomic
def add(
    actor: Actor,
    *,
    act: UUID,
    user: User,
    complaint: Complaint,
    counted_from: datetime,
    counted_to: datetime,
    because: str,
) -> ClockEntry:
    """Time that nobody clocked: entered by the service manager, with the reason.

    Raises Refusal for times that cannot be, and for somebody who is no technician here.
    """
    acts.claim(actor, act, "add clocked time", about=complaint)
    must(actor, Permit.CORRECT_CLOCK)
    here = Membership.objects.of(actor).filter(user=user, role=Role.TECHNICIAN)
    if not here.exists():
        raise Refusal(f"{user} is not a technician of this workshop.", field="user")
    lock_person(user)
    _check(actor, user, counted_from, counted_to, because, own=None)
    entry: ClockEntry = ClockEntry.objects.create(
        workshop=actor.workshop,
        complaint=complaint,
        user=user,
        started_at=counted_from,
        ended_at=counted_to,
        ended=ClockEntry.Ended.MANAGER,
        counted_from=counted_from,
        counted_to=counted_to,
    )
    _keep(actor, entry, because, "entered time for")
    return entry


def _check(
    actor: Actor, user: User, start: datetime, end: datetime, because: str, *, own: int | None
) -> None:
    if not because.strip():
        raise Refusal("Say why in a few words; it is kept beside both times.", field="because")
    if end <= start:
        raise Refusal("The end has to be after the beginning.", field="counted_to")
    if end > clock.now():
        raise Refusal(
            "The end lies in the future. Type when the work ended, or come back after it.",
            field="counted_to",
        )
    if elapsed(start, end) > LONGEST:
        raise Refusal(
            "That is more than 16 hours at a stretch. Check the days, or enter it in pieces.",
            field="counted_to",
        )
    other = _meets(user, start, end, own)
    if other is not None:
        raise Refusal(_where(actor, other), field="counted_from")


def _meets(user: User, start: datetime, end: datetime, own: int | None) -> ClockEntry | None:
    """Another entry of the person that shares time with this one; a running one lasts for ever."""
    rows = ClockEntry.objects.filter(user=user, counted_from__lt=end).exclude(pk=own)
    rows = rows.exclude(counted_to=F("counted_from"))  # on and off at once takes no time
    meeting = rows.exclude(counted_to__lte=start).select_related("complaint__order", "user")
    return meeting.order_by("counted_from").first()


def _where(actor: Actor, other: ClockEntry) -> str:
    begun = localtime(other.counted_from)
    until = f"{localtime(other.counted_to):%H:%M}" if other.counted_to else "now, still running"
    what = f"{begun.day} {begun:%b} from {begun:%H:%M} to {until}"
    if other.workshop_id != actor.workshop.pk:
        return f"{other.user} was clocked on in another workshop: {what}."
    complaint = other.complaint
    return (
        f"{other.user} was clocked on to {complaint.order.number}, complaint {complaint.line}, "
        f"{what}. Correct that entry first, or choose times beside it."
    )


def _keep(actor: Actor, entry: ClockEntry, because: str, did: str) -> None:
    ended = entry.counted_to or entry.counted_from
    ClockCorrection.objects.create(
        entry=entry,
        counted_from=entry.counted_from,
        counted_to=ended,
        at=clock.now(),
        by=actor.user,
        because=because.strip(),
    )
    start, end = localtime(entry.counted_from), localtime(ended)
    log.write(
        actor,
        kind="clock",
        subject_kind="order",
        subject_id=entry.complaint.order_id,
        words=f"{did} {entry.user} on complaint {entry.complaint.line} "
        f"to {start.day} {start:%b} {start:%H:%M}-{end:%H:%M}",
        reason=because.strip(),
    )
