"""What can be put on an estimate: the catalogue's assemblies at their places, and its labour."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.models import Component, LabourOperation
from jobs.models import RepairOrder
from jobs.queries.living_parts import parts_of
from jobs.queries.prices import Asked, prices_of
from jobs.supersession import CataloguePart, Living, living_parts
from shop.models import Workshop


@dataclass(frozen=True, slots=True)
class Choice:
    """One assembly that the catalogue has for this vehicle, at one place; `price` is ours."""

    component: Component
    position: str
    living: Living | None
    price: Decimal | None = None

    @property
    def key(self) -> str:
        return f"{self.component.pk}:{self.position}"


def assembly_choices(order: RepairOrder) -> list[Choice]:
    """All components of the job's catalogue at all their places. Four queries."""
    version = order.session.version
    if version is None:
        return []
    components = list(
        Component.objects.filter(platform=version.platform_id, retired=False)
        .select_related("system")
        .order_by("system__order", "name")
    )
    parts = parts_of([component.pk for component in components])
    prices = prices_of(order.workshop, [part.key for own in parts.values() for part in own])
    found = []
    for component in components:
        own = parts.get(component.pk, ())
        for position in component.positions.split() or [""]:
            living = living_parts(own, position)
            if not living:
                found.append(Choice(component, position, None))
                continue
            asked = asked_for(own, living[0], prices)
            price = asked.price if asked else living[0].price
            found.append(Choice(component, position, living[0], price))
    return found


def labour_choices(order: RepairOrder) -> list[LabourOperation]:
    if order.session.version_id is None:
        return []
    rows = LabourOperation.objects.filter(version=order.session.version_id)
    return list(rows.select_related("system").order_by("system__order", "code"))


def operations_for(order: RepairOrder, component_ids: Collection[int]) -> list[LabourOperation]:
    """The repairs that the catalogue has for these components; diagnosis is asked for apart."""
    rows = LabourOperation.objects.filter(
        component__in=component_ids, version=order.session.version_id, diagnosis=False
    )
    return list(rows.order_by("code"))


def asked_for(
    parts: Sequence[CataloguePart], living: Living, prices: Mapping[int, Asked]
) -> Asked | None:
    """Our price of the living number, None when it is not among `parts`."""
    return next((prices.get(part.key) for part in parts if part.number == living.number), None)


def our_price(workshop: Workshop, parts: Sequence[CataloguePart], living: Living) -> Asked | None:
    """The same for one number. Two queries."""
    return asked_for(parts, living, prices_of(workshop, [part.key for part in parts]))
