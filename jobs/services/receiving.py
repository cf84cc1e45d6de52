"""Booking in what a supplier brought: good pieces to jobs and shelf, bad ones back again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.models import (
    RepairOrder,
    Replacement,
    StockItem,
    SupplyLine,
    SupplyOrder,
    SupplyReceipt,
    SupplyReturn,
)
from jobs.queries.estimate import assembly_text
from jobs.services import part_rows, stock
from jobs.services.supply import MOST_COST
from jobs.services.supply_changes import check_seen, cut_back, lock_all, step
from jobs.services.supply_returns import send_back
from jobs.stages import counted
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import cents
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

State = Replacement.State
Found = SupplyReceipt.Found
Why = SupplyReturn.Why


@dataclass(frozen=True, slots=True)
class Came:
    """What came on one line, which the clerk saw at `revision`.

    `again`: the supplier sends wrong and damaged pieces anew; else he credits them and that many
    are awaited no longer. `unit_cost` only where it differs from what was ordered.
    """

    line: int
    revision: int
    good: int = 0
    wrong: int = 0
    damaged: int = 0
    again: bool = True
    unit_cost: Decimal | None = None
    because: str = ""

    @property
    def pieces(self) -> int:
        return self.good + self.wrong + self.damaged


@dataclass(frozen=True, slots=True)
class BookedIn:
    """`rows` are the assemblies that came for jobs, `shelved` the pieces left for the shelf."""

    rows: tuple[Replacement, ...]
    shelved: int
    handed_over: tuple[RepairOrder, ...]


@transaction.atomic
def receive(
    actor: Actor,
    *,
    act: UUID,
    order: SupplyOrder,
    lines: Sequence[Came],
    delivery_note: str = "",
    hand_over: bool = False,
) -> BookedIn:
    """Book in one delivery of an order, in part or whole.

    Good pieces go to the jobs that wait, the earliest promise first, the rest onto the shelf.
    With `hand_over`, each job that is complete by this goes on to the Bay in the same act.
    Raises Refusal for more than is awaited, Clash when a line changed since it was seen.
    """
    acts.claim(actor, act, "receive supply order", about=order)
    must(actor, Permit.RECEIVE_PARTS)
    came = _checked(lines)
    keys = [one.line for one in came]
    lock_all(keys)
    held = part_rows.lock_lines(keys)
    _check_order(actor, order, held, keys)
    for one in came:
        check_seen(held[one.line], one.revision)
        _check_awaited(held[one.line], one)
    waiting = part_rows.waiting_on(held.values())
    jobs = {row.complaint.order_id for own in waiting.values() for row in own}
    stock.lock_ahead(actor.workshop, jobs, [line.part_number for line in held.values()])
    rows: list[Replacement] = []
    shelved = 0
    for one in sorted(came, key=lambda one: held[one.line].part_key):
        line = held[one.line]
        mine = waiting[line.pk][: one.good]
        book_line(actor, line, one, mine, delivery_note.strip()[:60])
        rows += mine
        shelved += one.good - len(mine)
    _say(actor, held, came, delivery_note)
    part_rows.hand_what_is_awaited_at_the_bay(actor, rows)
    handed = part_rows.hand_over_complete(actor, rows) if hand_over else []
    return BookedIn(tuple(rows), shelved, tuple(handed))


def book_line(
    actor: Actor, line: SupplyLine, came: Came, rows: Sequence[Replacement], delivery_note: str
) -> None:
    """One locked line: receipts, stock, the jobs in `rows`, and what goes back."""
    cost = cents(line.unit_cost if came.unit_cost is None else came.unit_cost)
    note = came.because.strip()[:200]
    bad = [(Found.WRONG, Why.WRONG, came.wrong), (Found.DAMAGED, Why.DAMAGED, came.damaged)]
    for found, quantity in [(Found.GOOD, came.good), *((found, n) for found, _, n in bad)]:
        if quantity:
            _receipt(actor, line, found, quantity, delivery_note, note)
    for _, why, quantity in bad:
        if quantity:
            send_back(actor, line, why, quantity, cost, note)
    rejected = came.wrong + came.damaged
    step(line, received=came.good, cancelled=0 if came.again else rejected)
    if came.good:
        _into_stock(actor, line, came.good, cost, len(rows))
    for row in rows:
        row.received_at, row.cost = clock.now(), cost
        part_rows.put(row, State.RECEIVED)
        part_rows.say(actor, row, f"booked in {assembly_text(row)}, {line.order}")
    if rejected and not came.again:
        cut_back(actor, line, note or "what came was not good")


def average_cost(item: StockItem, pieces: int, cost: Decimal) -> Decimal:
    """The moving average: what lies there at its cost, and the new pieces at theirs."""
    worth = item.unit_cost * item.on_hand + cost * pieces
    return cents(worth / (item.on_hand + pieces))


def _into_stock(actor: Actor, line: SupplyLine, pieces: int, cost: Decimal, reserved: int) -> None:
    item = stock.item_for(
        line.workshop,
        line.part_number,
        text=line.text,
        component=line.component,
        supplier=line.order.supplier,
        unit_cost=cost,
    )
    averaged = average_cost(item, pieces, cost)
    if averaged != item.unit_cost:
        StockItem.objects.filter(pk=item.pk).update(unit_cost=averaged)
    stock.post(
        actor,
        item,
        stock.Kind.RECEIVED,
        pieces,
        unit_cost=cost,
        reserve=reserved,
        line=line,
        because=str(line.order),
    )


def _receipt(
    actor: Actor, line: SupplyLine, found: str, quantity: int, delivery_note: str, note: str
) -> None:
    SupplyReceipt.objects.create(
        workshop=line.workshop,
        line=line,
        found=found,
        quantity=quantity,
        at=clock.now(),
        by=actor.user,
        delivery_note=delivery_note,
        note=note if found != Found.GOOD else "",
    )


def _checked(lines: Sequence[Came]) -> list[Came]:
    for one in lines:
        if min(one.good, one.wrong, one.damaged) < 0:
            raise Refusal("A number of pieces is nought or more.")
        if one.unit_cost is not None and not 0 <= one.unit_cost <= MOST_COST:
            raise Refusal("A cost is nought or more, below 100 million.")
    came = [one for one in lines if one.pieces]
    if not came:
        raise Refusal("Type how many came, good, wrong or damaged, on at least one line.")
    if len({one.line for one in came}) != len(came):
        raise Refusal("One line stands twice in what was sent. Load the page again.")
    return came


def _check_order(
    actor: Actor, order: SupplyOrder, held: dict[int, SupplyLine], keys: list[int]
) -> None:
    own = SupplyOrder.objects.of(actor).filter(pk=order.pk).first()
    strange = [pk for pk in keys if pk not in held or held[pk].order_id != order.pk]
    if own is None or strange:
        raise Refusal("One of these lines is not on this order any more. Load the page again.")
    if own.voided_at:
        raise Refusal(
            f"{own} was voided. If it came all the same, refuse the delivery, or order it anew "
            "and book it in there."
        )


def _check_awaited(line: SupplyLine, came: Came) -> None:
    if came.pieces > line.awaited:
        more = came.pieces - line.awaited
        raise Refusal(
            f"Of {line.part_number}, {counted(line.awaited, 'piece is', 'pieces are')} awaited and "
            f"{came.pieces} are to be booked in. Nothing was booked in: take {more} off, and send "
            "back what nobody ordered, or order it anew and book it in there."
        )


def _say(
    actor: Actor, held: dict[int, SupplyLine], came: Sequence[Came], delivery_note: str
) -> None:
    said = []
    for one in came:
        bad = [f"{n} {word}" for n, word in ((one.wrong, "wrong"), (one.damaged, "damaged")) if n]
        good = [f"{one.good} good"] if one.good else []
        said.append(f"{held[one.line].part_number}: {', '.join(good + bad)}")
    order = held[came[0].line].order
    note = f", delivery note {delivery_note.strip()}" if delivery_note.strip() else ""
    part_rows.say_of_order(actor, order.pk, f"booked in from {order}: {'; '.join(said)}{note}")
