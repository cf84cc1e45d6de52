"""Proving a demo job's repair, and the vehicle's way back to the road."""

from __future__ import annotations

from uuid import uuid4

from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import FlagRead, Phase, Reading
from jobs.demo.finding import USUAL_MODULE
from jobs.demo.job import Job
from jobs.services import complaints, proving, release, unsafe
from jobs.stages import Move
from shop.services.odometer import OdometerInput

_KM, _KMH = 8, 70


def clear(job: Job) -> None:
    """The flags of every module in which one was found."""
    for module in _modules(job):
        job.bench().clear_flags(module)


def prove(job: Job) -> None:
    """Everything the release asks for, in the order of work."""
    clear(job)
    if job.row.override:
        _without_a_drive(job)
        return
    if job.order.unsafe:
        lift(job)
    _drive(job)
    bench = job.bench()
    bench.see_lamps({})
    for module in _modules(job) or [USUAL_MODULE]:
        bench.read_flag(module, "")
    for reading in _outside(job):
        bench.take_again(reading)
    if job.stands_open and job.thorough:
        bench.work_through("proving_drive", answers={})
    _write_corrections(job)
    job.move(job.hands, Move.PROVED)


def lift(job: Job) -> None:
    with job.watch.spend(10):
        unsafe.lift(job.desk, job.order, act=uuid4(), reason=job.tasks[0].fault.safe_again)


def fail(job: Job) -> None:
    """The drive shows that the repair did not help: back to finding the fault."""
    first = job.tasks[0].fault
    clear(job)
    _drive(job)
    bench = job.bench()
    bench.see_lamps(first.lamps)
    code = first.flag_at(job.tasks[0].at)
    bench.read_flag(first.module or USUAL_MODULE, code)
    job.move(
        job.hands,
        Move.NOT_CURED,
        reason=f"{code} came back on the proving drive; the new unit behaves like the old one.",
    )


def release_vehicle(job: Job) -> None:
    with job.watch.spend(15):
        release.release(
            job.desk,
            job.order,
            act=uuid4(),
            revision=job.order.revision,
            override=job.row.override,
        )


def leave_unrepaired(job: Job) -> None:
    with job.watch.spend(30):
        release.leave_unrepaired(
            job.desk,
            job.order,
            act=uuid4(),
            revision=job.order.revision,
            reason=job.row.declined,
        )


def _without_a_drive(job: Job) -> None:
    bench = job.bench()
    bench.see_lamps({})
    for reading in _outside(job):
        bench.take_again(reading)
    _write_corrections(job)


def _drive(job: Job) -> None:
    shows = job.car.shows(job.watch.now, extra_km=_KM)
    with job.watch.spend(18):
        proving.record_road_test(
            job.hands,
            job.order,
            act=uuid4(),
            distance=str(_KM),
            distance_unit="km",
            top_speed=str(_KMH + job.rng.randrange(-10, 20)),
            speed_unit="km/h",
            odometer_after=OdometerInput(shows.value, shows.unit),
        )


def _write_corrections(job: Job) -> None:
    for task in job.tasks:
        with job.watch.spend(3):
            complaints.correct(
                job.hands,
                task.complaint,
                act=uuid4(),
                text=task.fault.correction.format(place=task.place).strip(),
            )


def _modules(job: Job) -> list[str]:
    reads = FlagRead.objects.filter(session=job.order.session_id, none_stored=False)
    return list(dict.fromkeys(reads.values_list("module", flat=True)))


def _outside(job: Job) -> list[Reading]:
    """Each place whose reading was outside as found, once."""
    rows = (
        Reading.objects.standing()
        .filter(
            session=job.order.session_id,
            phase=Phase.AS_FOUND,
            verdict=VerdictKind.OUTSIDE,
        )
        .select_related("quantity", "component")
    )
    return list({(r.quantity_id, r.component_id, r.position): r for r in rows}.values())
