"""The estimate of a demo job, to whom it was given, and what they answered."""

from __future__ import annotations

from uuid import uuid4

from diagnostics.models import LabourOperation, PartNumber
from jobs.demo import cover
from jobs.demo.data import OtherRow
from jobs.demo.finding import component_of, position_in
from jobs.demo.job import Job, Task
from jobs.models import Complaint, How, LabourLine, Payer, RepairOrder
from jobs.services import authority, diagnosis_authority, estimate
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
    Payer.SERVICE_CONTRACT: "Contract desk",
    Payer.CAMPAIGN: "Maker's campaign desk",
}


def before_work(job: Job) -> None:
    """The customer lets us look for the fault, for so many tenths of an hour."""
    if not job.row.diagnosis:
        return
    customer = job.order.customer
    with job.watch.spend(3):
        job.refresh()
        diagnosis_authority.authorise_diagnosis(
            job.desk,
            act=uuid4(),
            complaint=job.tasks[0].complaint,
            revision=job.order.revision,
            who=customer.name,
            how=How.IN_PERSON,
            answered_at=clock.now(),
            tenths=job.row.diagnosis,
        )
        job.refresh()


def ask(job: Job) -> None:
    """Say who pays, put the work on the estimate and ask for authority."""
    cover.decide(job)
    for task in job.tasks:
        _put_on(job, task)
    _put_on_for_all(job)
    job.move(job.hands, Move.ASK_AUTHORITY)


def give(job: Job) -> None:
    how, name, contact = _whom(job)
    with job.watch.spend(8):
        estimate.give(
            job.desk, act=uuid4(), order=job.order, given_to=name, how=how, contact=contact
        )
    if job.row.revised:
        with job.watch.spend(12):
            _other(job, job.row.revised)
            estimate.give(
                job.desk, act=uuid4(), order=job.order, given_to=name, how=how, contact=contact
            )


def answer(job: Job) -> None:
    """Record what was answered: everything authorised, or everything declined."""
    declined = bool(job.row.declined)
    decision = Complaint.Decision.DECLINED if declined else Complaint.Decision.AUTHORISED
    how, name, contact = _whom(job)
    wanted = RepairOrder.PartsWanted
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
            parts_wanted=wanted.WANTED if job.row.parts_back else wanted.NOT_WANTED,
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
        if not complaint.labour.filter(kind=LabourLine.Kind.DIAGNOSIS, withdrawn=False).exists():
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


def _put_on_for_all(job: Job) -> None:
    """What the row says of the whole job goes on its first complaint."""
    row, complaint = job.row, job.tasks[0].complaint
    for other in row.other:
        with job.watch.spend(2):
            _other(job, other)
    if row.extra:
        with job.watch.spend(2):
            estimate.add_labour(
                job.desk,
                act=uuid4(),
                complaint=complaint,
                text=row.extra.text,
                tenths=row.extra.tenths,
                kind=LabourLine.Kind.EXTRA,
                reason=row.extra.reason,
            )


def _other(job: Job, row: OtherRow) -> None:
    estimate.add_other(
        job.desk,
        act=uuid4(),
        complaint=job.tasks[0].complaint,
        kind=row.kind,
        text=row.text,
        quantity=row.quantity,
        unit_price=row.price,
        supplier=row.supplier,
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
