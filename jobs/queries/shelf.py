"""What lies on the shelf, for whom, and how it came there. Nothing here writes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.http import Http404

from jobs.models import Replacement, StockItem, StockMovement, SupplyLine
from jobs.supersession import normal
from shop.actor import Actor
from shop.money import line_total, total

LOW = "low"


def items(actor: Actor, text: str = "", *, low: bool = False) -> QuerySet[StockItem]:
    """By any part of the number or of the words, in the order of the numbers.

    Each carries `on_order`, what suppliers still owe, and `spare`, what is free or on its way for
    no job. `low`: only those of which less is spare than is to be kept.
    """
    rows = _with_orders(actor)
    if text:
        fits = Q(text__icontains=text) | Q(place__icontains=text)
        if key := normal(text):
            fits |= Q(part_key__contains=key)
        rows = rows.filter(fits)
    if low:
        rows = rows.filter(target__gt=F("spare"))
    return rows.select_related("supplier").order_by("part_key")


def _with_orders(actor: Actor) -> QuerySet[StockItem]:
    rows: QuerySet[StockItem] = StockItem.objects.of(actor).annotate(
        on_order=_on_order(),
        spare=F("on_hand") - F("reserved") + F("on_order") - _promised(),
    )
    return rows


def _promised() -> Coalesce:
    """Pieces that are on their way for a job, and so not for the shelf."""
    waiting = (
        Replacement.objects.filter(
            state=Replacement.State.ORDERED,
            supply_line__workshop=OuterRef("workshop"),
            supply_line__part_key=OuterRef("part_key"),
            supply_line__awaited__gt=0,
        )
        .order_by()
        .values("supply_line__part_key")
        .annotate(pieces=Count("pk"))
        .values("pieces")
    )
    return Coalesce(Subquery(waiting, output_field=IntegerField()), 0)


def _on_order() -> Coalesce:
    awaited = (
        SupplyLine.objects.filter(
            workshop=OuterRef("workshop"),
            part_key=OuterRef("part_key"),
            awaited__gt=0,
            order__voided_at__isnull=True,
        )
        .order_by()
        .values("part_key")
        .annotate(pieces=Sum("awaited"))
        .values("pieces")
    )
    return Coalesce(Subquery(awaited, output_field=IntegerField()), 0)


def get_item(actor: Actor, pk: int) -> StockItem:
    """One part of this workshop's shelf, or 404."""
    item: StockItem | None = (
        items(actor).select_related("component", "supplier").filter(pk=pk).first()
    )
    if item is None:
        raise Http404
    return item


def value_of(item: StockItem) -> Decimal:
    return line_total(item.on_hand, item.unit_cost)


def value_on_shelf(actor: Actor) -> Decimal:
    """What lies here at its cost. One query, one row a part; money is never added in SQL."""
    rows = StockItem.objects.of(actor).filter(on_hand__gt=0)
    pieces = rows.order_by().values_list("on_hand", "unit_cost")
    return total(line_total(on_hand, cost) for on_hand, cost in pieces)


@dataclass(frozen=True, slots=True)
class Counts:
    parts: int
    low: int


def counts(actor: Actor) -> Counts:
    found = _with_orders(actor).aggregate(
        parts=Count("pk"), low=Count("pk", filter=Q(target__gt=F("spare")))
    )
    return Counts(found["parts"], found["low"])


def movements_of(item: StockItem) -> QuerySet[StockMovement]:
    """Newest first, with what each belongs to."""
    return item.movements.select_related(
        "by", "replacement__complaint__order", "line__order"
    ).order_by("-pk")


def lies_for(item: StockItem) -> tuple[Replacement, ...]:
    """The assemblies of jobs for which a piece lies here. Two queries.

    Numbers are compared as they are kept on the shelf, without spaces and hyphens.
    """
    here = Replacement.objects.filter(
        workshop=item.workshop_id, state=Replacement.State.RECEIVED, handed_at__isnull=True
    )
    keys = [
        pk
        for pk, number in here.values_list("pk", "part_number")
        if normal(number) == item.part_key
    ]
    rows = Replacement.objects.filter(pk__in=keys).select_related(
        "complaint__order__vehicle", "component"
    )
    return tuple(rows.order_by("complaint__order__promised_at", "pk"))
