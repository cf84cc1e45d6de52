"""What to keep on the shelf: for each part what was wanted, how long it takes, what follows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.models import Component, PartNumber
from jobs.models import StockItem
from jobs.queries import shelf_demand
from jobs.queries.lead_times import lead_times
from jobs.queries.shelf_demand import Wanted, Window
from jobs.queries.shelf_position import Position, components_of, kept, living_of, positions
from jobs.queries.shelf_rows import Advice, advise
from jobs.queries.terms import terms_of
from jobs.supersession import normal
from shop.actor import Actor
from shop.money import total


@dataclass(frozen=True, slots=True)
class Shelf:
    """Every part that was wanted or is kept; what would change comes first."""

    seen: Window
    target: float
    rows: tuple[Advice, ...]

    @property
    def money_advised(self) -> Decimal:
        return total(row.money for row in self.rows)

    @property
    def money_kept(self) -> Decimal:
        return total(row.money_kept for row in self.rows)

    @property
    def wanted(self) -> int:
        return sum(row.waits.wanted for row in self.rows)

    @property
    def waited(self) -> int:
        return sum(row.waits.waited for row in self.rows)

    @property
    def kept_wait(self) -> int:
        return sum(row.waits.kept for row in self.rows)

    @property
    def would_wait(self) -> int:
        return sum(row.waits.expected for row in self.rows)


def shelf(actor: Actor) -> Shelf:
    """The whole advice. At most twelve queries, however much was fitted, ordered or kept."""
    seen = shelf_demand.window(actor)
    target = float(terms_of(actor.workshop).service_level) / 100
    found = shelf_demand.rows(actor, seen)
    items = list(StockItem.objects.of(actor).select_related("supplier"))
    keys = {row[0] for row in found} | components_of(items)
    living = living_of(keys)
    wanted = shelf_demand.wanted(found, seen, living)
    catalogue = _catalogue(keys)
    names = _names(keys)
    leads = lead_times(actor, seen.start, living)
    rows: list[Advice] = []
    for key, one in positions(actor, items, living, {row[1] for row in found}).items():
        part = catalogue.get(key)
        want = wanted.get(key, Wanted())
        if not (want.days or one.target or one.on_hand):
            continue
        parts_of_cars = want.components | ({one.component_id} if one.component_id else set())
        _fill(one, part)
        rows.append(
            advise(
                one,
                tuple(sorted({names[pk] for pk in parts_of_cars if pk in names})),
                _cost(one, part),
                want,
                leads.of(key, one.supplier),
                seen,
                target,
            )
        )
    return Shelf(seen, target, tuple(sorted(rows, key=_first_what_matters)))


def top_ups(actor: Actor) -> tuple[Position, ...]:
    """What the shelf is short of: target less what is spare. At most six queries."""
    short = [one for one in kept(actor) if one.missing]
    return tuple(sorted(short, key=lambda one: one.part_key))


def _catalogue(component_ids: Iterable[int]) -> dict[str, PartNumber]:
    rows = PartNumber.objects.filter(component__in=set(component_ids)).select_related("component")
    return {normal(row.number): row for row in rows}


def _names(component_ids: Iterable[int]) -> dict[int, str]:
    """The vehicle each component belongs to, as the workshop calls it."""
    rows = Component.objects.filter(pk__in=set(component_ids)).select_related("platform")
    return {row.pk: str(row.platform) for row in rows}


def _fill(one: Position, part: PartNumber | None) -> None:
    """What the catalogue knows of a part that never lay here."""
    if part is None:
        return
    one.text = one.text or part.component.name
    one.supplier = one.supplier or part.supplier
    one.component_id = one.component_id or part.component_id


def _cost(one: Position, part: PartNumber | None) -> tuple[Decimal, bool]:
    if one.unit_cost:
        return one.unit_cost, True
    if part is None:
        return Decimal(0), False
    return (part.price, False) if part.cost is None else (part.cost, True)


def _first_what_matters(row: Advice) -> tuple[bool, int, int, str]:
    return (not row.changes, -row.waits.waited, -row.demand.count, row.position.part_key)
