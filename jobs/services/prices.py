"""The workshop's labour rates for each payer, and its markup on parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.markup import MOST_BANDS, Band, BandError, check_bands
from jobs.models import LabourRate, MarkupBand, Payer
from jobs.queries.prices import bands_of
from jobs.queries.terms import rates_of
from jobs.services.terms import begin_change, finish_change
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import cents
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

LARGEST_RATE = Decimal("99999.99")


@transaction.atomic
def set_rates(
    actor: Actor,
    *,
    act: UUID,
    revision: int,
    rates: Mapping[str, Decimal | None],
    nothing_is_meant: bool = False,
) -> None:
    """The hourly rate of each payer; None leaves it at the workshop's own.

    Lines that stand on an estimate keep the rate that they were written with. Raises Refusal
    beside the payer, for a rate of nothing unless that is said to be meant, and Clash as
    `change_terms`.
    """
    acts.claim(actor, act, "set rates", sent=sorted(rates.items(), key=str))
    must(actor, Permit.MANAGE_WORKSHOP)
    terms = begin_change(actor, revision)
    before = rates_of(actor.workshop)
    for payer, rate in rates.items():
        _check_rate(payer, rate, before.get(payer), nothing_is_meant)
    said = []
    for payer, rate in rates.items():
        if rate == before.get(payer):
            continue
        rows = LabourRate.objects.filter(workshop=actor.workshop, payer=payer)
        if rate is None:
            rows.delete()
        else:
            rows.update_or_create(
                workshop=actor.workshop, payer=payer, defaults={"rate": cents(rate)}
            )
        now = "the workshop’s rate" if rate is None else str(cents(rate))
        said.append(f"{Payer(payer).label}: {now}")
    if said:
        finish_change(actor, terms, "set labour rates an hour: " + ", ".join(said))


def _check_rate(payer: str, rate: Decimal | None, before: Decimal | None, meant: bool) -> None:
    if payer not in Payer.values:
        raise Refusal("Choose one of the payers that are listed.")
    if rate is None:
        return
    if rate < 0:
        raise Refusal("A rate cannot be below zero.", field=payer)
    if rate > LARGEST_RATE:
        raise Refusal(f"A rate of {rate} an hour cannot be. Check the digits.", field=payer)
    if rate == 0 and before != 0 and not meant:
        raise Refusal(
            "At 0.00 an hour all labour for this payer would cost nothing. If that is meant, "
            "tick that it is; else type the rate, or leave it empty for the workshop’s own.",
            field=payer,
        )


@transaction.atomic
def set_markup(actor: Actor, *, act: UUID, revision: int, bands: Sequence[Band]) -> None:
    """The whole table of bands, in place of the one before; none means that list prices hold.

    Assemblies that stand on an estimate keep their price. Raises Refusal with the field of the
    row ("from_cost_2", "percent_2"), and Clash as `change_terms`.
    """
    acts.claim(actor, act, "set markup", sent=bands)
    must(actor, Permit.MANAGE_WORKSHOP)
    terms = begin_change(actor, revision)
    if len(bands) > MOST_BANDS:
        raise Refusal(f"At most {MOST_BANDS} bands can be kept.")
    try:
        ordered = check_bands(bands)
    except BandError as error:
        raise Refusal(error.sentence, field=f"{error.figure}_{error.row}") from error
    if ordered == bands_of(actor.workshop):
        return
    MarkupBand.objects.filter(workshop=actor.workshop).delete()
    MarkupBand.objects.bulk_create(
        MarkupBand(workshop=actor.workshop, from_cost=band.from_cost, percent=band.percent)
        for band in ordered
    )
    table = ", ".join(f"from {cents(band.from_cost)} {band.percent:f} %" for band in ordered)
    finish_change(actor, terms, f"set the markup on parts: {table or 'none, list prices hold'}")
