"""A claim of a whole job, drafted, approved and sent by the services, for tests of its papers."""

from __future__ import annotations

from uuid import uuid4

from jobs.models import Claim, ClaimAnswer, Submission
from jobs.services import claim_answers, claims
from jobs.services import claim_sending as sending
from jobs.services.claim_answers import Said
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from tests.jobs.along import Crew
from tests.jobs.bills import a_job
from tests.jobs.claim_rows import a_claim_payer


def an_approved_claim(crew: Crew, **payer: object) -> Claim:
    order = a_job(crew, Stage.READY, payer="vehicle_warranty")
    complaint = order.complaints.get()
    made = claims.draft(
        crew.manager,
        act=uuid4(),
        complaint=complaint,
        payer=a_claim_payer(crew.manager, "Corvane", **payer),
    )
    approve(crew, made)
    return made


def approve(crew: Crew, claim: Claim) -> None:
    claim.refresh_from_db()
    claims.approve(crew.manager, act=uuid4(), claim=claim, revision=claim.revision, known=True)
    claim.refresh_from_db()


def send(
    actor: Actor, claim: Claim, way: str = "portal", changed: str = "", *, known: bool = True
) -> Submission:
    claim.refresh_from_db()
    made = sending.send(
        actor,
        act=uuid4(),
        claim=claim,
        revision=claim.revision,
        by_way_of=way,
        changed=changed,
        lacking_known=known,
    )
    claim.refresh_from_db()
    return made


def a_sent_claim(crew: Crew, **payer: object) -> Submission:
    return send(crew.counter, an_approved_claim(crew, **payer))


def say(actor: Actor, sent: Submission, kind: str, **more: object) -> ClaimAnswer:
    said = Said(kind, clock.today(), **more)  # type: ignore[arg-type]
    return claim_answers.answer(actor, act=uuid4(), submission=sent, said=said)
