"""Finding the fault: what the technician of the demo checks, records and concludes."""

from __future__ import annotations

from uuid import uuid4

from diagnostics.models import Component, FailureMode
from diagnostics.services.conclusions import Finding
from diagnostics.telltales import Lamp, Shown
from jobs.demo.data import Fault
from jobs.demo.job import Job, Task
from jobs.demo.working import work_out
from jobs.services import conclusions

BEFORE, LAMPS_AND_FLAGS = "prelude", "lamps_and_flags"
USUAL_MODULE = "brake control"


def find(job: Job, *, stop_at: str = "") -> None:
    """All checks of all complaints. `stop_at`: leave the first one's list at this step."""
    for task in job.tasks:
        bench, fault = job.bench(), task.fault
        first = task is job.tasks[0]
        if first and (job.thorough or fault.before):
            answers = {"complaint_shown": "shown"} | fault.before
            task.found |= bench.work_through(BEFORE, answers=answers)
        if fault.flag or not fault.procedure:
            _read_flags(job, task)
        if fault.procedure:
            task.found |= bench.work_through(
                fault.procedure,
                corner=task.at,
                answers=fault.answers,
                stop_at=stop_at if first else "",
            )
    work_out(job)


def conclude(job: Job) -> None:
    """Name the fault behind every complaint, with what shows it."""
    for task in job.tasks:
        keys = () if job.row.without_evidence else _evidence(task)
        with job.watch.spend(5):
            conclusions.conclude(
                job.hands,
                task.complaint,
                act=uuid4(),
                finding=_finding(job, task),
                evidence=keys,
                without_evidence=not keys,
                replaces=task.complaint.conclusion_id,
            )


def component_of(job: Job, key: str) -> Component:
    return Component.objects.get(platform=job.car.vehicle.platform_id, key=key)


def position_in(component: Component, corner: str) -> str:
    """The corner where the component has one there, else no position."""
    return corner if corner in component.positions.split() else ""


def _read_flags(job: Job, task: Task) -> None:
    fault, bench = task.fault, job.bench()
    code = fault.flag_at(task.at) if fault.flag else ""
    task.found["flag"] = bench.read_flag(fault.module or USUAL_MODULE, code, fault.status)
    if job.stands_open and job.thorough and not fault.module:
        bench.work_through(LAMPS_AND_FLAGS, answers=_what_the_car_says(fault))


def _what_the_car_says(fault: Fault) -> dict[str, str]:
    amber = fault.lamps.get(Lamp.AMBER_ANTILOCK, Shown.DARK)
    running = "dark" if amber is Shown.DARK else f"amber_{amber}"
    return {
        "engine_running": "red" if Lamp.RED_BRAKE in fault.lamps else running,
        "goes_dark": "not_moved" if Lamp.RED_BRAKE in fault.lamps else "no_change",
        "flags_written": "one" if fault.flag else "none",
        "present_now": "stored" if fault.status == "stored" else "present",
    }


def _finding(job: Job, task: Task) -> Finding:
    cause = task.fault.cause
    if cause is None:
        return Finding(no_fault_found=True)
    component = component_of(job, cause.component)
    return Finding(
        component=component,
        position=position_in(component, task.at),
        failure_mode=FailureMode.objects.get(component=component, key=cause.mode),
        words=cause.words,
    )


def _evidence(task: Task) -> list[str]:
    """What speaks for the fault, and the good readings that clear everything else."""
    fault = task.fault
    if fault.cause is None:
        return [one.key for step, one in task.found.items() if step in ("lamps", "flag")]
    # That the complaint is as described, or that somebody was here before, condemns no part.
    aside = {"complaint_shown", "lamps", *fault.before}
    shows = {step for step, one in task.found.items() if one.bad} - aside
    shows |= set(fault.evidence)
    return [task.found[step].key for step in task.found if step in shows]
