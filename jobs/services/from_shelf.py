"""Taking what a job needs from our own shelf, in one touch."""

from __future__ import annotations

from jobs.models import Replacement, StockItem
from jobs.queries.estimate import assembly_text
from jobs.queries.living_parts import parts_of
from jobs.services import part_rows, stock
from jobs.supersession import living_number, normal
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal

OWN_SHELF = "our own shelf"


def take_from_shelf(actor: Actor, row: Replacement) -> None:
    """Keep a free piece for this assembly: of its own number, or of the one it became.

    Call within a transaction, with the row locked. Raises Refusal when none lies free.
    """
    item = _free_item(row)
    if item is None:
        raise Refusal(
            f"No {row.part_number} lies free on the shelf. If one is there, count it on the "
            "Stock page first; else order it."
        )
    stock.reserve(item)
    row.part_number = item.part_number
    row.order_reference, row.received_at = OWN_SHELF, clock.now()
    row.cost = item.unit_cost or row.cost
    part_rows.put(row, Replacement.State.RECEIVED)
    part_rows.say(actor, row, f"booked in {assembly_text(row)} from {OWN_SHELF}")


def _free_item(row: Replacement) -> StockItem | None:
    known = parts_of({row.component_id}).get(row.component_id, ())
    living = living_number(known, row.part_number)
    keys = [normal(row.part_number), *([normal(living.number)] if living else [])]
    items = StockItem.objects.filter(workshop=row.workshop_id, part_key__in=keys)
    free = {item.part_key: item for item in items if item.free > 0}
    return next((free[key] for key in keys if key in free), None)
