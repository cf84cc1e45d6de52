"""What a part is asked at in this workshop: its markup over the cost, or the list price."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.models import PartNumber
from jobs.markup import Band, band_for, selling_price
from jobs.models import MarkupBand
from shop.models import Workshop


@dataclass(frozen=True, slots=True)
class Asked:
    """`percent` is the markup that made the price, None where the list price is asked."""

    price: Decimal
    list_price: Decimal
    cost: Decimal | None
    percent: Decimal | None
    core_credit: Decimal | None
    condition: str

    @property
    def from_list(self) -> bool:
        return self.percent is None


def bands_of(workshop: Workshop) -> tuple[Band, ...]:
    """The workshop's markup, the lowest cost first. One query."""
    rows = MarkupBand.objects.filter(workshop=workshop).order_by("from_cost")
    return tuple(Band(*row) for row in rows.values_list("from_cost", "percent"))


def price_for(workshop: Workshop, part: PartNumber) -> Asked:
    """What one of this number is asked at. One query."""
    return asked(part, bands_of(workshop))


def prices_of(workshop: Workshop, part_ids: Collection[int]) -> Mapping[int, Asked]:
    """What each of these numbers of the catalogue is asked at, by its key. Two queries."""
    bands = bands_of(workshop)
    return {part.pk: asked(part, bands) for part in PartNumber.objects.filter(pk__in=part_ids)}


def asked(part: PartNumber, bands: Sequence[Band]) -> Asked:
    """No query: for a list of numbers whose bands were read once."""
    band = None if part.cost is None else band_for(part.cost, bands)
    return Asked(
        price=selling_price(part.price, part.cost, bands),
        list_price=part.price,
        cost=part.cost,
        percent=band.percent if band else None,
        core_credit=part.core_credit,
        condition=part.condition or "new",
    )
