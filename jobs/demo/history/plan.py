"""Which job of the history is done when and by whom: drawn contacts become days in a workshop.

Jobs keep the weekday and the hours of their pattern, so that working days stay working days; a
vehicle that fails comes in within a week. Nobody works on two things at once: where a technician's
clock would run twice, the job is another's, or a week later.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from random import Random

from django.utils.timezone import localtime

from jobs.demo.history.draw import Contact, Drawn, Work, weighted
from jobs.demo.history.laws import Truth
from jobs.demo.history.patterns import Pattern

_WEEK = timedelta(weeks=1)
_APART = 1  # days between a release and the next taking in
_WEEKS_TRIED = 3


@dataclass(slots=True)
class Done:
    """A job of the history. `of`: the drawn vehicle; `returned`: the cause class of a return."""

    of: int
    contact: Contact
    pattern: Pattern
    shift: timedelta
    technician: int
    returned: str = ""
    back_of: Done | None = None

    @property
    def starts(self) -> datetime:
        return self.pattern.order.taken_in_at + self.shift

    @property
    def ends(self) -> datetime:
        closed = self.pattern.order.closed_at
        assert closed is not None  # only released jobs are patterns
        return closed + self.shift


@dataclass(slots=True)
class Hands:
    """The technicians of a workshop by their key, with their manner and when they are busy."""

    manners: Mapping[int, str]
    busy: dict[tuple[int, date], list[tuple[datetime, datetime]]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def free(self, who: int, spans: Sequence[tuple[datetime, datetime]]) -> bool:
        return not any(
            begin < end_of and begin_of < end
            for begin, end in spans
            for begin_of, end_of in self.busy.get((who, begin.date()), ())
        )

    def book(self, who: int, spans: Sequence[tuple[datetime, datetime]]) -> None:
        for span in spans:
            self.busy[who, span[0].date()].append(span)


class Planner:
    """Plans the jobs of one workshop, vehicle by vehicle."""

    def __init__(
        self,
        truth: Truth,
        patterns: Mapping[Work, Pattern],
        hands: Hands,
        now: datetime,
        rng: Random,
    ) -> None:
        self.truth, self.patterns, self.hands = truth, patterns, hands
        self.now, self.rng = now, rng
        self.today = localtime(now).date()

    def plan(self, vehicles: Sequence[Drawn]) -> list[Done]:
        """All jobs in the order in which they begin."""
        done: list[Done] = []
        for number, drawn in enumerate(vehicles):
            done += self._vehicle(number, drawn)
        return sorted(done, key=lambda one: (one.starts, one.of))

    def _vehicle(self, number: int, drawn: Drawn) -> list[Done]:
        jobs: list[Done] = []
        free_from = date.min
        waiting = sorted(drawn.contacts, key=lambda contact: contact.day)
        while waiting:
            contact = waiting.pop(0)
            if contact.work is None:
                continue
            job = self._job(number, contact, free_from)
            if job is None:
                drawn.contacts.remove(contact)
                continue
            free_from = localtime(job.ends).date() + timedelta(days=_APART)
            jobs.append(job)
            again = self._return(drawn, job, free_from)
            if again is not None:
                jobs.append(again)
                drawn.contacts.append(again.contact)
                free_from = localtime(again.ends).date() + timedelta(days=_APART)
        return jobs

    def _job(self, number: int, contact: Contact, free_from: date) -> Done | None:
        """On the first fitting day from the contact on; None where it would not be over by now."""
        assert contact.work is not None
        pattern = self.patterns[contact.work]
        day = max(self.today + timedelta(days=contact.day), free_from)
        begun = localtime(pattern.order.taken_in_at).date()
        weeks = -(-(day - begun).days // 7)
        for later in range(_WEEKS_TRIED):
            shift = self._shift(pattern, weeks + later)
            job = Done(number, contact, pattern, shift, 0)
            if localtime(job.ends) > self.now - timedelta(days=1):
                return None
            who = self._who(job, sure=later == _WEEKS_TRIED - 1)
            if who is not None:
                job.technician = who
                contact.day = (localtime(job.starts).date() - self.today).days
                return job
        return None

    def _shift(self, pattern: Pattern, weeks: int) -> timedelta:
        """So many weeks by the clock on the wall, summer time or not."""
        begun = localtime(pattern.order.taken_in_at)
        moved = begun + weeks * _WEEK  # the same hour on the wall
        return (
            weeks * _WEEK
            + (begun.utcoffset() or timedelta())
            - (localtime(moved).utcoffset() or timedelta())
        )

    def _who(self, job: Done, *, sure: bool) -> int | None:
        """Who is free then, the newest hand for few jobs only; with `sure` somebody, if busy."""
        spans = [(begin + job.shift, end + job.shift) for begin, end in job.pattern.clocked]
        day = (localtime(job.starts).date() - self.today).days
        for who in self._in_turn(day):
            if self.hands.free(who, spans):
                self.hands.book(who, spans)
                return who
        return self._in_turn(day)[0] if sure else None

    def _in_turn(self, day: int) -> list[int]:
        newest = self.truth.newest_hand
        there = [
            who
            for who, manner in self.hands.manners.items()
            if manner != newest.manner
            or (day >= -newest.since and self.rng.random() < newest.share)
        ]
        self.rng.shuffle(there)
        return there

    def _return(self, drawn: Drawn, job: Done, free_from: date) -> Done | None:
        """The same vehicle with the same system again, where the repair did not hold."""
        returns = self.truth.returns
        manner = self.hands.manners[job.technician]
        if self.rng.random() >= returns.chance.get(manner, 0.0):  # type: ignore[call-overload]
            return None
        work = Work(drawn.platform, returns.fault, "")
        if work not in self.patterns or job.contact.work == work:
            return None
        gone = localtime(job.ends).date()
        day = (gone - self.today).days + self.rng.randrange(2, returns.within)
        back = self._job(job.of, Contact(day, work), free_from)
        if back is not None:
            back.returned = weighted(self.rng, returns.causes)
            back.back_of = job
        return back
