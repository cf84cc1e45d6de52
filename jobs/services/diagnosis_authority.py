"""Authority to look for the fault, before any work: an estimate of it and its answer in one act.

16 CCR 3353: an estimate is given and authorised before any work commences, diagnosis too. What
is authorised here is kept and billed, even when the repair is declined afterwards.
"""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_DOWN, Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import F

from diagnostics.models import LabourOperation
from jobs.models import Authority, Complaint, How, LabourLine, RepairOrder
from jobs.pricing import hours
from jobs.queries.priced import Row, live_rows, row_key
from jobs.queries.said import agreed_on
from jobs.queries.terms import rate_on
from jobs.services.answers import Spoken, keep_answer, spoken
from jobs.services.estimate_change import say
from jobs.services.giving import keep
from jobs.services.labour import LONGEST, put_on
from jobs.stages import Stage
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import format_amount
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

BEFORE_WORK = frozenset({Stage.RECEIVED, Stage.DIAGNOSING})
WORDS = "Diagnosis"


@transaction.atomic
def authorise_diagnosis(
    actor: Actor,
    *,
    act: UUID,
    complaint: Complaint,
    revision: int,
    who: str,
    how: str,
    answered_at: datetime,
    contact: str = "",
    tenths: int | None = None,
    amount: Decimal | None = None,
    operation: LabourOperation | None = None,
    note: str = "",
    parts_wanted: str = "",
    signature: str = "",
) -> Authority:
    """Record that so many tenths of an hour, or so much money, may go into finding the fault.

    Of an amount as many whole tenths are taken as it covers. Raises Refusal for neither or both,
    for an operation that is no diagnosis, and once the diagnosis is over; Clash when somebody
    moved the job first.
    """
    acts.claim(actor, act, "authority to diagnose", about=complaint)
    must(actor, Permit.RECORD_AUTHORITY)
    order = _locked(complaint, revision)
    said = spoken(
        who=who,
        how=how,
        contact=contact,
        answered_at=answered_at,
        note=_note(actor, note, amount),
        parts_wanted=parts_wanted,
        signature=signature,
        not_before=order.taken_in_at,
    )
    if operation is not None and not operation.diagnosis:
        raise Refusal(f"{operation} is a repair. Choose a diagnosis.", field="operation")
    sold = _tenths(actor, complaint, operation, tenths, amount)
    line = _line(actor, complaint, operation, sold)
    authority = _keep(actor, order, complaint, line, said)
    RepairOrder.objects.filter(pk=order.pk).update(revision=F("revision") + 1)
    total = format_amount(authority.amount, actor.workshop.currency)
    words = (
        f"recorded that {said.who}, {How(how).label}, lets us look for the fault of complaint "
        f"{complaint.line}: {hours(sold)} h, {total} before tax"
    )
    say(actor, order.pk, words, note.strip())
    return authority


def _line(
    actor: Actor, complaint: Complaint, operation: LabourOperation | None, sold: int
) -> LabourLine:
    usual = operation.tenths if operation else sold
    return put_on(
        actor,
        complaint,
        operation=operation,
        text="" if operation else WORDS,
        tenths=sold,
        kind=LabourLine.Kind.DIAGNOSIS,
        reason="as authorised" if sold != usual else "",
    )


def _keep(
    actor: Actor, order: RepairOrder, complaint: Complaint, line: LabourLine, said: Spoken
) -> Authority:
    given = keep(
        actor,
        order,
        _authorised_with(order, line),
        given_to=said.who,
        how=said.how,
        contact=said.contact,
        at=said.answered_at,
    )
    yes = {complaint.pk: str(Complaint.Decision.AUTHORISED)}
    return keep_answer(actor, order, given, yes, said)


def _locked(complaint: Complaint, revision: int) -> RepairOrder:
    order: RepairOrder = (
        RepairOrder.objects.select_for_update(of=("self",))
        .select_related("workshop")
        .get(pk=complaint.order_id)
    )
    stage = Stage(order.stage)
    if stage not in BEFORE_WORK:
        raise Refusal(
            f"The job is {stage.words}; authority to look for the fault is asked before that is "
            "over. Put the diagnosis on the estimate instead."
        )
    if order.revision != revision:
        raise Clash(
            "Somebody moved this job or recorded an answer meanwhile. The page now shows how it "
            "stands; look before you record the answer."
        )
    return order


def _tenths(
    actor: Actor,
    complaint: Complaint,
    operation: LabourOperation | None,
    tenths: int | None,
    amount: Decimal | None,
) -> int:
    if tenths is not None and amount is not None:
        raise Refusal("Type the hours or the amount, not both.", field="amount")
    if amount is None:
        sold = tenths if tenths is not None else (operation.tenths if operation else 0)
        if not 0 < sold <= LONGEST:
            raise Refusal("Type the hours that were agreed, from 0.1 to 40.0.", field="hours")
        return sold
    rate = rate_on(complaint, actor.workshop)
    currency = actor.workshop.currency
    if not rate:
        raise Refusal("The labour rate is nothing. Type the hours instead.", field="amount")
    covered = (amount * 10 / rate).to_integral_value(rounding=ROUND_DOWN)
    if covered < 1:
        least, said = format_amount(rate / 10, currency), format_amount(amount, currency)
        raise Refusal(
            f"{said} does not cover a tenth of an hour, which is {least}.", field="amount"
        )
    if covered > LONGEST:
        raise Refusal("That is more than 40 hours. Check the digits.", field="amount")
    return int(covered)


def _authorised_with(order: RepairOrder, line: LabourLine) -> list[Row]:
    """What stands authorised and the new line; proposals of repairs are not said yet."""
    agreed = {row for rows in agreed_on([order.pk]).values() for row in rows} | {row_key(line)}
    return [row for row in live_rows([order.pk]) if row_key(row) in agreed]


def _note(actor: Actor, note: str, amount: Decimal | None) -> str:
    if amount is None:
        return note.strip()
    up_to = f"Up to {format_amount(amount, actor.workshop.currency)} before tax for the diagnosis."
    return f"{up_to} {note.strip()}".strip()
