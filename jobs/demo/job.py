"""A job of the demo under way: what its people share while they take it from hand to hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from uuid import uuid4

from diagnostics.models import Position
from jobs.demo.bench import Bench, Found
from jobs.demo.data import Fault, VisitRow
from jobs.demo.people import House
from jobs.demo.shelf import Shelf
from jobs.demo.vehicles import Car
from jobs.demo.watch import Watch
from jobs.models import Complaint, RepairOrder
from jobs.services import assignment, moves
from jobs.stages import Move
from shop.actor import Actor
from shop.roles import Role


@dataclass(slots=True)
class Task:
    """One complaint of the job, with the fault behind it and what was found so far."""

    complaint: Complaint
    fault: Fault
    at: str
    found: dict[str, Found]

    @property
    def place(self) -> str:
        return str(Position(self.at).label) if self.at else ""


@dataclass(slots=True)
class Job:
    house: House
    row: VisitRow
    car: Car
    order: RepairOrder
    technician: Actor | None
    manner: str
    watch: Watch
    rng: Random
    tasks: list[Task]
    faults: Mapping[str, Fault]
    shelf: Shelf
    stands_open: bool

    @property
    def desk(self) -> Actor:
        return self.house.holder(Role.MANAGER)

    @property
    def counter(self) -> Actor:
        return self.house.holder(Role.COUNTER)

    @property
    def hands(self) -> Actor:
        """The technician; a job goes no further than received without one."""
        assert self.technician is not None
        return self.technician

    @property
    def thorough(self) -> bool:
        return self.manner != "quick"

    @property
    def nothing_to_repair(self) -> bool:
        return not any(task.fault.cause or task.fault.assembly for task in self.tasks)

    def take_over(self, name: str) -> None:
        """Somebody else works on it from here, in the same bay and for the same promise."""
        self.technician = self.house.crew[name]
        self.manner = self.house.place.people[name].manner
        self.row = self.row.model_copy(update={"not_cured": None, "without_evidence": False})
        with self.watch.spend(10):
            assignment.assign(
                self.desk,
                self.order,
                act=uuid4(),
                revision=self.order.revision,
                technician=self.technician.user,
                bay=self.order.bay,
                promised_at=self.order.promised_at,
            )

    def bench(self) -> Bench:
        return Bench(self.hands, self.order.session_id, self.watch, self.rng, self.shelf)

    def move(self, actor: Actor, which: Move, *, minutes: float = 2, reason: str = "") -> None:
        with self.watch.spend(minutes):
            moves.move(
                actor,
                self.order,
                which,
                act=uuid4(),
                revision=self.order.revision,
                reason=reason,
            )

    def refresh(self) -> None:
        """After an act that moved the job by itself."""
        self.order.refresh_from_db()
