"""The estimate of a demo job, to whom it was given, and what they answered."""

from __future__ import annotations

from uuid import uuid4

from diagnostics.models import LabourOperation, PartNumber
from jobs.demo.finding import component_of, position_in
from jobs.demo.job import Job, Task
from jobs.models import Complaint, How, Payer
from jobs.services import authority, estimate
from jobs.stages import Move
from shop import clock

_DIAGNOSIS = {
    "brake_control": "DG-10",
    "base_brakes": "DG-20",
    "power_steering": "DG-30",
    "wheel_ends": "DG-40",
}
_DESKS = {
    Payer.VEHICLE_WARRANTY: "Maker's warranty desk",
    Payer.PARTS_WARRANTY: "Supplier's warranty desk",
}


def ask(job: Job) -> None:
    """Put the work on the estimate and ask for authority."""
    for task in job.tasks:
        _put_on(job, task)
    job.move(job.hands, Move.ASK_AUTHORITY)


def give(job: Job) -> None:
    how, name, contact = _whom(job)
    with job.watch.spend(8):
        estimate.give(
            job.desk, act=uuid4(), order=job.order, given_to=name, how=how, contact=contact
        )


def answer(job: Job) -> None:
    """Record what was answered: everything authorised, or everything declined."""
    declined = bool(job.row.declined)
    decision = Complaint.Decision.DECLINED if declined else Complaint.Decision.AUTHORISED
    how, name, contact = _whom(job)
    with job.watch.spend(3):
        authority.record(
            job.desk,
            act=uuid4(),
            order=job.order,
            revision=job.order.revision,
            who=name,
            how=how,
            answered_at=clock.now(),
            decisions={task.complaint.pk: decision for task in job.tasks},
            contact=contact,
            note=job.row.declined,
        )
    job.refresh()


def _whom(job: Job) -> tuple[str, str, str]:
    payer = Payer(job.tasks[0].complaint.payer)
    if payer in _DESKS:
        return How.PAYER, _DESKS[payer], ""
    customer = job.order.customer
    return How.PHONE, customer.name, customer.phone


def _put_on(job: Job, task: Task) -> None:
    fault, complaint = task.fault, task.complaint
    with job.watch.spend(3):
        _labour(job, task, _DIAGNOSIS[fault.system])
        conclusion = complaint.conclusion
        if conclusion and conclusion.component and _is_ordered(conclusion.component.pk):
            estimate.accept_proposal(job.desk, act=uuid4(), complaint=complaint)
        if fault.assembly:
            _on_wish(job, task)
        for code in fault.labour:
            _labour(job, task, code)
        if fault.work:
            estimate.add_labour(
                job.desk,
                act=uuid4(),
                complaint=complaint,
                text=fault.work,
                tenths=round(fault.hours * 10),
            )


def _labour(job: Job, task: Task, code: str) -> None:
    operation = LabourOperation.objects.get(version=job.order.session.version, code=code)
    estimate.add_labour(job.desk, act=uuid4(), complaint=task.complaint, operation=operation)


def _on_wish(job: Job, task: Task) -> None:
    """An assembly that nothing speaks against, on the estimate all the same."""
    component = component_of(job, task.fault.assembly)
    estimate.add_assembly(
        job.desk,
        act=uuid4(),
        complaint=task.complaint,
        component=component,
        position=position_in(component, task.at),
    )
    for operation in LabourOperation.objects.filter(
        version=job.order.session.version, component=component
    ):
        estimate.add_labour(job.desk, act=uuid4(), complaint=task.complaint, operation=operation)


def _is_ordered(component_id: int) -> bool:
    return PartNumber.objects.filter(component=component_id, retired=False).exists()
