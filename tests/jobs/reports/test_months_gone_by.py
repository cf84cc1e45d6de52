"""The report of a month says later what it said at its end, whatever happened since."""

from __future__ import annotations

from dataclasses import astuple
from datetime import date
from random import Random

import pytest
from django.utils.timezone import localtime

from jobs.models import FittedUnit, RepairOrder
from jobs.reports.document import Span
from jobs.reports.figures import comebacks, component, failures, watch
from jobs.reports.queries.comebacks import repairs
from jobs.reports.queries.component import one_kind
from jobs.reports.queries.failures import failures as counted_failures
from jobs.reports.queries.life_places import Places
from jobs.reports.queries.watch import followed
from jobs.stages import Move
from shop import clock
from shop.actor import Actor
from shop.models import Vehicle
from tests.factories import a_vehicle, an_odometer_reading
from tests.jobs.along import Crew, go
from tests.jobs.lives.test_findings import declined
from tests.jobs.lives.test_kept import ago, fit_the_hub, hand_over, taken_in, whole_job

pytestmark = pytest.mark.django_db
ENDED = 90  # days ago


def told(actor: Actor, until: date) -> list[object]:
    """All that is counted of units and repairs, and how the report says it."""
    span = Span(until.replace(day=1), until)
    found, kind = counted_failures(actor, span), one_kind(actor, span, "hub_and_sensor")
    assert kind is not None
    watched = followed(actor, until)
    return [
        (found.tallies, found.gap, found.before, found.no_fault),
        [(name, *(column.tolist() for column in astuple(one))) for name, one in found.ages.items()],
        kind.tallies,
        *(column.tolist() for one in (kind.ages, kind.ways) for column in astuple(one)),
        by_place(kind.places),
        (kind.cohorts.first, kind.cohorts.failed.tolist(), kind.cohorts.followed.tolist()),
        [(one.group, one.failures.tolist(), one.exposure.tolist()) for one in watched.kinds],
        sorted(repairs(actor, until).groups, key=repr),
        failures.section(actor, span),
        component.sheet(actor, span, "hub_and_sensor"),
        comebacks.section(actor, span),
        watch.section(actor, span),
    ]


def by_place(found: Places) -> list[tuple[int, list[int]]]:
    """In no order that matters: how long each was watched, and when it failed again."""
    return sorted(
        (int(end), sorted(int(day) for day in found.at[found.place == number]))
        for number, end in enumerate(found.ends)
    )


def km(vehicle: Vehicle) -> int:
    last = vehicle.odometer_readings.first()
    return 60_000 if last is None else last.distance_m // 1000


def one_visit(crew: Crew, chance: Random, vehicle: Vehicle) -> None:
    at = km(vehicle) + chance.choice((0, 400, 3_000))
    what = chance.choice(("job", "job", "note", "note", "declined", "void", "backwards"))
    if what == "job":
        whole_job(crew, vehicle, at, serial_on=f"S{chance.random()}"[:20])
    elif what == "note":
        an_odometer_reading(crew.manager, vehicle=vehicle, value=str(at), reason="as it shows")
    elif what == "declined":
        declined(crew, vehicle, at)
    elif what == "void":
        go(crew.manager, taken_in(crew, vehicle, at), Move.VOID, reason="Opened by mistake")
    else:
        lower = str(max(0, at - 30_000))
        an_odometer_reading(crew.manager, vehicle=vehicle, value=lower, reason="new instrument")


def lived(crew: Crew, chance: Random, cars: list[Vehicle], days: range) -> None:
    for day in days:
        with clock.at(ago(day)):
            car = chance.choice(cars)
            car.refresh_from_db()
            one_visit(crew, chance, car)


def standing(crew: Crew, vehicle: Vehicle, day: int) -> RepairOrder:
    with clock.at(ago(day)):
        return taken_in(crew, vehicle, km(vehicle) + 500)


@pytest.mark.parametrize("seed", range(3))
def test_a_month_told_later_is_what_it_was_at_its_end(crew: Crew, seed: int) -> None:
    """Of a workshop that goes on: what stood in it over the month's end is repaired later, what
    was declined is done later, and vehicles come again or with another instrument."""
    chance = Random(seed)
    cars = [a_vehicle(crew.manager) for _number in range(4)]
    with clock.at(ago(710)):
        for car in cars:
            an_odometer_reading(crew.manager, vehicle=car, value="50000")
    lived(crew, chance, cars, range(700, ENDED + 5, -55))
    late = standing(crew, cars[0], ENDED + 2)
    with clock.at(ago(ENDED + 1)):
        waiting = cars[1]
        waiting.refresh_from_db()
        declined(crew, waiting, km(waiting) + 300)
    until = localtime(ago(ENDED)).date()
    with clock.at(ago(ENDED)):
        then = told(crew.manager, until)
    with clock.at(ago(ENDED - 4)):
        fit_the_hub(crew, late, serial_on="LATE-1")
        hand_over(crew, late)
    with clock.at(ago(ENDED - 30)):
        whole_job(crew, waiting, km(waiting) + 2_000, serial_on="LATE-2")
    lived(crew, chance, cars, range(ENDED - 40, 0, -16))
    failed = FittedUnit.objects.filter(exit="failed", known_day__gt=until.toordinal())
    assert failed.filter(out_day__lte=until.toordinal()).count() >= 2
    for now, before in zip(told(crew.manager, until), then, strict=True):
        assert now == before
    # And it is not the report of today.
    assert told(crew.manager, clock.today())[0] != then[0]
