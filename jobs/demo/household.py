"""Setting up how a demo workshop bills, buys and keeps: terms, prices, suppliers, shelf, hours."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from jobs.clocked import Shift
from jobs.demo.house_data import Household, ShelfRow
from jobs.demo.people import House
from jobs.markup import Band
from jobs.models import Terms
from jobs.services import prices, shelf, shelf_levels, suppliers, taxes, terms, working_hours
from jobs.services.shelf import Particulars
from jobs.services.taxes import TaxInput
from shop import clock
from shop.roles import Role

_WORKING_DAYS = range(5)
_IN_DECIMALS = frozenset({"tolerance_percent", "labour_cost_rate"})


def set_up(house: House, household: Household) -> None:
    """Everything that was settled on the day the workshop opened."""
    _money(house, household)
    _people(house, household)
    counter = house.holder(Role.COUNTER)
    for row in household.suppliers:
        suppliers.add(counter, act=uuid4(), **row.model_dump())
    for item in household.shelf:
        _on_the_shelf(house, item)


def away(house: House, household: Household) -> None:
    """Who is on a course soon, noted this morning."""
    row = household.away
    if row is None:
        return
    first = clock.today() + timedelta(days=row.from_days)
    working_hours.add_absence(
        house.holder(Role.MANAGER),
        act=uuid4(),
        user=house.crew[row.who].user,
        first_on=first,
        last_on=first + timedelta(days=row.days - 1),
        because=row.because,
    )


def _money(house: House, household: Household) -> None:
    owner = house.holder(Role.OWNER)
    settled: dict[str, object] = dict(household.terms)
    for name in settled.keys() & _IN_DECIMALS:
        settled[name] = Decimal(str(settled[name]))
    terms.change_terms(owner, act=uuid4(), revision=_seen(house), changes=settled)
    for tax in household.taxes:
        taxes.add_tax(
            owner,
            act=uuid4(),
            revision=_seen(house),
            tax=TaxInput(
                tax.name,
                tax.percent,
                on_assemblies="assemblies" in tax.laid_on,
                on_labour="labour" in tax.laid_on,
                on_sublet="sublet" in tax.laid_on,
                customer_only=tax.customer_only,
            ),
        )
    prices.set_rates(owner, act=uuid4(), revision=_seen(house), rates=household.rates)
    bands = [Band(cost, percent) for cost, percent in household.markup.items()]
    prices.set_markup(owner, act=uuid4(), revision=_seen(house), bands=bands)


def _people(house: House, household: Household) -> None:
    shift = Shift(
        household.shift.starts, household.shift.ends, timedelta(minutes=household.shift.pause)
    )
    for actor in house.crew.values():
        if Role.TECHNICIAN in actor.roles:
            working_hours.set_week(
                house.holder(Role.MANAGER),
                act=uuid4(),
                user=actor.user,
                week=dict.fromkeys(_WORKING_DAYS, shift),
            )


def _on_the_shelf(house: House, row: ShelfRow) -> None:
    counter = house.holder(Role.COUNTER)
    item = shelf_levels.keep(counter, act=uuid4(), part_number=row.number, level=row.keep, seen=0)
    item = shelf.change(
        counter,
        act=uuid4(),
        item=item,
        revision=item.revision,
        particulars=Particulars(
            text=item.text,
            place=row.place,
            unit_cost=item.unit_cost,
            target=row.keep,
            supplier=item.supplier,
        ),
    )
    shelf.count(
        counter,
        act=uuid4(),
        item=item,
        revision=item.revision,
        seen=0,
        counted=row.counted,
        because="opening count",
    )


def _seen(house: House) -> int:
    """The revision of prices and terms as the page would show it."""
    kept = Terms.objects.filter(workshop=house.workshop).first()
    return kept.revision if kept else 1
