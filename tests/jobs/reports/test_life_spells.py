"""Suppliers and batches at the same ages: days and failures step by step, and what each is due."""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta

import pytest
from numpy.random import Generator, default_rng

from jobs.reports.figures.failure_groups import Group, all_groups
from jobs.reports.queries.follow_up import Gap
from jobs.reports.queries.kinds import Kind
from jobs.reports.queries.life_spells import STEP_DAYS, Spell, due, spells
from jobs.reports.queries.life_sql import lives_of
from jobs.reports.queries.lives import Bracket, Of, Tallies, Tally
from shop.actor import Actor
from tests.jobs.reports.lives_made import TODAY, by_chance, seen

pytestmark = pytest.mark.usefixtures("on_that_day")
WATCHED = 730  # days
EACH, BATCHES = 40, 8


@pytest.mark.django_db
@pytest.mark.parametrize("back", [0, 200])
@pytest.mark.parametrize("seed", [1, 2])
def test_days_and_failures_of_each_step_are_those_of_the_rows(
    vera: Actor, seed: int, back: int
) -> None:
    """Against every life walked day by day, in a world with every edge."""
    rows, until = by_chance(vera, seed, 40), TODAY - timedelta(days=back)
    asked = lives_of(vera.workshop.pk, until, Gap(100, 50, ""), known=TODAY)
    days: dict[tuple[int, str, str, int], float] = defaultdict(float)
    failed: dict[tuple[int, str, str, int], int] = defaultdict(int)
    for row in rows:
        one = seen(row, until.toordinal(), 100, 0)
        if one is None or one.first_visit or not (row.supplier or row.batch):
            continue
        name, whole = (row.component_id, row.supplier, row.batch), int(one.watched) + one.more
        for day in range(1, whole + 1):
            days[*name, (day - 1) // STEP_DAYS] += 1
        days[*name, 0] += 0.5 if one.watched == 0.5 else 0
        failed[*name, max(0, whole - 1) // STEP_DAYS] += one.failed
    found = spells(asked)
    told = {
        (*name, step): (watched, fell)
        for name, spell in found.items()
        for step, (watched, fell) in enumerate(zip(spell.days, spell.failed, strict=True))
        if watched
    }
    assert sum(failed.values()) > 10
    assert told == {key: (watched, failed[key]) for key, watched in days.items() if watched}


def test_what_is_due_was_worked_out_by_hand() -> None:
    """In the first step 6 of 300 days, in the second 4 of 100: the first group is due
    100 x 0.02, the second 200 x 0.02 + 100 x 0.04; together the ten that there were."""
    assert due([Spell((100.0,), (6,)), Spell((200.0, 100.0), (0, 4))]) == [2.0, 8.0]
    assert due([]) == []
    assert due([Spell()]) == [0]


def test_a_batch_is_held_against_the_others_rate_at_its_own_ages() -> None:
    """Due 2 of 10 and had 6: the others had 4 where they were due 8, half; it would have had 1."""
    [one, other] = _groups([Spell((100.0,), (6,)), Spell((200.0, 100.0), (0, 4))])
    assert (one.due, one.expected) == (2.0, 1.0)
    assert other.due == 8.0
    assert other.expected == pytest.approx(24.0)


@pytest.mark.parametrize(("shape", "scale"), [(3.5, 600.0), (0.6, 1000.0), (1.0, 1500.0)])
def test_equal_batches_fitted_one_after_the_other_seldom_stand_out(
    shape: float, scale: float
) -> None:
    """Eight batches of one law, one a quarter. By the time watched alone one was called worse in
    every shop where they wear out, and in one of four where they fail early."""
    chance, shops = default_rng(20261128), 200
    called = sum(
        any(one.screened.outside for one in _groups(_shop(chance, shape, scale)))
        for _shop_number in range(shops)
    )
    assert called <= 18  # beyond it lies less than 1 % of Bin(200, 0.05)


def test_a_batch_that_wears_out_twice_as_soon_is_found_though_it_is_the_youngest() -> None:
    chance, found = default_rng(7), 0
    for _shop_number in range(50):
        rows = _shop(chance, 2.0, 900.0)
        last = _batch(chance, 2.0, 300.0, WATCHED - 250)
        groups = _groups([*rows[:-1], last])
        found += groups[-1].stands_out
    assert found > 40


def _shop(chance: Generator, shape: float, scale: float) -> list[Spell]:
    return [_batch(chance, shape, scale, int(WATCHED * at / BATCHES) + 10) for at in range(BATCHES)]


def _batch(chance: Generator, shape: float, scale: float, fitted: int) -> Spell:
    """Fitted on a day, all followed to the last."""
    whole = Spell()
    for life in scale * chance.weibull(shape, EACH):
        end = min(max(1, int(life)), WATCHED - fitted)
        steps = (end - 1) // STEP_DAYS
        days = (*([float(STEP_DAYS)] * steps), float(end - STEP_DAYS * steps))
        whole += Spell(days, (*([0] * steps), int(life < WATCHED - fitted)))
    return whole


def _groups(rows: list[Spell]) -> tuple[Group, ...]:
    kind = Kind("hub", "Hub", {1: "PL2"})
    tallies, named = {}, {}
    for at, spell in enumerate(rows):
        days = sum(spell.days)
        tally = Tally(units=EACH, failed=sum(spell.failed), days=Bracket(days, days, days))
        tallies[Of(1, "", "", f"B{at}", None)] = tally
        named[1, "", f"B{at}"] = spell
    return all_groups([kind], Tallies(tallies, 0.0, named), TODAY)
