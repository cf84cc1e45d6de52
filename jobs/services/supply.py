"""Orders to suppliers: placed, put off, cut, voided. What comes of them is in receiving.py."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from diagnostics.models import Component
from jobs.models import Replacement, Supplier, SupplyLine, SupplyOrder
from jobs.queries.estimate import assembly_text
from jobs.services import part_rows
from jobs.services.numbers import next_number
from jobs.services.suppliers import supplier_for
from jobs.supersession import normal
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import cents
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

State = Replacement.State
MOST = 9999
MOST_COST = Decimal("99999999.99")


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line to order: what the jobs in `replacements` do not take is for the shelf."""

    part_number: str
    quantity: int
    unit_cost: Decimal = Decimal(0)
    text: str = ""
    component: Component | None = None
    replacements: tuple[int, ...] = ()


@transaction.atomic
def place(
    actor: Actor,
    *,
    act: UUID,
    supplier: Supplier | str,
    lines: Sequence[Wanted],
    expected_on: date,
    their_reference: str = "",
    note: str = "",
    seen: Sequence[int] = (),
    sent: Iterable[object] = (),
) -> SupplyOrder:
    """Order these lines under a number of our own, and let the jobs wait for them.

    `seen` are the assemblies that waited when the quantities were typed: all must wait still.
    `sent` is the form as it was sent: sent again, its lines can no longer be told from the jobs.

    Where fewer are ordered than jobs ask, the earliest promises are served; the others stay to
    order. Raises Refusal for a day in the past, a quantity or cost that is none, a part number
    that stands twice; Clash when one of the assemblies was ordered meanwhile.
    """
    acts.claim(actor, act, "place supply order", sent=sent)
    must(actor, Permit.ORDER_PARTS)
    keys = [pk for line in lines if line.quantity for pk in line.replacements]
    both = {*keys, *seen}
    rows = {row.pk: row for row in part_rows.take(actor, [*both], {State.TO_ORDER})} if both else {}
    wanted = _checked(lines)
    part_rows.check_day(expected_on)
    whom = _supplier(actor, supplier)
    serial = next_number(actor.workshop, "supply")
    order: SupplyOrder = SupplyOrder.objects.create(
        workshop=actor.workshop,
        serial=serial,
        number=f"{actor.workshop.order_prefix}S{serial}",
        supplier=whom,
        their_reference=their_reference.strip()[:60],
        expected_on=expected_on,
        placed_at=clock.now(),
        placed_by=actor.user,
        note=note.strip(),
    )
    for line in wanted:
        _add(actor, order, line, [rows[pk] for pk in line.replacements])
    pieces = sum(line.quantity for line in wanted)
    what = "1 piece" if pieces == 1 else f"{pieces} pieces"
    part_rows.say_of_order(actor, order.pk, f"ordered {what} from {whom.name}, {order.number}")
    return order


def join(row: Replacement, line: SupplyLine) -> None:
    """This assembly waits for that line from now on."""
    row.supplier = line.order.supplier.name
    row.order_reference = line.order.their_reference or line.order.number
    row.part_number = line.part_number
    row.ordered_at, row.expected_on = line.order.placed_at, line.expected_on
    row.supply_line = line
    row.cost = line.unit_cost or row.cost
    part_rows.put(row, State.ORDERED)


@transaction.atomic
def wait_for(actor: Actor, *, act: UUID, replacement: Replacement, line: SupplyLine) -> None:
    """A piece that is on its way and promised to no job is promised to this one."""
    acts.claim(actor, act, "wait for supply line", about=(replacement, line))
    must(actor, Permit.ORDER_PARTS)
    part_rows.lock_jobs([replacement.complaint.order_id])
    held = part_rows.lock_lines([line.pk]).get(line.pk)
    (row,) = part_rows.take(actor, [replacement.pk], {State.TO_ORDER})
    if held is None or held.workshop_id != actor.workshop.pk:
        raise Refusal("That order is not in this workshop’s list any more.")
    if held.awaited <= len(part_rows.waiting_on([held])[held.pk]):
        raise Clash(f"Every {held.part_number} of {held.order} is promised to a job by now.")
    join(row, held)
    part_rows.say(actor, row, f"keeps for this job {assembly_text(row)} from {held.order}")


def _add(actor: Actor, order: SupplyOrder, wanted: Wanted, rows: list[Replacement]) -> None:
    rows.sort(key=part_rows.by_promise)
    first = rows[0] if rows else None
    component = wanted.component or (first.component if first else None)
    line = SupplyLine.objects.create(
        workshop=order.workshop,
        order=order,
        component=component,
        part_number=wanted.part_number,
        part_key=normal(wanted.part_number),
        text=(wanted.text or str(component or wanted.part_number))[:160],
        quantity=wanted.quantity,
        awaited=wanted.quantity,
        unit_cost=cents(wanted.unit_cost),
        expected_on=order.expected_on,
    )
    for row in rows[: wanted.quantity]:
        before = row.part_number
        join(row, line)
        became = f" in place of {before}" if before != row.part_number else ""
        theirs = f", {order.their_reference}" if order.their_reference else ""
        part_rows.say(
            actor,
            row,
            f"ordered {assembly_text(row)}{became} from {row.supplier}, {order.number}{theirs}",
        )


def _supplier(actor: Actor, supplier: Supplier | str) -> Supplier:
    if isinstance(supplier, str):
        return supplier_for(actor.workshop, supplier)
    if supplier.workshop_id != actor.workshop.pk:
        raise Refusal("That supplier is not in this workshop’s list any more.", field="supplier")
    return supplier


def _checked(lines: Sequence[Wanted]) -> list[Wanted]:
    """The lines with something to order. A line of nought is left out, not refused."""
    wanted = [line for line in lines if line.quantity != 0]
    if not wanted:
        raise Refusal("Nothing is to be ordered: choose at least one assembly.")
    seen: set[str] = set()
    for line in wanted:
        number, key = line.part_number.strip(), normal(line.part_number)
        if not key or len(number) > 40:
            raise Refusal("A part number has between 1 and 40 signs.", field="part_number")
        if key in seen:
            raise Refusal(f"{number} stands twice in this order; put both into one line.")
        seen.add(key)
        if not 0 < line.quantity <= MOST:
            raise Refusal(f"Of {number} order between 1 and {MOST} pieces.")
        if not 0 <= line.unit_cost <= MOST_COST:
            raise Refusal(f"The cost of {number} is nought or more, below 100 million.")
    return wanted
