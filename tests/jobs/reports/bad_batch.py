"""A workshop of two years in which one batch of a component fails early and another does not."""

from __future__ import annotations

from datetime import date, timedelta
from functools import partial

from diagnostics.models import Component
from jobs.models import FittedUnit
from shop import clock
from shop.actor import Actor
from tests.factories import the_platform
from tests.jobs.reports.lives_made import a_life, vehicles
from tests.jobs.reports.seen_made import seen_on

SUPPLIER, BAD, GOOD = "Ostrand", "B-0417", "B-0398"
EACH = 12  # vehicles with each batch
FAILED = 9  # of the bad one
KEY = "hub_and_sensor"


def ago(days: int) -> int:
    return (clock.today() - timedelta(days=days)).toordinal()


def first_failure() -> date:
    return date.fromordinal(ago(150))


def a_bad_batch(actor: Actor) -> list[FittedUnit]:
    """Seen every hundred days for two years; both batches were fitted 200 days ago.

    Of the bad one a unit fails every ten days from the 50th day on; what took its place is of no
    batch. Of the first ones, three failed in the first year.
    """
    hub = Component.objects.get(platform=the_platform(), key=KEY)
    cars = vehicles(actor, 4 * EACH)
    lives, days = [], set()
    for at, car in enumerate(cars):
        days |= {(car.pk, ago(day)) for day in (800, 700, 600, 500, 400, 300, 200, 100)}
        batch = (BAD, GOOD, "", "")[at % 4]
        here = partial(a_life, car, hub, position="LR", at_m=(0, 9_000_000))
        if not batch:
            fails = ago(500) if at < EACH else None
            end = fails or ago(100)
            lives.append(
                here(
                    entry="first_seen",
                    in_day=ago(800),
                    out_day=end,
                    exit="failed" if fails else "",
                    born_day=ago(2000),
                )
            )
            continue
        lives.append(here(entry="first_seen", in_day=ago(800), out_day=ago(200), exit="other"))
        number = at // 4
        fails = ago(150 - 10 * number) if batch == BAD and number < FAILED else None
        if fails:
            days.add((car.pk, fails))
        lives.append(
            here(
                in_day=ago(200),
                out_day=fails or ago(100),
                exit="failed" if fails else "",
                supplier=SUPPLIER,
                batch=batch,
            )
        )
    seen_on(actor, sorted(days))
    return FittedUnit.objects.bulk_create(lives)
