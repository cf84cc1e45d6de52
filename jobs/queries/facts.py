"""What is true of orders, gathered in a constant number of queries however many there are."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.bill import BILLED_WITHIN
from jobs.models import (
    Complaint,
    LabourLine,
    OtherLine,
    Payer,
    RepairOrder,
    Replacement,
    StageMove,
)
from jobs.queries.priced import row_key
from jobs.queries.proof import proofs_for
from jobs.queries.said import agreed_on, standing
from jobs.release_rules import missing_for_release
from jobs.stages import Facts, Move, Stage
from shop import clock

PROOF_STAGES = frozenset({Stage.PROVING, Stage.READY})
WORK_STAGES = frozenset({Stage.DIAGNOSING, Stage.DECLINED, Stage.RELEASED})
_State = Replacement.State


def facts_of(order: RepairOrder) -> Facts:
    return facts_for([order])[order.pk]


def facts_for(orders: Iterable[RepairOrder]) -> dict[int, Facts]:
    """The facts of each order by its pk.

    Proof, work without an assembly and whether the estimate still stands take the most to gather,
    so each is gathered only at the stages where somebody asks for it.
    """
    orders = list(orders)
    ids = [order.pk for order in orders]
    complaints = _by_order(
        Complaint.objects.filter(order__in=ids).select_related("conclusion").order_by("line")
    )
    last = last_into(ids)
    given = standing([order.pk for order in orders if order.stage == Stage.AWAITING_AUTHORITY])
    parts = _live_parts(ids)
    labour = _work([order.pk for order in orders if Stage(order.stage) in WORK_STAGES])
    proofs = proofs_for([order for order in orders if Stage(order.stage) in PROOF_STAGES])
    facts = {}
    for order in orders:
        proof = proofs.get(order.pk)
        facts[order.pk] = _facts(
            order,
            complaints[order.pk],
            parts[order.pk],
            labour.get(order.pk, Work()),
            last,
            order.pk in given,
            tuple(m.sentence for m in missing_for_release(proof)) if proof else (),
        )
    return facts


Last = dict[tuple[int, str], StageMove]  # by order and stage


def last_into(ids: list[int]) -> Last:
    """The last move of each order into diagnosis, and into awaiting authority. One query."""
    stages = (Stage.DIAGNOSING, Stage.AWAITING_AUTHORITY)
    rows = StageMove.objects.filter(order__in=ids, target__in=stages).order_by("pk")
    return {(move.order_id, move.target): move for move in rows}


@dataclass(frozen=True, slots=True)
class Work:
    """Lines of an order that are no assembly: to be done, and diagnosis that is to be billed."""

    to_do: int = 0
    diagnosis_to_bill: int = 0


def _facts(
    order: RepairOrder,
    complaints: list[Complaint],
    parts: list[Replacement],
    work: Work,
    last: Last,
    estimate_given: bool,
    missing: tuple[str, ...],
) -> Facts:
    undecided = Complaint.Decision.UNDECIDED
    states = Counter(part.state for part in parts)
    not_received = states[_State.TO_ORDER] + states[_State.ORDERED]
    not_fitted = not_received + states[_State.RECEIVED]
    return Facts(
        technician=order.technician_id is not None,
        complaints=len(complaints),
        concluded=sum(1 for line in complaints if line.conclusion_id),
        faults=sum(1 for line in complaints if _names_a_fault(line)),
        conclude_anew=_conclude_anew(complaints, last.get((order.pk, Stage.DIAGNOSING))),
        to_fit=not_fitted + states[_State.PROPOSED],
        labour=work.to_do,
        not_ordered=states[_State.TO_ORDER],
        not_received=not_received,
        not_fitted=not_fitted,
        on_order=states[_State.ORDERED] + states[_State.RECEIVED],
        # With every complaint declined nothing of the estimate stands, and it was given.
        estimate_given=estimate_given or _all_declined(complaints),
        decided=sum(1 for line in complaints if line.decision != undecided),
        authorised=sum(1 for line in complaints if line.decision == Complaint.Decision.AUTHORISED),
        asked_while_proving=_asked_while_proving(last.get((order.pk, Stage.AWAITING_AUTHORITY))),
        diagnosis_to_bill=work.diagnosis_to_bill,
        payer_is_customer=any(line.payer == Payer.CUSTOMER for line in complaints),
        missing_to_release=missing,
        unsafe=order.unsafe,
        to_invoice=_in_time(order)
        and bool(states[_State.FITTED] or work.to_do or work.diagnosis_to_bill),
    )


def _in_time(order: RepairOrder) -> bool:
    """Not invoiced, and not closed so long ago that the Till does not ask for it either."""
    if order.invoiced or order.closed_at is None:
        return not order.invoiced
    return order.closed_at >= clock.now() - BILLED_WITHIN


def _names_a_fault(complaint: Complaint) -> bool:
    return complaint.conclusion is not None and not complaint.conclusion.no_fault_found


def _all_declined(complaints: list[Complaint]) -> bool:
    declined = [line.decision == Complaint.Decision.DECLINED for line in complaints]
    return bool(declined) and all(declined)


def _conclude_anew(complaints: list[Complaint], begun: StageMove | None) -> bool:
    """Diagnosis was taken up again and nothing was concluded since."""
    if begun is None or begun.move == Move.BEGIN:
        return False
    made = (line.conclusion.at for line in complaints if line.conclusion)
    return not any(at >= begun.at for at in made)


def _by_order(rows: Iterable[Complaint]) -> dict[int, list[Complaint]]:
    grouped: dict[int, list[Complaint]] = defaultdict(list)
    for row in rows:
        grouped[row.order_id].append(row)
    return grouped


def _asked_while_proving(asked: StageMove | None) -> bool:
    return asked is not None and asked.source == Stage.PROVING


def _work(ids: list[int]) -> dict[int, Work]:
    """Work of complaints that are not declined; diagnosis counts only until it is authorised."""
    if not ids:
        return {}
    agreed = {row for rows in agreed_on(ids).values() for row in rows}
    declined = Complaint.Decision.DECLINED
    to_do: Counter[int] = Counter()
    to_bill: Counter[int] = Counter()
    labour = LabourLine.objects.filter(complaint__order__in=ids, withdrawn=False)
    for line in labour.select_related("complaint"):
        if line.kind == LabourLine.Kind.DIAGNOSIS and row_key(line) in agreed:
            to_bill[line.complaint.order_id] += 1
        elif line.complaint.decision != declined:
            to_do[line.complaint.order_id] += 1
    other = OtherLine.objects.filter(complaint__order__in=ids, withdrawn=False)
    to_do.update(
        other.exclude(complaint__decision=declined).values_list("complaint__order", flat=True)
    )
    return {key: Work(to_do[key], to_bill[key]) for key in {*to_do, *to_bill}}


def _live_parts(ids: list[int]) -> dict[int, list[Replacement]]:
    """Assemblies to be fitted, or fitted: not cancelled, and not of a declined complaint.

    Before authority they are proposed; only what is authorised is to be ordered and fitted.
    """
    grouped: dict[int, list[Replacement]] = defaultdict(list)
    rows = (
        Replacement.objects.filter(complaint__order__in=ids)
        .exclude(state=Replacement.State.CANCELLED)
        .exclude(complaint__decision=Complaint.Decision.DECLINED)
        .select_related("complaint")
        .order_by("complaint__line", "pk")
    )
    for row in rows:
        grouped[row.complaint.order_id].append(row)
    return grouped
