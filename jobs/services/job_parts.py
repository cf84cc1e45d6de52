"""What a job's move does to its assemblies: handed over, taken back to the Counter, let go."""

from __future__ import annotations

from jobs.models import RepairOrder, Replacement
from jobs.services import stock
from jobs.stages import CLOSED, Stage
from jobs.supersession import normal
from shop import clock
from shop.actor import Actor

State = Replacement.State
_BACK_TO_COUNTER = frozenset({Stage.AWAITING_ASSEMBLY, Stage.DIAGNOSING, Stage.AWAITING_AUTHORITY})


def keep_in_step(
    actor: Actor, order: RepairOrder, source: Stage, target: Stage, because: str
) -> None:
    """Move the stock that this move of the job moves. Call within its transaction.

    To the Bay goes all that lies here for the job; what was not fitted comes back, still kept for
    it, when the job leaves the Bay; a closed job lets go of everything it did not use.
    """
    if target is Stage.REPAIRING:
        stock.hand(actor, _rows(order, State.RECEIVED))
    elif target in CLOSED:
        _let_go_of_all(actor, order, because)
    elif source is Stage.REPAIRING and target in _BACK_TO_COUNTER:
        for row in _rows(order, State.RECEIVED):
            if row.handed_at is not None:
                stock.reserve(stock.let_go(actor, row, because))


def _let_go_of_all(actor: Actor, order: RepairOrder, because: str) -> None:
    for row in _rows(order, State.RECEIVED, State.ORDERED):
        if row.state == State.RECEIVED:
            stock.let_go(actor, row, because or "the job was closed")
        row.state, row.state_since = State.CANCELLED, clock.now()
        row.cancelled_because = (because or "the job was closed without it")[:200]
        row.save(update_fields=["state", "state_since", "cancelled_because"])


def _rows(order: RepairOrder, *states: State) -> list[Replacement]:
    rows = (
        Replacement.objects.select_for_update(of=("self",))
        .filter(complaint__order=order, state__in=states)
        .select_related("component", "workshop")
        .order_by("pk")
    )
    return sorted(rows, key=lambda row: normal(row.part_number))
