"""Who pays for what was found: what the rules say, and what the manager of the demo puts down."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

from jobs.coverage.deciding import Decision
from jobs.demo.data import DemoProblem
from jobs.demo.job import Job, Task
from jobs.models import Payer
from jobs.queries.coverage import picture_of
from jobs.services.coverage import decide_payer, expected_payer

_ALL = Decimal(100)
_NOBODY_KNOWS = "Nobody could say when it was first sold; the owner is asked for the papers."


def decide(job: Job) -> None:
    """Once the cause is named, and before the estimate is given."""
    for task in job.tasks:
        _decide_one(job, task)


def _decide_one(job: Job, task: Task) -> None:
    row, first = job.row, task is job.tasks[0]
    picture = picture_of(task.complaint)
    expected = expected_payer(picture.decision)
    payer = expected or Payer.CUSTOMER
    percent, because = _percent(picture.decision, payer), "" if expected else _NOBODY_KNOWS
    if first and row.payer:
        payer, because = row.payer, row.payer_because
        percent = _percent(picture.decision, payer)
    if first and row.goodwill:
        payer, percent, because = Payer.GOODWILL, row.goodwill.percent, row.goodwill.because
    if row.payer and first and payer != expected and not because:
        raise DemoProblem(
            f"{row.plate}, {row.fault}: by the rules {expected or 'nobody'} pays "
            f"({picture.decision.because}). Write payer_because beside its payer."
        )
    with job.watch.spend(3):
        decide_payer(
            job.desk,
            act=uuid4(),
            complaint=task.complaint,
            payer=payer,
            percent=percent,
            because=because,
            seen=picture.seen,
        )
    task.complaint.refresh_from_db(fields=["payer", "payer_percent", "share_because"])


def _percent(decision: Decision, payer: str) -> Decimal:
    return next((one.percent for one in decision.payers if one.payer == payer), _ALL)
