"""One visit of the demo lived through by its people, from the kerb as far as it has come."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from random import Random
from uuid import uuid4

from diagnostics.models import ChassisSystem
from jobs.demo import finding, late_evidence, money, proof, repair
from jobs.demo.afterwards import settle
from jobs.demo.bench import Found, looked_at
from jobs.demo.data import Fault, Line, VisitRow
from jobs.demo.job import Job, Task
from jobs.demo.people import House
from jobs.demo.shelf import Shelf
from jobs.demo.timesheet import Timesheet
from jobs.demo.vehicles import Car
from jobs.demo.watch import Watch
from jobs.models import Complaint, RepairOrder
from jobs.services.taking_in import ComplaintInput, take_in
from jobs.stages import CLOSED, Move, Stage
from shop.roles import Role

_PACE = {"thorough": 1.2, "quick": 0.8, "new": 1.4}


@dataclass(frozen=True, slots=True)
class Plan:
    """When a visit begins, for when it is promised, and how far it goes."""

    row: VisitRow
    starts: datetime
    promised_at: datetime
    until: Stage = Stage.RELEASED


class Storyteller:
    """Lives through the visits of one workshop, in the order in which they begin."""

    def __init__(self, house: House, cars: Mapping[str, Car], faults: Mapping[str, Fault]) -> None:
        self.house = house
        self.cars = cars
        self.faults = faults
        self.systems = {system.key: system for system in ChassisSystem.objects.all()}
        self.shelf = Shelf()
        self.sheet = Timesheet()
        self._told: dict[str, int] = {}

    def live(self, plan: Plan, now: datetime) -> RepairOrder:
        """From taking in to `plan.until`, each act by whoever does it in a workshop.

        What follows a release is told as far as it lies before `now`.
        """
        job = self._take_in(plan)
        for stage in _course(job, self.sheet):
            if stage is plan.until:
                break
        if plan.until is Stage.RELEASED:
            settle(job, now)
        return job.order

    def _take_in(self, plan: Plan) -> Job:
        row, house = plan.row, self.house
        person = house.place.people.get(row.by)
        manner = person.manner if person else ""
        rng = Random(f"{house.place.slug} {row.plate} {row.fault}")  # noqa: S311
        watch = Watch(plan.starts, pace=_PACE.get(manner, 1.0))
        car = self.cars[row.plate]
        lines = [row, *row.also]
        with watch.spend(6):
            order = take_in(
                house.holder(Role.MANAGER),
                act=uuid4(),
                vehicle=car.vehicle,
                odometer=car.shows(watch.now),
                complaints=[self._complaint(line) for line in lines],
                lamps=looked_at(self.faults[row.fault].lamps),
                promised_at=plan.promised_at,
                bay=house.bays[row.bay] if row.bay else None,
                technician=house.crew[row.by].user if row.by else None,
            )
        complaints = Complaint.objects.filter(order=order).order_by("line")
        tasks = [
            Task(complaint, self.faults[line.fault], line.at, {})
            for complaint, line in zip(complaints, lines, strict=True)
        ]
        for task in tasks:
            task.complaint.order = order
        check = order.session.lampchecks.get()
        tasks[0].found["lamps"] = Found(f"lamps:{check.pk}", not check.normal)
        technician = house.crew[row.by] if row.by else None
        return Job(
            house=house,
            row=row,
            car=car,
            order=order,
            technician=technician,
            manner=manner,
            watch=watch,
            rng=rng,
            tasks=tasks,
            faults=self.faults,
            shelf=self.shelf,
            stands_open=plan.until not in CLOSED,
        )

    def _complaint(self, line: Line) -> ComplaintInput:
        fault = self.faults[line.fault]
        return ComplaintInput(
            words=line.words or self._next_words(line.fault),
            system=self.systems[fault.system],
        )

    def _next_words(self, fault: str) -> str:
        """The words of a fault in turn, so that two customers rarely say the same."""
        words = self.faults[fault].words
        told = self._told.get(fault, 0)
        self._told[fault] = told + 1
        return words[told % len(words)]


def _course(job: Job, sheet: Timesheet) -> Iterator[Stage]:
    """The whole course of a job; it stands wherever the reader stops asking for more."""
    yield Stage.RECEIVED
    if job.row.void:
        job.move(job.desk, Move.VOID, reason=job.row.void)
        yield Stage.VOID
        return
    money.before_work(job)
    job.move(job.hands, Move.BEGIN)
    with sheet.working(job):
        finding.find(job, stop_at=job.row.stop_at)
    yield Stage.DIAGNOSING
    yield from _course_from_cause(job, sheet)


def _course_from_cause(job: Job, sheet: Timesheet) -> Iterator[Stage]:
    finding.conclude(job)
    if job.nothing_to_repair:
        job.move(job.hands, Move.NOTHING_TO_REPAIR)
    else:
        yield from _course_of_repair(job, sheet)
        if job.row.declined:
            return
    yield Stage.PROVING
    if job.row.evidence_after:
        late_evidence.refused_for_a_reading(job)
    if job.row.not_cured:
        _somebody_else(job, sheet)
        yield from _course_from_cause(job, sheet)
        return
    with sheet.working(job):
        proof.prove(job)
    yield Stage.READY
    proof.release_vehicle(job)
    yield Stage.RELEASED


def _course_of_repair(job: Job, sheet: Timesheet) -> Iterator[Stage]:
    money.ask(job)
    money.give(job)
    yield Stage.AWAITING_AUTHORITY
    job.watch.wait(job.rng.randrange(10, 140))
    money.answer(job)
    if job.row.declined:
        yield Stage.DECLINED
        proof.leave_unrepaired(job)
        yield Stage.RELEASED
        return
    repair.order_parts(job)
    yield Stage.AWAITING_ASSEMBLY
    repair.receive_parts(job)
    yield Stage.REPAIRING
    with sheet.working(job):
        repair.fit(job)


def _somebody_else(job: Job, sheet: Timesheet) -> None:
    """The repair did not hold: another technician takes the job over and finds the cause."""
    again = job.row.not_cured
    assert again is not None
    proof.fail(job)
    job.take_over(again.by)
    job.tasks[0].fault = job.faults[again.fault]
    job.tasks[0].found = {}
    with sheet.working(job):
        finding.find(job)
