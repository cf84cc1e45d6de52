"""The only place that moves stock: each call writes a movement and the count that follows it.

Call within a transaction. Items are locked in the order of their keys, so that two clerks who
move several parts at once wait for each other instead of for ever.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import F

from diagnostics.models import Component
from jobs.models import Replacement, StockItem, StockMovement, Supplier, SupplyLine
from jobs.supersession import normal
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Workshop

Kind = StockMovement.Kind


def item_for(
    workshop: Workshop,
    part_number: str,
    *,
    text: str,
    component: Component | None = None,
    supplier: Supplier | None = None,
    unit_cost: Decimal | None = None,
) -> StockItem:
    """The row of this part number, made when there is none, and locked."""
    key = normal(part_number)
    rows = StockItem.objects.select_for_update().filter(workshop=workshop, part_key=key)
    found = rows.first()
    if found is None:
        try:
            with transaction.atomic():
                StockItem.objects.create(
                    workshop=workshop,
                    part_number=part_number.strip().upper(),
                    part_key=key,
                    text=text,
                    component=component,
                    supplier=supplier,
                    unit_cost=unit_cost or Decimal(0),
                )
        except IntegrityError:
            pass  # another clerk made it in the same moment
        found = rows.get()
    item: StockItem = found
    return item


def lock_ahead(workshop: Workshop, orders: Iterable[int], part_numbers: Iterable[str]) -> None:
    """Lock every item that an act on these jobs and numbers may move, in the order of their keys.

    For acts that move some pieces, and then what else lies here for the same jobs: two of them
    whose parts cross would otherwise each hold what the other one waits for.
    """
    here = Replacement.objects.filter(
        complaint__order__in=set(orders), state=Replacement.State.RECEIVED
    ).values_list("part_number", flat=True)
    keys = {normal(number) for number in (*here, *part_numbers)}
    rows = StockItem.objects.select_for_update().filter(workshop=workshop, part_key__in=keys)
    list(rows.order_by("part_key").values_list("pk"))


def post(
    actor: Actor,
    item: StockItem,
    kind: str,
    quantity: int,
    *,
    because: str = "",
    unit_cost: Decimal | None = None,
    reserve: int = 0,
    replacement: Replacement | None = None,
    line: SupplyLine | None = None,
) -> StockMovement:
    """Move `quantity` (signed) pieces, and what is reserved by `reserve`, both at once.

    Raises Refusal when that would take more than lies there, or what lies there for a job.
    """
    row: StockItem = StockItem.objects.select_for_update().get(pk=item.pk)
    on_hand, reserved = row.on_hand + quantity, row.reserved + reserve
    if on_hand < 0 or reserved < 0 or reserved > on_hand:
        raise Refusal(_too_few(row))
    StockItem.objects.filter(pk=row.pk).update(
        on_hand=F("on_hand") + quantity, reserved=F("reserved") + reserve
    )
    item.on_hand, item.reserved = on_hand, reserved
    moved: StockMovement = StockMovement.objects.create(
        workshop_id=row.workshop_id,
        item=row,
        kind=kind,
        quantity=quantity,
        balance=on_hand,
        unit_cost=row.unit_cost if unit_cost is None else unit_cost,
        at=clock.now(),
        by=actor.user,
        because=because[:200],
        replacement=replacement,
        line=line,
    )
    return moved


def reserve(item: StockItem, pieces: int = 1) -> None:
    """Keep pieces that lie free for a job. Raises Refusal when too few do."""
    row: StockItem = StockItem.objects.select_for_update().get(pk=item.pk)
    if not 0 <= row.reserved + pieces <= row.on_hand:
        raise Refusal(_too_few(row))
    StockItem.objects.filter(pk=row.pk).update(reserved=F("reserved") + pieces)
    item.reserved, item.on_hand = row.reserved + pieces, row.on_hand


def hand(actor: Actor, replacements: Iterable[Replacement]) -> None:
    """Give what lies here for these jobs to the Bay: one movement a piece."""
    rows = [row for row in replacements if row.handed_at is None]
    for row in sorted(rows, key=lambda one: normal(one.part_number)):
        item = _item_of(row)
        post(actor, item, Kind.HANDED, -1, reserve=-1, replacement=row)
        row.handed_at, row.handed_by = clock.now(), actor.user
        row.save(update_fields=["handed_at", "handed_by"])


def let_go(actor: Actor, replacement: Replacement, because: str) -> StockItem:
    """A job does not take its piece after all: it lies on the shelf again, free."""
    item = _item_of(replacement)
    if replacement.handed_at is None:
        reserve(item, -1)
    else:
        post(actor, item, Kind.BACK, 1, because=because, replacement=replacement)
        replacement.handed_at, replacement.handed_by = None, None
        replacement.save(update_fields=["handed_at", "handed_by"])
    return item


def _item_of(replacement: Replacement) -> StockItem:
    return item_for(
        replacement.workshop,
        replacement.part_number,
        text=str(replacement.component),
        component=replacement.component,
        unit_cost=replacement.cost,
    )


def _too_few(row: StockItem) -> str:
    here = f"{row.on_hand} of {row.part_number} on the shelf"
    kept = f", {row.reserved} of them kept for jobs" if row.reserved else ""
    return f"There are {here}{kept}. Count the shelf, or take fewer."
