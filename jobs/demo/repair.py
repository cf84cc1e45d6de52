"""Assemblies of a demo job: ordered, received, and fitted in place of what was there."""

from __future__ import annotations

from itertools import groupby
from random import Random
from uuid import uuid4

from jobs.demo import hours
from jobs.demo.job import Job
from jobs.models import FittedUnit, Replacement, StockItem
from jobs.queries.fitting import to_fit
from jobs.services import fitting, parts
from jobs.stages import Move, Stage

State = Replacement.State
# Assemblies whose label carries a serial number.
_WITH_SERIAL = frozenset(
    {
        "hub_and_sensor",
        "front_speed_sensor",
        "rear_speed_sensor",
        "pressure_modulator",
        "control_module",
        "master_cylinder",
        "brake_booster",
        "brake_caliper",
        "steering_pump",
        "steering_gear",
        "flow_control_actuator",
        "steering_rate_sensor",
    }
)


def order_parts(job: Job) -> None:
    """What lies on the shelf is taken from there; for the rest one order to each supplier."""
    waiting = [
        row
        for row in _in_state(job, State.TO_ORDER)
        if row.component.key not in job.row.not_ordered
    ]
    here, waiting = _on_the_shelf(job, waiting)
    waiting.sort(key=lambda row: row.supplier)
    for supplier, rows in groupby(waiting, key=lambda row: row.supplier):
        expected = hours.later(job.watch.now, _days(job) * hours.DAY).date()
        with job.watch.spend(6):
            parts.order(
                job.counter,
                act=uuid4(),
                replacements=[row.pk for row in rows],
                reference=f"{supplier[:2].upper()}-{job.order.serial}",
                expected_on=expected,
            )
    if here:
        with job.watch.spend(4):
            parts.receive(
                job.counter, act=uuid4(), replacements=[row.pk for row in here], hand_over=True
            )
        job.refresh()
    arrived = [
        row.pk for row in _in_state(job, State.ORDERED) if row.component.key in job.row.arrived
    ]
    if arrived:
        job.watch.wait(hours.DAY)
        with job.watch.spend(5):
            parts.receive(job.counter, act=uuid4(), replacements=arrived)


def _on_the_shelf(job: Job, rows: list[Replacement]) -> tuple[list[Replacement], list[Replacement]]:
    """Those of which a piece lies free here, and the others."""
    numbers = [row.part_number for row in rows]
    items = StockItem.objects.filter(workshop=job.house.workshop, part_number__in=numbers)
    free = {item.part_number: item.free for item in items}
    here: list[Replacement] = []
    away: list[Replacement] = []
    for row in rows:
        free[row.part_number] = free.get(row.part_number, 0) - 1
        (here if free[row.part_number] >= 0 else away).append(row)
    return here, away


def _days(job: Job) -> int:
    """Working days until a supplier delivers: mostly the next, sometimes later in the week."""
    if job.row.expected_days is not None or job.stands_open or job.row.not_cured:
        return job.row.expected_days or 1
    return Random(job.order.number).choice((1, 1, 1, 2, 2, 3))  # noqa: S311


def receive_parts(job: Job) -> None:
    """Everything arrives as promised and is handed over to the Bay."""
    keys = [row.pk for row in _in_state(job, State.ORDERED)]
    if keys:
        job.watch.wait(_days(job) * hours.DAY - 60)
        with job.watch.spend(5):
            parts.receive(job.counter, act=uuid4(), replacements=keys, hand_over=True)
    job.refresh()
    assert job.order.stage == Stage.REPAIRING


def fit(job: Job) -> None:
    """Fit what is here, then say that the repair is done."""
    rows = _in_state(job, State.RECEIVED)
    if rows:
        with job.watch.spend(2):
            fitting.acknowledge(job.hands, act=uuid4(), order=job.order)
    for row in rows:
        off, on = _serials(job, row)
        with job.watch.spend(45):
            fitting.fit(
                job.hands,
                act=uuid4(),
                replacement=row,
                serial_off=off,
                serial_on=on,
                batch_on=_batch(on),
            )
    job.move(job.hands, Move.ALL_FITTED, minutes=10)


def _in_state(job: Job, state: str) -> list[Replacement]:
    return list(to_fit(job.order).filter(state=state))


def _serials(job: Job, row: Replacement) -> tuple[str, str]:
    """Off and on. What is on record comes off; what was never recorded reads its own label."""
    if row.component.key not in _WITH_SERIAL:
        return "", ""
    known = FittedUnit.objects.filter(
        vehicle=job.car.vehicle,
        component=row.component,
        position=row.position,
        left_on__isnull=True,
        entry=FittedUnit.Entry.FITTED,
    ).first()
    year = job.watch.now.year % 100
    off = known.serial_number if known else _serial(job, row, year - job.rng.randrange(2, 7))
    return off, job.row.serial or _serial(job, row, year)


def _batch(serial: str) -> str:
    """The labels of the demo print it as the first part of the serial number."""
    return serial.partition("-")[0]


def _serial(job: Job, row: Replacement, year: int) -> str:
    """Supplier, year and week of the batch, and the number in it."""
    week, number = job.rng.randrange(2, 50), job.rng.randrange(10, 990)
    return f"{row.supplier[:2].upper()}{year:02d}{week:02d}-{number:04d}"
