"""For how long the reports follow vehicles: from the days on which they were seen."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from random import Random

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.reports.queries.follow_up import FEWEST, gone_days, last_contacts, residual_gap
from jobs.reports.stats.staying import followed_for
from shop.actor import Actor
from shop.models import Vehicle
from tests.jobs.reports.lives_made import TODAY, vehicles
from tests.jobs.reports.seen_made import seen_on

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_that_day")]


def days_seen(seed: int, many: int) -> list[list[int]]:
    """Of each vehicle the days on which it came, in order; some of them twice a day."""
    chance = Random(seed)
    every = []
    for _number in range(many):
        day = TODAY.toordinal() - chance.randrange(900)
        seen: list[int] = []
        while day <= TODAY.toordinal() and (not seen or chance.random() < 0.8):
            seen.append(day)
            day += chance.randrange(20, 300)
        every.append(seen)
    return every


def test_every_gap_between_days_seen_counts_and_the_time_since_the_last(vera: Actor) -> None:
    every = days_seen(4, 30)
    cars = vehicles(vera, len(every))
    twice = [(car, day) for car, days in zip(cars, every, strict=True) for day in days + days[:1]]
    seen_on(vera, twice)
    found = residual_gap(vera.workshop, TODAY)
    gaps = [b - a for days in every for a, b in pairwise(days)]
    unseen = [TODAY.toordinal() - days[-1] for days in every]
    assert found.gaps == len(gaps)
    assert found.days == pytest.approx(followed_for(gaps, unseen))
    assert 0 < found.days < max(unseen)
    assert str(found.whole_days) in found.words
    assert str(len(gaps)) in found.words


def test_what_was_seen_after_the_last_day_counted_is_not_known(vera: Actor) -> None:
    every = days_seen(5, 40)
    cars = vehicles(vera, len(every))
    until = TODAY - timedelta(days=200)
    known = [[day for day in days if day <= until.toordinal()] for days in every]
    pairs = [(car, days) for car, days in zip(cars, known, strict=True) if days]
    seen_on(vera, [(car, day) for car, days in pairs for day in days])
    before = residual_gap(vera.workshop, until)
    later = [set(all_) - set(some) for all_, some in zip(every, known, strict=True)]
    seen_on(vera, [(car, day) for car, days in zip(cars, later, strict=True) for day in days])
    assert residual_gap(vera.workshop, until) == before
    assert residual_gap(vera.workshop, TODAY).gaps > before.gaps


def test_few_gaps_follow_nobody_and_say_so(vera: Actor) -> None:
    with CaptureQueriesContext(connection) as asked:
        found = residual_gap(vera.workshop, TODAY)
    assert len(asked) == 2
    assert (found.days, found.gaps) == (0, 0)
    assert "too few gaps" in found.words
    (car,) = vehicles(vera, 1)
    seen_on(vera, [(car, TODAY.toordinal() - 30 * n) for n in range(FEWEST)])
    assert residual_gap(vera.workshop, TODAY).days == 0
    seen_on(vera, [(car, TODAY.toordinal() - 30 * FEWEST)])
    assert residual_gap(vera.workshop, TODAY).gaps == FEWEST


def test_one_that_is_gone_was_waited_for_until_that_day_and_is_followed_no_longer(
    vera: Actor,
) -> None:
    every = days_seen(6, 40)
    cars = vehicles(vera, len(every))
    seen_on(vera, [(car, day) for car, days in zip(cars, every, strict=True) for day in days])
    today = TODAY.toordinal()
    gone = {at: min(today, every[at][-1] + 25) for at in range(0, 40, 2)}
    # Gone between two visits: it is here again, and waited for to the last day.
    again = next(at for at in range(1, 40, 2) if len(every[at]) > 1)
    for at, day in [*gone.items(), (again, every[again][0] + 1)]:
        Vehicle.objects.filter(pk=cars[at].pk).update(
            gone="scrapped", gone_on=date.fromordinal(day)
        )
    gaps = [b - a for days in every for a, b in pairwise(days)]
    open_ = [today - days[-1] for at, days in enumerate(every) if at not in gone]
    ended = [gone[at] - every[at][-1] for at in gone]
    found = residual_gap(vera.workshop, TODAY)
    assert found.days == pytest.approx(followed_for(gaps, open_, ended))
    assert found.days != pytest.approx(followed_for(gaps, open_ + ended))


def test_of_each_vehicle_the_last_day_up_to_a_day_and_since_when_it_is_gone(vera: Actor) -> None:
    one, other, later = vehicles(vera, 3)
    today = TODAY.toordinal()
    days = [(one, today - 90), (one, today - 40), (one, today), (other, today - 60)]
    seen_on(vera, [*days, (later, today - 1)])
    until = TODAY - timedelta(days=30)
    assert last_contacts(vera.workshop, until) == {one.pk: today - 40, other.pk: today - 60}
    Vehicle.objects.filter(pk=other.pk).update(gone="scrapped", gone_on=until)
    Vehicle.objects.filter(pk=later.pk).update(gone="scrapped", gone_on=TODAY)
    assert gone_days(vera.workshop, until) == {other.pk: until.toordinal()}
