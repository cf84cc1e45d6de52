"""What came for a job and cannot be fitted: it goes back, and the right one is awaited."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.db import transaction

from jobs.models import Replacement, StockItem, Supplier, SupplyLine, SupplyReceipt, SupplyReturn
from jobs.queries.estimate import assembly_text
from jobs.services import moves, part_rows, stock
from jobs.services.receiving import Came, book_line
from jobs.services.suppliers import supplier_for
from jobs.services.supply_changes import cut_back, step
from jobs.services.supply_returns import from_stock
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

State = Replacement.State


@transaction.atomic
def wrong(
    actor: Actor,
    *,
    act: UUID,
    replacement: Replacement,
    because: str,
    expected_on: date | None = None,
    again: bool = True,
    damaged: bool = False,
) -> None:
    """The piece for this assembly goes back to its supplier.

    `again`: the supplier sends the right one, expected on `expected_on`; else he gives credit and
    the assembly is to be ordered anew, as is one that came from our own shelf. A job that the Bay
    had begun to repair waits for its assembly again.
    """
    acts.claim(actor, act, "part wrong", about=replacement)
    must(actor, Permit.RECEIVE_PARTS)
    (row,) = part_rows.take(actor, [replacement.pk], {State.ORDERED, State.RECEIVED})
    line = part_rows.lock_lines([row.supply_line_id]).get(row.supply_line_id or 0)
    again = again and line is not None
    if again:
        if expected_on is None:
            raise Refusal("Type the day the right one is expected.", field="expected_on")
        part_rows.check_day(expected_on)
    why = part_rows.reason(because)
    stock.lock_ahead(actor.workshop, [row.complaint.order_id], [row.part_number])
    if row.state == State.RECEIVED:
        _out_of_stock(actor, row, line, why, again=again, damaged=damaged)
    elif line is not None:
        came = Came(line.pk, line.revision, wrong=1 - damaged, damaged=int(damaged), because=why)
        book_line(actor, line, came, [], "")
        if not again:
            _credit_instead(actor, line, row, why)
    if again and line is not None and expected_on is not None:
        row.received_at, row.expected_on = None, expected_on
        part_rows.put(row, State.ORDERED)
        if line.awaited == 1:
            step(line, expected_on=expected_on, late_because=why)
        words = f"sent {assembly_text(row)} back and awaits the right one"
    else:
        part_rows.to_order_again(row)
        words = f"sent {assembly_text(row)} back; it is to be ordered again"
    part_rows.say(actor, row, words, why)
    job = row.complaint.order
    if job.stage == Stage.REPAIRING:
        moves.follow(actor, job, Move.WRONG_ASSEMBLY, reason=why)


def _out_of_stock(
    actor: Actor,
    row: Replacement,
    line: SupplyLine | None,
    why: str,
    *,
    again: bool,
    damaged: bool,
) -> None:
    """A piece booked in as good was none: it leaves the shelf, and its line awaits another."""
    item = stock.let_go(actor, row, why)
    bad = SupplyReturn.Why.DAMAGED if damaged else SupplyReturn.Why.WRONG
    from_stock(
        actor,
        item,
        line.order.supplier if line else _supplier_of(row, item),
        why=bad,
        quantity=1,
        because=why,
        credit=row.cost,
        line=line,
    )
    if line is None:
        return
    SupplyReceipt.objects.create(
        workshop=line.workshop,
        line=line,
        found=SupplyReceipt.Found.DAMAGED if damaged else SupplyReceipt.Found.WRONG,
        quantity=1,
        at=clock.now(),
        by=actor.user,
        note=why,
    )
    step(line, received=-1, cancelled=0 if again else 1)


def _credit_instead(actor: Actor, line: SupplyLine, row: Replacement, why: str) -> None:
    """That piece will not come again. Of the jobs on the line it is this one that goes without."""
    part_rows.to_order_again(row)
    step(line, cancelled=1)
    cut_back(actor, line, why)


def _supplier_of(row: Replacement, item: StockItem) -> Supplier:
    if item.supplier is not None:
        return item.supplier
    if row.supplier:
        return supplier_for(row.workshop, row.supplier)
    raise Refusal(
        f"Nobody knows who supplied {item.part_number}. Name its supplier on its Stock page first."
    )
