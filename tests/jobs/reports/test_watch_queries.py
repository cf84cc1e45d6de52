"""Failures and exposure by the day: against a count of each day of each unit."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from random import Random

import numpy as np
import pytest

from diagnostics.models import Component
from jobs.models import FittedUnit
from jobs.reports.queries.watch import Group, drops, followed
from shop.actor import Actor
from tests.asserts import counted
from tests.factories import the_platform
from tests.jobs.reports.lives_made import TODAY, a_life, by_chance, vehicles
from tests.jobs.reports.seen_made import seen_on

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_that_day")]

Sums = tuple[int, float]


def _by_hand(seen: dict[int, set[int]], until: int) -> dict[Group, dict[int, Sums]]:
    """Each unit, each day, by the rule in words: so many twentieths of those unseen for so long
    still come; a failure counts when it was known, on the day of the fitting."""
    found: dict[Group, dict[int, Sums]] = defaultdict(lambda: defaultdict(lambda: (0, 0.0)))
    pairs = sorted((vehicle, day) for vehicle, days in seen.items() for day in days if day <= until)
    steps = drops(np.array(pairs, dtype=np.int64).reshape(-1, 2), until)

    def add(life: FittedUnit, day: int, failures: int, exposure: float) -> None:
        kind = Group(life.component.key, life.component.name)
        groups = [kind]
        if life.batch:
            groups.append(Group(kind.key, kind.name, life.supplier, life.batch))
        for group in groups:
            before = found[group][day]
            found[group][day] = (before[0] + failures, before[1] + exposure)

    for life in FittedUnit.objects.select_related("component"):
        first_sight = life.entry != "fitted" and life.out_day <= life.in_day
        if life.in_day > until or (life.exit == "failed" and first_sight):
            continue
        known = until + 1 if life.known_day is None else life.known_day
        end = life.out_day if life.exit != "failed" else known
        end = end if known <= until else until
        failed = life.exit == "failed" and known <= until
        for day in range(life.in_day + 1, end + 1):
            contacts = [one for one in seen[life.vehicle_id] if one < day]
            if contacts:
                unseen = day - max(contacts)
                add(life, day, 0, sum(unseen <= step for step in steps) / len(steps))
        if failed:
            add(life, end, 1, 0.5 if end == life.in_day else 0.0)
    return found


def _seen(actor: Actor, seed: int) -> dict[int, set[int]]:
    """The days on which units came and left, and some more by chance."""
    chance = Random(seed)
    seen: dict[int, set[int]] = defaultdict(set)
    for vehicle, start, end in FittedUnit.objects.values_list("vehicle_id", "in_day", "out_day"):
        seen[vehicle] |= {start, end}
        if chance.random() < 0.3:
            seen[vehicle].add(start + chance.randrange(1, 400))
    seen_on(actor, ((vehicle, day) for vehicle, days in seen.items() for day in days))
    return seen


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("back", [0, 200])
def test_each_day_is_counted_as_it_is_by_hand(vera: Actor, seed: int, back: int) -> None:
    by_chance(vera, seed, count=12)
    seen = _seen(vera, seed)
    until = TODAY - timedelta(days=back)
    found = followed(vera, until)
    expected = _by_hand(seen, until.toordinal())
    groups = (*found.kinds, *found.batches)
    assert {one.group for one in groups} >= set(expected)
    assert found.batches
    for one in groups:
        for at, (failures, exposure) in enumerate(zip(one.failures, one.exposure, strict=True)):
            by_hand = expected[one.group][found.first_day + at]
            assert (failures, exposure) == pytest.approx(by_hand), (one.group, at)
        outside = [day for day in expected[one.group] if day < found.first_day]
        assert not any(expected[one.group][day][0] for day in outside)


def test_what_came_later_changes_no_day_before(vera: Actor) -> None:
    """The same past with and without a year that came after it: what later visits told is how soon
    customers come back, which is the same for all days, and nothing of any one day."""
    by_chance(vera, 5, count=12)
    _seen(vera, 5)
    then = TODAY - timedelta(days=365)
    now, before = followed(vera, TODAY), followed(vera, then)
    assert now.first_day == before.first_day
    days = then.toordinal() - before.first_day + 1
    kept = {one.group: one for one in now.kinds}
    for one in before.kinds:
        later = kept[one.group]
        assert one.failures.tolist() == later.failures[:days].tolist()
        assert ((one.exposure > 0) <= (later.exposure[:days] > 0)).all()


def test_a_failure_counts_on_the_day_on_which_it_was_known(vera: Actor) -> None:
    """Taken in, and fitted ten days later: nobody knew before, and until then nothing failed."""
    component = Component.objects.filter(platform=the_platform()).first()
    assert component is not None
    [vehicle] = vehicles(vera, 1)
    first = (TODAY - timedelta(days=100)).toordinal()
    failed = a_life(vehicle, component, in_day=first, out_day=first + 60, exit="failed")
    failed.known_day = first + 70
    failed.save()
    seen_on(vera, [(vehicle, first), (vehicle, first + 60)])
    [found] = followed(vera, TODAY).kinds
    assert found.failures.nonzero()[0].tolist() == [69]
    assert found.exposure.sum() == pytest.approx(70)
    [before] = followed(vera, date.fromordinal(first + 69)).kinds
    assert before.failures.sum() == 0
    assert before.exposure.sum() == pytest.approx(69)


def test_of_few_gaps_nothing_is_known_but_a_year(vera: Actor) -> None:
    component = Component.objects.filter(platform=the_platform()).first()
    assert component is not None
    [vehicle] = vehicles(vera, 1)
    first = (TODAY - timedelta(days=800)).toordinal()
    a_life(vehicle, component, in_day=first, out_day=first).save()
    seen_on(vera, [(vehicle, first)])
    [found] = followed(vera, TODAY).kinds
    assert found.exposure.sum() == pytest.approx(365)
    assert found.exposure[-1] == 0


def test_nothing_at_all_and_a_workshop_that_opened_today(vera: Actor, pim: Actor) -> None:
    assert followed(vera, TODAY).kinds == ()
    component = Component.objects.filter(platform=the_platform()).first()
    assert component is not None
    [vehicle] = vehicles(vera, 1)
    a_life(vehicle, component, in_day=TODAY.toordinal(), out_day=TODAY.toordinal()).save()
    seen_on(vera, [(vehicle, TODAY.toordinal())])
    [found] = followed(vera, TODAY).kinds
    assert found.exposure.size == 0
    assert followed(pim, TODAY).kinds == ()
    assert followed(vera, date(2020, 2, 29)).kinds == ()


def test_it_costs_five_queries_whatever_there_is(vera: Actor) -> None:
    with counted() as queries:
        followed(vera, TODAY)
    by_chance(vera, 3, count=20)
    _seen(vera, 3)
    with counted() as more:
        followed(vera, TODAY)
    assert len(queries) == len(more) == 5
