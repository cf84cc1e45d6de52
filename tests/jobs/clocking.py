"""Clocks in tests: local moments of the workshop, a week, and pressing a button then."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

from jobs.clocked import Shift
from jobs.models import Absence, ClockEntry, Complaint
from jobs.services import clock as clocking
from jobs.services import working_hours
from shop import clock
from shop.actor import Actor

LONDON = ZoneInfo("Europe/London")
WEEK = dict.fromkeys(range(5), Shift(time(8), time(17), timedelta(hours=1)))
NIGHTS = dict.fromkeys(range(7), Shift(time(22), time(6), timedelta(minutes=30)))


def at(day: int, hour: int, minute: int = 0, *, month: int = 11, fold: int = 0) -> datetime:
    """A local moment of 2026; 25 November is a Wednesday."""
    return datetime(2026, month, day, hour, minute, tzinfo=LONDON, fold=fold)


def on(
    actor: Actor, complaint: Complaint, moment: datetime, pressed: datetime | None = None
) -> ClockEntry:
    with clock.at(moment):
        return clocking.on(actor, act=uuid4(), complaint=complaint, pressed=pressed)


def off(
    actor: Actor, complaint: Complaint, moment: datetime, pressed: datetime | None = None
) -> ClockEntry:
    with clock.at(moment):
        return clocking.off(actor, act=uuid4(), complaint=complaint, pressed=pressed)


def set_week(manager: Actor, technician: Actor, week: dict[int, Shift]) -> None:
    working_hours.set_week(manager, act=uuid4(), user=technician.user, week=week)


def an_absence(manager: Actor, technician: Actor) -> Absence:
    """Next week, from Monday to Wednesday."""
    monday = clock.today() + timedelta(days=7 - clock.today().weekday())
    return working_hours.add_absence(
        manager,
        act=uuid4(),
        user=technician.user,
        first_on=monday,
        last_on=monday + timedelta(days=2),
        because="training",
    )
