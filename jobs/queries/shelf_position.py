"""What lies free, what comes and what is asked for, by the part number that is ordered today."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Count, Q, QuerySet, Sum

from diagnostics.models import PartNumber
from jobs.models import Complaint, Replacement, StockItem, SupplyLine
from jobs.queries.living_parts import parts_of
from jobs.supersession import CataloguePart, living_number, normal
from shop.actor import Actor

State = Replacement.State


@dataclass(slots=True)
class Position:
    """One living number; pieces of the numbers that it took the place of count with it.

    coming: on order and promised to no job; waiting: asked for by jobs, nothing ordered yet.
    """

    part_key: str
    part_number: str
    text: str = ""
    component_id: int | None = None
    supplier: str = ""
    unit_cost: Decimal = Decimal(0)
    target: int = 0
    on_hand: int = 0
    reserved: int = 0
    coming: int = 0
    waiting: int = 0
    replaced: tuple[str, ...] = ()
    items: list[int] = field(default_factory=list)

    @property
    def free(self) -> int:
        return self.on_hand - self.reserved

    @property
    def spare(self) -> int:
        """Free or coming, once every job that waits has its piece."""
        return max(0, self.free + self.coming - self.waiting)

    @property
    def missing(self) -> int:
        """Pieces to order so that the shelf holds what it is meant to."""
        return max(0, self.target - self.spare)


@dataclass(slots=True)
class Living:
    """Which number is ordered today, asked often for few parts."""

    parts: dict[str, list[CataloguePart]]
    known: dict[str, tuple[str, tuple[str, ...]]] = field(default_factory=dict)

    def of(self, number: str) -> tuple[str, tuple[str, ...]]:
        """The living number and those before it; the number itself when nothing is known."""
        key = normal(number)
        if key not in self.known:
            found = living_number(self.parts.get(key, ()), number)
            self.known[key] = (found.number, found.replaced) if found else (number, ())
        return self.known[key]


def living_of(component_ids: Iterable[int]) -> Living:
    """What the catalogue says of the numbers of these components. One query."""
    parts: dict[str, list[CataloguePart]] = defaultdict(list)
    for own in parts_of(set(component_ids)).values():
        for part in own:
            parts[normal(part.number)].extend(own)
    return Living(parts)


def components_of(items: Iterable[StockItem]) -> set[int]:
    """The components of these items; by their number where nobody said so. One query."""
    keys = {item.component_id for item in items if item.component_id}
    unsaid = [item.part_number for item in items if not item.component_id]
    return keys | set(
        PartNumber.objects.filter(number__in=unsaid).values_list("component", flat=True)
    )


def kept(actor: Actor) -> list[Position]:
    """What this workshop means to keep, by part number. At most six queries."""
    rows = StockItem.objects.of(actor)
    meant = rows.filter(target__gt=0)
    both = rows.filter(Q(target__gt=0) | Q(component__in=meant.values("component")))
    items = list(both.select_related("supplier"))
    living = living_of(components_of(items))
    return [one for one in positions(actor, items, living).values() if one.target]


def positions(
    actor: Actor, items: Iterable[StockItem], living: Living, numbers: Iterable[str] = ()
) -> dict[str, Position]:
    """The items, and `numbers` of which none ever lay here, by the key of their living number.

    Two queries.
    """
    found: dict[str, Position] = {}
    for number in numbers:
        _of(found, living, number)
    for item in items:
        _add(_of(found, living, item.part_number), item)
    for key, pieces in coming(actor).items():
        number, _replaced = living.of(key)
        if normal(number) in found:
            found[normal(number)].coming += pieces
    for part, pieces in _waiting(actor):
        number, _replaced = living.of(part)
        if normal(number) in found:
            found[normal(number)].waiting += pieces
    return found


def coming(actor: Actor) -> dict[str, int]:
    """By key, what is awaited beyond the pieces that are promised to jobs. One query."""
    lines = SupplyLine.objects.of(actor).filter(awaited__gt=0, order__voided_at__isnull=True)
    promised = (
        Replacement.objects.of(actor)
        .filter(state=State.ORDERED, supply_line__awaited__gt=0)
        .order_by()
        .values_list("supply_line__part_key")
        .annotate(Count("pk"))
    )
    free: dict[str, int] = defaultdict(int)
    free.update(dict(_sums(lines)))
    for key, pieces in promised:
        free[key] -= pieces
    return {key: pieces for key, pieces in free.items() if pieces > 0}


def _sums(lines: QuerySet[SupplyLine]) -> Iterable[tuple[str, int]]:
    return lines.order_by().values_list("part_key").annotate(Sum("awaited"))


def _waiting(actor: Actor) -> Iterable[tuple[str, int]]:
    """Counted here: asked to group, SQLite goes through every part number there ever was."""
    rows = (
        Replacement.objects.of(actor)
        .filter(state=State.TO_ORDER, complaint__order__closed_at__isnull=True)
        .exclude(complaint__decision=Complaint.Decision.DECLINED)
        .order_by()
    )
    return Counter(rows.values_list("part_number", flat=True)).items()


def _of(found: dict[str, Position], living: Living, number: str) -> Position:
    now, replaced = living.of(number)
    key = normal(now)
    return found.setdefault(key, Position(key, now, replaced=replaced))


def _add(one: Position, item: StockItem) -> None:
    own = item.part_key == one.part_key
    if own or not one.items:
        one.text, one.supplier = item.text, item.supplier.name if item.supplier else ""
        one.component_id, one.unit_cost = item.component_id, item.unit_cost
    one.target = max(one.target, item.target)
    one.on_hand += item.on_hand
    one.reserved += item.reserved
    one.items.append(item.pk)
