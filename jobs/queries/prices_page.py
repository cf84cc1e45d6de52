"""The page of prices: rates, markup with what it does, taxes that hold and that held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from jobs.markup import Band, Dip, dips, selling_price
from jobs.models import Tax, Terms
from jobs.queries.prices import bands_of
from jobs.queries.terms import rates_of, terms_of
from shop.actor import Actor
from shop.money import CENT

EXAMPLES = tuple(map(Decimal, ("5.00", "20.00", "75.00", "250.00", "800.00")))


@dataclass(frozen=True, slots=True)
class Prices:
    """`examples` are costs with what they sell at; empty while list prices hold."""

    terms: Terms
    labour_rate: Decimal
    rates: Mapping[str, Decimal]
    bands: tuple[Band, ...]
    dips: tuple[Dip, ...]
    examples: tuple[tuple[Decimal, Decimal], ...]
    taxes: tuple[Tax, ...]
    retired: tuple[Tax, ...]

    @property
    def no_rate(self) -> bool:
        """Whether labour costs nothing because nobody has set what it costs."""
        return self.labour_rate < CENT


def prices(actor: Actor) -> Prices:
    """Four queries, whatever there is."""
    bands = bands_of(actor.workshop)
    taxes = list(Tax.objects.of(actor).order_by("retired", "pk"))
    return Prices(
        terms=terms_of(actor.workshop),
        labour_rate=actor.workshop.labour_rate,
        rates=rates_of(actor.workshop),
        bands=bands,
        dips=dips(bands),
        examples=tuple((cost, selling_price(cost, cost, bands)) for cost in EXAMPLES if bands),
        taxes=tuple(tax for tax in taxes if not tax.retired),
        retired=tuple(tax for tax in taxes if tax.retired),
    )
