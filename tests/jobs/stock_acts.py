"""What the people at the Counter may do at any moment, each chosen by numbers.

Every act picks its things by counting round those that are there, so that any list of numbers is
a morning at the Counter. A refusal is an answer; any other error is a fault of the product.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.db.models import QuerySet

from jobs.models import (
    RepairOrder,
    Replacement,
    StockItem,
    Supplier,
    SupplyLine,
    SupplyOrder,
    SupplyReturn,
)
from jobs.services import (
    moves,
    parts,
    receiving,
    shelf,
    stock,
    supply,
    supply_changes,
    supply_returns,
)
from jobs.services.receiving import Came
from jobs.services.supply import Wanted
from jobs.stages import CLOSED, Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Workshop
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew, bring_to

State = Replacement.State
NUMBERS = ("PL2-20-214", "ST-100", "ST-200")


@dataclass(frozen=True)
class Choice:
    """Three numbers that say which thing, which other thing, and how many."""

    one: int
    two: int
    many: int


@transaction.atomic
def a_counter(crew: Crew, *, jobs: int) -> None:
    """Jobs that wait for three assemblies each, of three numbers, and a few pieces on the shelf."""
    vehicle = a_vehicle(crew.manager)
    for _ in range(jobs):
        order = a_repair_order(crew.manager, vehicle=vehicle, technician=crew.technician)
        bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
        first = Replacement.objects.get(complaint__order=order)
        for number in NUMBERS[1:]:
            Replacement.objects.create(
                workshop=order.workshop,
                complaint=first.complaint,
                component=first.component,
                part_number=number,
                price=Decimal("80.00"),
                state=State.TO_ORDER,
                state_since=clock.now(),
                supplier="Northway",
            )
    Supplier.objects.get_or_create(workshop=crew.counter.workshop, name="Northway")
    for number in NUMBERS:
        item = stock.item_for(crew.counter.workshop, number, text="a part")
        stock.post(crew.counter, item, stock.Kind.COUNTED, 2)


def do(actor: Actor, name: str, choice: Choice) -> str:
    """Do one act: "done", "refused", or "nothing" when there is nothing to do it to."""
    try:
        return "nothing" if ACTS[name](actor, choice) is NOTHING else "done"
    except Refusal as refusal:
        assert refusal.sentence.strip().endswith((".", "!", "?"))
        return "refused"


NOTHING = object()


def _pick(rows: QuerySet[Any], at: int) -> Any:
    keys = list(rows.order_by("pk").values_list("pk", flat=True))
    return rows.get(pk=keys[at % len(keys)]) if keys else None


def _rows(workshop: Workshop, *states: str) -> QuerySet[Any]:
    return Replacement.objects.filter(workshop=workshop, state__in=states)


def _lines(workshop: Workshop) -> QuerySet[Any]:
    return SupplyLine.objects.filter(workshop=workshop, awaited__gt=0)


def _tomorrow() -> Any:
    return clock.today() + timedelta(days=1)


def place(actor: Actor, choice: Choice) -> object:
    """Some jobs' assemblies of one number, and a few for the shelf."""
    number = NUMBERS[choice.one % len(NUMBERS)]
    rows = _rows(actor.workshop, State.TO_ORDER).filter(part_number=number).order_by("pk")
    keys = list(rows.values_list("pk", flat=True))[: choice.two % 4]
    quantity = len(keys) + choice.many % 3
    line = Wanted(number, quantity, Decimal("41.35"), replacements=tuple(keys))
    return supply.place(
        actor, act=uuid4(), supplier="Northway", lines=[line], expected_on=_tomorrow()
    )


def receive(actor: Actor, choice: Choice) -> object:
    """Some of what is awaited comes, and of that some wrong or damaged; at times too much."""
    line = _pick(_lines(actor.workshop), choice.one)
    if line is None:
        return NOTHING
    came = Came(
        line.pk,
        line.revision,
        good=choice.many % 4,
        wrong=choice.two % 2,
        damaged=choice.two // 2 % 2,
        again=choice.one % 2 == 0,
    )
    return receiving.receive(
        actor, act=uuid4(), order=line.order, lines=[came], hand_over=choice.many % 2 == 1
    )


def receive_for_jobs(actor: Actor, choice: Choice) -> object:
    """From the shelf or from what is on its way, whole jobs at once."""
    row = _pick(_rows(actor.workshop, State.TO_ORDER, State.ORDERED), choice.one)
    if row is None:
        return NOTHING
    same = _rows(actor.workshop, State.TO_ORDER, State.ORDERED).filter(
        complaint__order=row.complaint.order
    )
    keys = list(same.values_list("pk", flat=True)) if choice.two % 2 else [row.pk]
    return parts.receive(actor, act=uuid4(), replacements=keys, hand_over=choice.many % 2 == 1)


