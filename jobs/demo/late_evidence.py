"""A claim that went out without the reading that condemns the part, and what was made good."""

from __future__ import annotations

from jobs.demo import finding, hours
from jobs.demo.claim_steps import Teller
from jobs.demo.cover_data import Step
from jobs.demo.job import Job
from jobs.models import ClaimPayer


def refused_for_a_reading(job: Job) -> None:
    """Asked while the vehicle is here, refused the next day; the reading goes under the cause."""
    late = job.row.evidence_after
    assert late is not None
    complaint = job.tasks[0].complaint
    complaint.refresh_from_db()
    payer = ClaimPayer.objects.get(workshop=job.house.workshop, name=late.payer)
    teller = Teller(job.house, complaint, payer)
    for do in ("draft", "approve", "send"):
        with job.watch.spend(12):
            teller.do(Step(do=do, ago=0))
    job.watch.wait(hours.DAY)
    with job.watch.spend(5):
        teller.do(
            Step(
                do="answer",
                ago=0,
                kind="refused",
                reason="reading",
                reference=late.reference,
                words=late.words,
            )
        )
    job.row = job.row.model_copy(update={"without_evidence": False})
    job.refresh()
    finding.conclude(job)
