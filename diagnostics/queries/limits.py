"""Which limit holds for a quantity at a place, and how it is written above a field."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from diagnostics import words
from diagnostics.models import CatalogueVersion, Component, Figure, Limit, Quantity
from diagnostics.places import axle_of
from shop import units

R = TypeVar("R", Limit, Figure)


def limit_for(
    version: CatalogueVersion | int | None,
    quantity: Quantity,
    component: Component | None = None,
    position: str = "",
) -> Limit | None:
    """The most specific limit: component and position, component, position, neither.

    Without a component, a limit that names one serves when only one component fits the
    position. One query.
    """
    if version is None:
        return None
    rows = Limit.objects.filter(version=version, quantity=quantity).order_by("pk")
    return most_specific(list(rows.select_related("component__system")), component, position)


def known_places(
    version: CatalogueVersion | int | None, quantity: Quantity, component: Component | None
) -> tuple[str, ...]:
    """Where the pages know a limit of this, in words: said when no place has been chosen."""
    rows = Limit.objects.filter(version=version, quantity=quantity).exclude(position="")
    if component is not None:
        rows = rows.filter(component=component)
    found = rows.order_by("pk").values_list("position", flat=True)
    return tuple(dict.fromkeys(words.place(position) for position in found))


def most_specific(rows: list[R], component: Component | None, position: str) -> R | None:
    """Of limits (or figures) of one key, the one that speaks of this place the most closely."""
    ranked = sorted(
        ((rank, row) for row in rows if (rank := _rank(row, component, position)) is not None),
        key=lambda pair: pair[0],
    )
    if not ranked:
        return None
    best_rank, best = ranked[0]
    rivals = {row.component_id for rank, row in ranked if rank == best_rank}
    return best if len(rivals) == 1 else None


def _rank(
    row: Limit | Figure, component: Component | None, position: str
) -> tuple[int, int] | None:
    """Lower is more specific; None when the row does not speak of this place."""
    if row.component is None:
        by_component = 1
    elif component is not None:
        if row.component_id != component.pk:
            return None
        by_component = 0
    else:
        places = row.component.positions.split()
        if position and places and position not in places:
            return None
        by_component = 2
    if row.position == position:
        return by_component, 0
    if row.position and row.position == axle_of(position):
        return by_component, 1
    return (by_component, 2) if row.position == "" else None


@dataclass(frozen=True, slots=True)
class LimitShown:
    """A limit as it stands above the field before anything is typed."""

    allowed: str
    condition: str
    source: str
    unit: str
    asks_temperature: bool
    asks_engine: bool
    asks_pressure: bool
    pressure_unit: str
    pressure_symbol: str
    corrects: bool


def shown(row: Limit) -> LimitShown:
    conditions = [
        f"at {units.format_value(row.reference_k, 'degC')}" if row.reference_k is not None else "",
        {"running": "with the engine running", "off": "with the engine off"}.get(row.engine, ""),
        f"pressure {words.limit(row.pressure_low, row.pressure_high, row.pressure_unit)}"
        if row.pressure_unit
        else "",
        row.conditions,
    ]
    return LimitShown(
        allowed=words.limit(row.low, row.high, row.unit),
        condition=", ".join(part for part in conditions if part),
        source=row.source,
        unit=row.unit,
        asks_temperature=row.reference_k is not None,
        asks_engine=bool(row.engine),
        asks_pressure=bool(row.pressure_unit),
        pressure_unit=row.pressure_unit,
        pressure_symbol=units.symbol_of(row.pressure_unit) if row.pressure_unit else "",
        corrects=row.corrects_for_copper,
    )