def wrong(actor: Actor, choice: Choice) -> object:
    row = _pick(_rows(actor.workshop, State.ORDERED, State.RECEIVED), choice.one)
    if row is None:
        return NOTHING
    return parts.wrong(
        actor,
        act=uuid4(),
        replacement=row,
        because="left-hand unit sent",
        expected_on=_tomorrow(),
        again=choice.two % 2 == 0,
        damaged=choice.many % 2 == 0,
    )


def cancel(actor: Actor, choice: Choice) -> object:
    live = (State.TO_ORDER, State.ORDERED, State.RECEIVED)
    row = _pick(_rows(actor.workshop, *live), choice.one)
    if row is None:
        return NOTHING
    return parts.cancel(actor, act=uuid4(), replacement=row, because="repaired instead")


def cancel_line(actor: Actor, choice: Choice) -> object:
    line = _pick(_lines(actor.workshop), choice.one)
    if line is None:
        return NOTHING
    return supply_changes.cancel_line(
        actor,
        act=uuid4(),
        line=line,
        revision=line.revision,
        quantity=1 + choice.many % 3,
        because="no longer made",
    )


def void_supply(actor: Actor, choice: Choice) -> object:
    order = _pick(SupplyOrder.objects.of(actor), choice.one)
    if order is None:
        return NOTHING
    return supply_changes.void(actor, act=uuid4(), order=order, because="typed twice")


def wait_for(actor: Actor, choice: Choice) -> object:
    row = _pick(_rows(actor.workshop, State.TO_ORDER), choice.one)
    line = row and _pick(_lines(actor.workshop).filter(part_number=row.part_number), choice.two)
    if not line:
        return NOTHING
    return supply.wait_for(actor, act=uuid4(), replacement=row, line=line)


def count(actor: Actor, choice: Choice) -> object:
    item = _pick(StockItem.objects.of(actor), choice.one)
    return shelf.count(
        actor,
        act=uuid4(),
        item=item,
        revision=item.revision,
        seen=item.on_hand,
        counted=max(0, item.on_hand + choice.many % 5 - 2),
        because="counted on Friday",
    )


def send_back(actor: Actor, choice: Choice) -> object:
    item = _pick(StockItem.objects.of(actor), choice.one)
    supplier = Supplier.objects.of(actor).get(name="Northway")
    return supply_returns.open_from_shelf(
        actor,
        act=uuid4(),
        item=item,
        supplier=supplier,
        quantity=1 + choice.many % 2,
        because="never asked for",
    )


def credited(actor: Actor, choice: Choice) -> object:
    back = _pick(SupplyReturn.objects.of(actor), choice.one)
    if back is None:
        return NOTHING
    if back.sent_at is None:
        return supply_returns.sent(actor, act=uuid4(), back=back, reference="parcel 4")
    return supply_returns.credited(
        actor, act=uuid4(), back=back, amount=back.credit_expected, credit_note="CN 7"
    )


def hand_over(actor: Actor, choice: Choice) -> object:
    order = _open_job(actor, choice)
    return parts.hand_over(actor, act=uuid4(), order=order, revision=order.revision)


def take_back(actor: Actor, choice: Choice) -> object:
    """The Bay finds that something is not right, and the job waits again."""
    return _move(actor, _open_job(actor, choice), Move.WRONG_ASSEMBLY)


def void_job(actor: Actor, choice: Choice) -> object:
    """Seldom: one number in three lets the job live."""
    if choice.many % 3 == 0:
        return NOTHING
    return _move(actor, _open_job(actor, choice), Move.VOID)


def _open_job(actor: Actor, choice: Choice) -> Any:
    closed = [stage.value for stage in CLOSED]
    found = _pick(RepairOrder.objects.of(actor).exclude(stage__in=closed), choice.one)
    if found is None:
        raise Refusal("No job is open.")
    return found


def _move(actor: Actor, order: RepairOrder, which: Move) -> object:
    return moves.move(
        actor, order, which, act=uuid4(), revision=order.revision, reason="taken by mistake"
    )


ACTS: dict[str, Callable[[Actor, Choice], object]] = {
    act.__name__: act
    for act in (
        place,
        receive,
        receive_for_jobs,
        wrong,
        cancel,
        cancel_line,
        void_supply,
        wait_for,
        count,
        send_back,
        credited,
        hand_over,
        take_back,
        void_job,
    )
}
