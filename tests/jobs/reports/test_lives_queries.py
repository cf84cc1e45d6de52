"""What the database counts of lives, against the same counted row by row."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from lifelines import KaplanMeierFitter

from diagnostics.models import Component
from jobs.models import FittedUnit
from jobs.reports.queries import life_curves, lives
from jobs.reports.queries.follow_up import Gap
from jobs.reports.queries.kinds import kinds_of
from jobs.reports.queries.life_sql import Lives, lives_of
from jobs.reports.stats.counts import Counts
from jobs.reports.stats.life_table import LifeTable, life_table
from shop.actor import Actor
from tests.asserts import counted
from tests.factories import the_platform
from tests.jobs.reports.lives_made import (
    TODAY,
    Seen,
    a_life,
    by_chance,
    counts_of_rows,
    seen,
    vehicles,
)

pytestmark = pytest.mark.usefixtures("on_that_day")
SEEDS = range(6)
AGO = (0, 200, 800, 1600)
POOL = 33_333  # metres a day of a vehicle of which that is not known


def _asked(actor: Actor, ago: int = 0, gap: int = 112) -> Lives:
    until = TODAY - timedelta(days=ago)
    return lives_of(actor.workshop.pk, until, Gap(gap, 50, "", POOL), known=TODAY)


def _seen(rows: list[FittedUnit], asked: Lives, pool: int = 0) -> list[Seen]:
    found = [seen(life, asked.until, asked.gap, pool) for life in rows]
    return [one for one in found if one is not None]


@pytest.mark.parametrize("ago", AGO)
@pytest.mark.parametrize("seed", SEEDS)
def test_totals_are_those_of_the_rows(vera: Actor, seed: int, ago: int) -> None:
    asked = _asked(vera, ago)
    rows = _seen(by_chance(vera, seed), asked)
    found = lives.tallies(asked)
    by = found.by(lambda of: (of.component, of.supplier, of.batch))
    keys = {(r.life.component_id, r.life.supplier, r.life.batch) for r in rows}
    assert set(by) == keys
    for key in keys:
        some = [r for r in rows if (r.life.component_id, r.life.supplier, r.life.batch) == key]
        tally = by[key]
        assert tally.first_visit == sum(r.first_visit for r in some)
        assert tally.units == len(some) - tally.first_visit
        assert tally.failed == sum(r.failed for r in some)
        assert tally.failed_at_m == sum(r.failed_at_m for r in some)
        assert tally.no_age == sum(r.age is None and not r.first_visit for r in some)
        assert tally.days.last == sum(r.watched for r in some)
        assert tally.days.gap == sum(r.watched + r.more for r in some)


@pytest.mark.parametrize("ago", AGO)
def test_the_way_driven_is_that_of_the_rows(vera: Actor, ago: int) -> None:
    asked = _asked(vera, ago)
    rows = _seen(by_chance(vera, 3), asked)
    found = lives.tallies(asked)
    last = gap = until = 0.0
    for row in rows:
        life = row.life
        if life.in_m is None or life.out_m is None:
            continue
        driven = life.out_m - life.in_m
        if life.out_day > asked.until:
            driven = driven * (asked.until - life.in_day) // (life.out_day - life.in_day)
        a_day = POOL if life.m_a_day is None else life.m_a_day
        still = not life.exit and life.out_day <= asked.until
        last += driven
        gap += driven + row.more * a_day
        until += driven + (asked.until - life.out_day if still else 0) * a_day
    whole = found.by(lambda _of: 1).get(1, lives.Tally())
    assert (whole.metres.last, whole.metres.gap, whole.metres.until) == pytest.approx(
        (last, gap, until)
    )


def _same(counts: Counts, rows: list[tuple[float, float, bool]]) -> None:
    expected = counts_of_rows(rows)
    held = zip(counts.t, counts.entered, counts.left, counts.failed, strict=True)
    found = {float(t): (int(i), int(o), int(f)) for t, i, o, f in held if i or o or f}
    assert found == expected


@pytest.mark.parametrize("ago", AGO)
@pytest.mark.parametrize("seed", SEEDS)
def test_counts_by_age_and_distance_are_those_of_the_rows(vera: Actor, seed: int, ago: int) -> None:
    asked = _asked(vera, ago)
    rows = _seen(by_chance(vera, seed), asked, POOL)
    kinds = {component: str(component) for component in {r.life.component_id for r in rows}}
    ages = life_curves.by_age(asked, kinds)
    ways = life_curves.by_distance(asked, kinds)
    for component, name in kinds.items():
        some = [r for r in rows if r.life.component_id == component]
        _same(ages[name], [(*r.age, r.failed) for r in some if r.age])
        _same(ways[name], [(*r.steps, r.failed_at_m) for r in some if r.steps])


def test_survival_is_that_of_another_library(vera: Actor) -> None:
    """lifelines on the same rows; it begins where at least ten are at risk, as ours does."""
    asked = _asked(vera)
    rows = _seen(by_chance(vera, 11, 200), asked)
    component = rows[0].life.component_id
    counts = life_curves.by_age(asked, {component: "kind"})["kind"]
    table = life_table(counts)
    assert isinstance(table, LifeTable)
    some = [r for r in rows if r.life.component_id == component and r.age]
    begin = np.array([max(r.age[0], table.starts_at) for r in some if r.age])
    end = np.array([r.age[1] or 0.5 for r in some if r.age])
    failed = np.array([r.failed for r in some])
    keep = end > begin
    other = KaplanMeierFitter().fit(end[keep], failed[keep], entry=begin[keep])
    for time in np.linspace(table.starts_at + 1, table.ends_at, 12):
        mine = table.at(float(time))
        assert mine is not None
        assert mine.survival == pytest.approx(float(other.predict(time)), abs=1e-12)


def test_two_failures_of_one_place_on_one_day_are_two(vera: Actor) -> None:
    component = Component.objects.filter(platform=the_platform()).first()
    assert component is not None
    [vehicle] = vehicles(vera, 1)
    day = TODAY.toordinal() - 100
    FittedUnit.objects.bulk_create(
        [
            a_life(vehicle, component, in_day=day, out_day=day, exit="failed"),
            a_life(vehicle, component, in_day=day, out_day=day, exit="failed"),
            a_life(vehicle, component, in_day=day, out_day=day),
        ]
    )
    tally = lives.tallies(_asked(vera, gap=30)).by(lambda _of: 1)[1]
    assert (tally.units, tally.failed) == (3, 2)
    assert tally.days == lives.Bracket(last=1.0, gap=31.0, until=101.0)
    counts = life_curves.by_age(_asked(vera, gap=30), {component.pk: "kind"})["kind"]
    _same(counts, [(0, 0, True), (0, 0, True), (0, 30, False)])


def test_with_no_units_there_is_nothing_to_count(vera: Actor) -> None:
    asked = _asked(vera)
    assert lives.tallies(asked).rows == {}
    assert life_curves.by_age(asked, {}) == {}
    assert life_curves.by_age(asked, {1: "kind"})["kind"].t.size == 0


def test_a_neighbour_is_not_counted(vera: Actor, pim: Actor) -> None:
    by_chance(pim, 1)
    assert lives.tallies(_asked(vera)).rows == {}
    assert kinds_of(vera) == ()
    assert kinds_of(pim) != ()


def test_the_number_of_queries_is_the_same_for_any_number_of_lives(vera: Actor) -> None:
    taken = []
    for seed in (1, 2):
        by_chance(vera, seed, 10 * seed)
        with counted() as queries:
            found = lives.tallies(_asked(vera))
            kinds = {of.component: "kind" for of in found.rows}
            life_curves.by_age(_asked(vera), kinds)
            life_curves.by_distance(_asked(vera), kinds)
        taken.append(len(queries))
    assert taken == [10, 10]
