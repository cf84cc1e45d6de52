"""Who is there when: the week of each person, and the days on which they are not."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from uuid import UUID

from django.db import transaction

from jobs.clocked import Shift
from jobs.models import Absence, WorkingHours
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Membership, User
from shop.roles import Permit, Role
from shop.services import acts, log
from shop.services.rights import must

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
LONGEST_ABSENCE = timedelta(days=400)


@transaction.atomic
def set_week(actor: Actor, *, act: UUID, user: User, week: Mapping[int, Shift]) -> None:
    """The person's shifts by weekday (0 is Monday); a day without one is free.

    Raises Refusal for somebody who is no technician here and for a break as long as the shift.
    """
    acts.claim(actor, act, "set working hours", about=user)
    must(actor, Permit.CORRECT_CLOCK)
    _must_work_here(actor, user)
    for weekday, shift in week.items():
        if shift.pause >= _length(shift):
            raise Refusal(
                f"On {DAYS[weekday]} the break is as long as the shift. Type fewer minutes.",
                field=f"pause_{weekday}",
            )
    User.objects.select_for_update().get(pk=user.pk)
    WorkingHours.objects.of(actor).filter(user=user).delete()
    WorkingHours.objects.bulk_create(
        WorkingHours(
            workshop=actor.workshop,
            user=user,
            weekday=weekday,
            starts=shift.starts,
            ends=shift.ends,
            break_minutes=shift.pause // timedelta(minutes=1),
        )
        for weekday, shift in sorted(week.items())
    )
    _log(actor, user, f"set the working hours of {user}: {words(week)}")


@transaction.atomic
def add_absence(
    actor: Actor, *, act: UUID, user: User, first_on: date, last_on: date, because: str = ""
) -> Absence:
    """Days on which somebody is not there, both included.

    Raises Refusal when they end before they begin or are away on one of them already.
    """
    acts.claim(actor, act, "add absence", about=user)
    must(actor, Permit.CORRECT_CLOCK)
    _must_work_here(actor, user)
    if last_on < first_on:
        raise Refusal("The last day is before the first.", field="last_on")
    if last_on - first_on > LONGEST_ABSENCE:
        raise Refusal("That is more than a year. Check the years.", field="last_on")
    User.objects.select_for_update().get(pk=user.pk)
    there = Absence.objects.of(actor).filter(
        user=user, first_on__lte=last_on, last_on__gte=first_on
    )
    known = there.first()
    if known is not None:
        raise Refusal(
            f"{user} is away from {_day(known.first_on)} to {_day(known.last_on)} already. "
            "Take that absence off first, or choose other days.",
            field="first_on",
        )
    row: Absence = Absence.objects.create(
        workshop=actor.workshop,
        user=user,
        first_on=first_on,
        last_on=last_on,
        because=because.strip(),
    )
    _log(actor, user, f"noted that {user} is away from {_day(first_on)} to {_day(last_on)}")
    return row


@transaction.atomic
def remove_absence(actor: Actor, *, act: UUID, absence: Absence) -> None:
    """They were there after all; the log keeps that it was noted."""
    acts.claim(actor, act, "remove absence", about=absence)
    must(actor, Permit.CORRECT_CLOCK)
    Absence.objects.filter(pk=absence.pk).delete()
    says = f"{_day(absence.first_on)} to {_day(absence.last_on)}"
    _log(actor, absence.user, f"took off the absence of {absence.user} from {says}")


def words(week: Mapping[int, Shift]) -> str:
    """The week in a line: "Monday 08:00-17:00, Tuesday 08:00-12:00"."""
    days = (
        f"{DAYS[weekday]} {shift.starts:%H:%M}-{shift.ends:%H:%M}"
        for weekday, shift in sorted(week.items())
    )
    return ", ".join(days) or "none"


def _length(shift: Shift) -> timedelta:
    """By the wall; the change of the clocks makes one night of the year differ."""
    starts = timedelta(hours=shift.starts.hour, minutes=shift.starts.minute)
    ends = timedelta(hours=shift.ends.hour, minutes=shift.ends.minute)
    return ends - starts if ends > starts else ends - starts + timedelta(days=1)


def _must_work_here(actor: Actor, user: User) -> None:
    here = Membership.objects.of(actor).filter(user=user, role=Role.TECHNICIAN)
    if not here.exists():
        raise Refusal(f"{user} is not a technician of this workshop.")


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _log(actor: Actor, user: User, says: str) -> None:
    log.write(actor, kind="hours", subject_kind="person", subject_id=user.pk, words=says)
