"""What the Counter does for one job's assemblies: order, book in, hand over; wrong, cancelled.

A whole delivery is booked in by receiving.py; here are the short ways that begin at a job.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.models import RepairOrder, Replacement
from jobs.queries.estimate import assembly_text
from jobs.services import moves, part_rows, stock, supply, wrong_parts
from jobs.services.from_shelf import OWN_SHELF, take_from_shelf
from jobs.services.receiving import Came, book_line
from jobs.services.supply_changes import new_day
from jobs.stages import Move
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

__all__ = ["OWN_SHELF", "cancel", "hand_over", "late", "order", "receive", "wrong"]

State = Replacement.State
wrong = wrong_parts.wrong


@transaction.atomic
def order(
    actor: Actor,
    *,
    act: UUID,
    replacements: Sequence[int],
    expected_on: date,
    reference: str = "",
    supplier: str = "",
) -> list[Replacement]:
    """Order several assemblies of one supplier, one piece for each, under one number of our own.

    `supplier` is needed only for lines that name none; `reference` is the supplier's. Raises
    Refusal for lines of two suppliers, for a day in the past, and Clash when one was ordered
    meanwhile.
    """
    keys = list(dict.fromkeys(replacements))
    rows = Replacement.objects.of(actor).filter(pk__in=keys).select_related("component")
    if not keys or len(rows) != len(keys):
        part_rows.take(actor, keys, {State.TO_ORDER})  # says what is wrong with them
    names = {row.supplier or supplier.strip() for row in rows}
    if len(names) > 1:
        several = ", ".join(sorted(name or "no supplier named" for name in names))
        raise Refusal(f"One order goes to one supplier. These are for {several}.")
    if "" in names:
        raise Refusal("Type the supplier; one of these assemblies names none.", field="supplier")
    by_number: dict[str, list[Replacement]] = defaultdict(list)
    for row in rows:
        by_number[row.part_number].append(row)
    lines = [
        supply.Wanted(
            number,
            len(own),
            unit_cost=own[0].cost or Decimal(0),
            replacements=tuple(row.pk for row in own),
        )
        for number, own in by_number.items()
    ]
    supply.place(
        actor,
        act=act,
        supplier=names.pop(),
        lines=lines,
        expected_on=expected_on,
        their_reference=reference,
    )
    return list(Replacement.objects.filter(pk__in=keys).order_by("pk"))


@transaction.atomic
def receive(
    actor: Actor, *, act: UUID, replacements: Sequence[int], hand_over: bool = False
) -> list[Replacement]:
    """Book assemblies in for their jobs; one not yet ordered is taken from our own shelf.

    With `hand_over`, each job whose last assembly this was goes on to the Bay in the same act.
    Raises Refusal when too few lie free on the shelf.
    """
    acts.claim(actor, act, "receive parts", sent=sorted(replacements))
    must(actor, Permit.RECEIVE_PARTS)
    rows = part_rows.take(actor, replacements, {State.TO_ORDER, State.ORDERED})
    lines = part_rows.lock_lines(row.supply_line_id for row in rows)
    jobs = {row.complaint.order_id for row in rows}
    stock.lock_ahead(actor.workshop, jobs, [row.part_number for row in rows])
    by_line: dict[int, list[Replacement]] = defaultdict(list)
    for row in sorted(rows, key=lambda row: row.part_number):
        if row.state == State.TO_ORDER:
            take_from_shelf(actor, row)
        elif row.supply_line_id is not None:
            by_line[row.supply_line_id].append(row)
    for pk, own in by_line.items():
        line = lines[pk]
        if len(own) > line.awaited:
            raise Clash(f"Of {line.part_number}, {line.awaited} are awaited on {line.order}.")
        book_line(actor, line, Came(line.pk, line.revision, good=len(own)), own, "")
    part_rows.hand_what_is_awaited_at_the_bay(actor, rows)
    if hand_over:
        part_rows.hand_over_complete(actor, rows)
    return rows


@transaction.atomic
def hand_over(actor: Actor, *, act: UUID, order: RepairOrder, revision: int) -> None:
    """Everything of the job is here: give it to the Bay."""
    moves.move(actor, order, Move.ASSEMBLY_HERE, act=act, revision=revision)


@transaction.atomic
def late(
    actor: Actor, *, act: UUID, replacement: Replacement, expected_on: date, because: str
) -> None:
    """An ordered assembly comes on another day, and so does all that is awaited with it."""
    acts.claim(actor, act, "part late", about=replacement)
    must(actor, Permit.ORDER_PARTS)
    (row,) = part_rows.take(actor, [replacement.pk], {State.ORDERED})
    part_rows.check_day(expected_on)
    why = part_rows.reason(because)
    for line in part_rows.lock_lines([row.supply_line_id]).values():
        new_day(actor, line, expected_on, why)


@transaction.atomic
def cancel(actor: Actor, *, act: UUID, replacement: Replacement, because: str) -> None:
    """Take an assembly off the job for good: what lies here for it is free again.

    A piece that is on its way still comes, for the shelf, unless its line is cancelled too.
    Raises Refusal when it is fitted already.
    """
    acts.claim(actor, act, "cancel part", about=replacement)
    must(actor, Permit.ORDER_PARTS)
    states = {State.PROPOSED, State.TO_ORDER, State.ORDERED, State.RECEIVED}
    (row,) = part_rows.take(actor, [replacement.pk], states)
    row.cancelled_because = part_rows.reason(because)
    before = row.get_state_display()
    if row.state == State.RECEIVED:
        stock.let_go(actor, row, row.cancelled_because)
    part_rows.put(row, State.CANCELLED)
    words = f"cancelled {assembly_text(row)}, which was {before}"
    part_rows.say(actor, row, words, row.cancelled_because)
