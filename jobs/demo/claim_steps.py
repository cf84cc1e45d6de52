"""One claim of the demo taken from step to step, each by whoever does it in a workshop."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from jobs.demo.cover_data import FileRow, Step
from jobs.demo.people import House
from jobs.models import Claim, ClaimPayer, Complaint
from jobs.services import claim_answers, claim_payments, claim_sending, claims
from shop import clock
from shop.money import cents, total
from shop.roles import Role

_HUNDRED = Decimal(100)


@dataclass(slots=True)
class Teller:
    house: House
    complaint: Complaint
    payer: ClaimPayer
    claim_pk: int = 0

    def do(self, step: Step) -> None:
        told: Mapping[str, Callable[[Step], None]] = {
            "draft": self._draft,
            "reopen": self._reopen,
            "again": self._again,
            "word": self._word,
            "approve": self._approve,
            "send": self._send,
            "answer": self._answer,
            "pay": self._pay,
            "write_off": self._write_off,
        }
        told[step.do](step)

    @property
    def claim(self) -> Claim:
        """As it stands now."""
        found: Claim = Claim.objects.select_related("complaint__order", "payer", "workshop").get(
            pk=self.claim_pk
        )
        return found

    def _draft(self, step: Step) -> None:
        made = claims.draft(
            self.house.holder(Role.COUNTER),
            act=uuid4(),
            complaint=self.complaint,
            payer=self.payer,
        )
        self.claim_pk = made.pk

    def _reopen(self, step: Step) -> None:
        claim = self.claim
        claims.reopen(
            self.house.holder(Role.MANAGER), act=uuid4(), claim=claim, revision=claim.revision
        )

    def _again(self, step: Step) -> None:
        claim = self.claim
        claims.read_again(
            self.house.holder(Role.COUNTER), act=uuid4(), claim=claim, revision=claim.revision
        )

    def _word(self, step: Step) -> None:
        claim = self.claim
        claims.word(
            self.house.holder(Role.MANAGER),
            act=uuid4(),
            claim=claim,
            revision=claim.revision,
            concern=claim.concern,
            cause=step.cause or claim.cause,
            correction=step.correction or claim.correction,
        )

    def _approve(self, step: Step) -> None:
        claim = self.claim
        claims.approve(
            self.house.holder(Role.MANAGER),
            act=uuid4(),
            claim=claim,
            revision=claim.revision,
            known=True,
        )

    def _send(self, step: Step) -> None:
        claim = self.claim
        claim_sending.send(
            self.house.holder(Role.COUNTER),
            act=uuid4(),
            claim=claim,
            revision=claim.revision,
            by_way_of=step.by or "their web page",
            changed=step.changed,
            lacking_known=True,
        )

    def _answer(self, step: Step) -> None:
        claim = self.claim
        submission = claim.submissions.order_by("number").last()
        assert submission is not None
        wanted = None if step.wanted_in is None else timedelta(days=step.wanted_in)
        claim_answers.answer(
            self.house.holder(Role.COUNTER),
            act=uuid4(),
            submission=submission,
            said=claim_answers.Said(
                kind=step.kind,
                answered_on=clock.today(),
                reason=step.reason,
                words=step.words,
                reference=step.reference,
                agreed=None if step.share is None else share(claim.claimed, step.share),
                wanted_by=None if wanted is None else clock.today() + wanted,
            ),
        )

    def _pay(self, step: Step) -> None:
        """By hand, line for line as the claim asked for it; less from the labour."""
        claim = self.claim
        asked = {
            part: total(line.amount for line in claim.lines.all() if line.kind == kind)
            for kind, part in _PARTS.items()
        }
        comes = share(total(asked.values()), step.share or _HUNDRED)
        short = total(asked.values()) - comes
        asked["labour"] = max(Decimal(0), asked["labour"] - short)
        claim_payments.pay(
            self.house.holder(Role.COUNTER),
            act=uuid4(),
            claim=claim,
            paid_on=clock.today(),
            amounts={part: amount for part, amount in asked.items() if amount},
            reference=step.reference,
        )

    def _write_off(self, step: Step) -> None:
        claim = self.claim
        claims.write_off(
            self.house.holder(Role.MANAGER),
            act=uuid4(),
            claim=claim,
            revision=claim.revision,
            because=step.words,
        )


_PARTS: Mapping[str, str] = {
    "labour": "labour",
    "part": "parts",
    "handling": "handling",
    "sublet": "sublet",
    "tax": "tax",
}


def share(amount: Decimal, percent: Decimal) -> Decimal:
    return cents(amount * percent / _HUNDRED)


def take_file(house: House, row: FileRow) -> None:
    """A payer's file as it came, and what is sure of it booked."""
    counter = house.holder(Role.COUNTER)
    file = claim_payments.take_file(
        counter,
        act=uuid4(),
        payer=ClaimPayer.objects.get(workshop=house.workshop, name=row.payer),
        name=row.name,
        raw=_written(house, row).encode(),
    )
    if row.booked:
        claim_payments.book_matched(counter, act=uuid4(), file=file)


def _written(house: House, row: FileRow) -> str:
    day = clock.today().isoformat()
    lines = ["claim number,order,paid on,amount,reference"]
    for number, line in enumerate(row.lines, 1):
        reference = f"{row.name.split('.')[0][:20]}-{number}"
        if not line.plate:
            lines.append(f"{line.number},,{day},{line.amount},{reference}")
            continue
        claim = (
            Claim.objects.filter(
                workshop=house.workshop,
                complaint__order__vehicle__plate=line.plate,
                payer__name=row.payer,
            )
            .select_related("complaint__order")
            .latest("serial")
        )
        amount = share(claim.claimed if claim.agreed is None else claim.agreed, line.share)
        ours = "" if line.unnamed else claim.number
        lines.append(f"{ours},{claim.complaint.order.number},{day},{amount},{reference}")
    return "\n".join(lines) + "\n"
