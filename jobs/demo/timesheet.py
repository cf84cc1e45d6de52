"""Whose clock ran when: a person of the demo is at one job at a time, whatever was told first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from uuid import uuid4

from jobs.demo import hours
from jobs.demo.job import Job
from jobs.models import Complaint
from jobs.services import clock as clocks
from shop import clock
from shop.actor import Actor

Stretch = tuple[datetime, datetime]
SHORTEST = timedelta(minutes=5)


class Timesheet:
    """The stretches that each person was clocked on so far."""

    def __init__(self) -> None:
        self.taken: dict[int, list[Stretch]] = defaultdict(list)

    @contextmanager
    def working(self, job: Job) -> Iterator[None]:
        """What is done within is clocked on the job's first complaint, as far as time is free."""
        began = job.watch.now
        yield
        self.clock(job.hands, job.tasks[0].complaint, began, job.watch.now)

    def clock(self, actor: Actor, complaint: Complaint, begins: datetime, ends: datetime) -> None:
        taken = self.taken[actor.user.pk]
        for start, end in free(days_of(begins, ends), taken):
            with clock.at(start):
                clocks.on(actor, act=uuid4(), complaint=complaint)
            with clock.at(end):
                clocks.off(actor, act=uuid4(), complaint=complaint, pressed=end)
            taken.append((start, end))

    def keep_free(self, actor: Actor, begins: datetime, ends: datetime) -> None:
        """This stretch is told later, so nothing else is clocked in it."""
        self.taken[actor.user.pk].append((begins, ends))

    def leave_running(self, actor: Actor, complaint: Complaint, begins: datetime) -> None:
        last = max((end for _, end in self.taken[actor.user.pk]), default=begins)
        with clock.at(max(begins, last)):
            clocks.on(actor, act=uuid4(), complaint=complaint)


def days_of(begins: datetime, ends: datetime) -> list[Stretch]:
    """The working time between two moments, day by day."""
    pieces = []
    start = hours.next_open(begins)
    while start < ends:
        evening = start.replace(
            hour=hours.CLOSES.hour, minute=hours.CLOSES.minute, second=0, microsecond=0
        )
        pieces.append((start, min(evening, ends)))
        start = hours.next_open(evening)
    return pieces


def free(wanted: list[Stretch], taken: list[Stretch]) -> list[Stretch]:
    """What of `wanted` nothing in `taken` covers, without scraps."""
    left = wanted
    for start, end in taken:
        cut = []
        for begins, ends in left:
            if end <= begins or start >= ends:
                cut.append((begins, ends))
            else:
                cut += [(begins, start), (end, ends)]
        left = cut
    return [(begins, ends) for begins, ends in left if ends - begins >= SHORTEST]
