"""How many of a part this workshop means to keep: one touch, one row, one line in the log."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.db.models import F

from diagnostics.models import PartNumber
from jobs.models import StockItem
from jobs.queries.shelf_position import living_of
from jobs.services.shelf import MOST_TO_KEEP
from jobs.services.stock import item_for
from jobs.services.suppliers import supplier_for
from jobs.supersession import normal
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import cents
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def keep(actor: Actor, *, act: UUID, part_number: str, level: int, seen: int) -> StockItem:
    """Keep so many of this part, free or on order; `seen` is the level that the page showed.

    The level stands at the number that is ordered today: where an older number had one, it moves.
    Raises Refusal for a part that nobody knows and a level that is none, Clash when somebody set
    another level meanwhile.
    """
    acts.claim(actor, act, "keep on shelf", sent=(part_number, level))
    must(actor, Permit.MANAGE_STOCK)
    if not 0 <= level <= MOST_TO_KEEP:
        raise Refusal(f"Keep from 0 to {MOST_TO_KEEP} of a part.")
    item, older = _item(actor, part_number)
    now = max([item.target, *(one.target for one in older)])
    if now != seen:
        raise Clash(
            f"Somebody meanwhile set {now} to keep of {item}. The page shows how it stands now."
        )
    for one in (item, *older):
        _set(one, level if one is item else 0)
    log.write(
        actor,
        kind="stock",
        subject_kind="stock",
        subject_id=item.pk,
        words=f"now keeps {level} of {item} on the shelf, before {now}",
    )
    return item


def _set(item: StockItem, level: int) -> None:
    if item.target != level:
        StockItem.objects.filter(pk=item.pk).update(target=level, revision=F("revision") + 1)
        item.refresh_from_db(fields=["target", "revision"])


def _item(actor: Actor, part_number: str) -> tuple[StockItem, list[StockItem]]:
    """The row of the living number, and those of the numbers before it, locked."""
    key = normal(part_number)
    known = PartNumber.objects.filter(number__iexact=part_number.strip())
    part = known.select_related("component").order_by("retired", "pk").first()
    rows = StockItem.objects.of(actor).select_for_update()
    if part is None:
        found: StockItem | None = rows.filter(part_key=key).first() if key else None
        if found is None:
            raise Refusal("No part of that number is known here. Put it on record under Stock.")
        return found, []
    number, replaced = living_of([part.component_id]).of(part.number)
    item = _made(actor, number, part)
    before = [normal(one) for one in replaced]
    return item, list(rows.filter(part_key__in=before).order_by("part_key"))


def _made(actor: Actor, number: str, fallback: PartNumber) -> StockItem:
    part = (
        PartNumber.objects.filter(component=fallback.component, number=number)
        .select_related("component")
        .first()
    ) or fallback
    return item_for(
        actor.workshop,
        number,
        text=part.component.name,
        component=part.component,
        supplier=supplier_for(actor.workshop, part.supplier) if part.supplier else None,
        unit_cost=None if part.cost is None else cents(part.cost),
    )
