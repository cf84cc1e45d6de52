"""What a report of a day gone by counts: what was known at its end, whatever came later."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnostics.models import Component
from jobs.lives.lives import lives_of
from jobs.lives.rows import History, Life, Place
from jobs.models import FittedUnit
from jobs.reports.queries import life_sql
from jobs.reports.queries.follow_up import Gap
from shop.actor import Actor
from shop.models import OdometerReading, Vehicle
from tests.factories import the_platform
from tests.jobs.lives.histories import BEGAN, HOSE, HUB, KM, a_history, a_swap, histories
from tests.jobs.reports.lives_made import vehicles
from tests.jobs.reports.seen_made import noon

pytestmark = pytest.mark.django_db
COLUMNS = (
    *("component_id", "position", "entry", "exit", "in_day", "out_day", "born_day"),
    *("in_m", "out_m", "born_m", "left_at_out_m", "m_a_day"),
)


def as_known(history: History, day: int) -> History:
    """Cut off at the end of a day: what was read, fitted and said to be gone up to then. Of the
    pages of the platform the place of every unit is known."""
    gone = history.gone_day
    return replace(
        history,
        places=tuple({*history.places, *(one.place for one in history.swaps)}),
        sights=tuple(one for one in history.sights if one.day <= day),
        swaps=tuple(one for one in history.swaps if one.fitted_day <= day),
        gone_day=gone if gone is not None and gone <= day else None,
    )


def as_row(life: Life, components: dict[int, int]) -> tuple[object, ...]:
    """How far the vehicle goes in a day is asked of units alone that are still on."""
    where = (components[life.place.component], life.place.position, life.entry, life.exit)
    days = (life.in_day, life.out_day, life.born_day)
    a_day = None if life.exit else life.m_a_day
    return (*where, *days, life.in_m, life.out_m, life.born_m, life.left_at_out_m, a_day)


def keep(actor: Actor, vehicle: Vehicle, history: History, components: dict[int, int]) -> None:
    """The rows of a history, and the distances that were read, as the services leave them."""
    OdometerReading.objects.filter(vehicle=vehicle).delete()
    FittedUnit.objects.filter(vehicle=vehicle).delete()
    OdometerReading.objects.bulk_create(
        OdometerReading(
            workshop=actor.workshop,
            vehicle=vehicle,
            read_at=noon(one.day),
            distance_m=one.at_m,
            typed_value="1",
            typed_unit="km",
            seen="noted",
            by=actor.user,
        )
        for one in history.sights
    )
    FittedUnit.objects.bulk_create(
        FittedUnit(
            workshop=actor.workshop,
            vehicle=vehicle,
            component_id=components[life.place.component],
            position=life.place.position,
            entry=life.entry,
            exit=life.exit,
            entered_on=date.fromordinal(life.in_day),
            entered_at_m=life.in_m or 0,
            left_on=date.fromordinal(life.known_day) if life.known_day else None,
            in_day=life.in_day,
            out_day=life.out_day,
            born_day=life.born_day,
            in_m=life.in_m,
            out_m=life.out_m,
            born_m=life.born_m,
            left_at_out_m=life.left_at_out_m,
            m_a_day=life.m_a_day,
            known_day=life.known_day,
            stretch=life.stretch,
        )
        for life in lives_of(history)
    )


def rows_of(actor: Actor, day: int) -> list[tuple[object, ...]]:
    asked = life_sql.lives_of(actor.workshop.pk, date.fromordinal(day), Gap(90, 50, ""))
    sql = f"SELECT {', '.join(COLUMNS)} FROM {asked.rows} u WHERE {asked.where}"
    found = life_sql.fetched(sql, asked.values)
    rows = ((*row[:10], bool(row[10]), None if row[3] else row[11]) for row in found)
    return sorted(rows, key=repr)


def components_of(keys: tuple[int, ...] = (1, 2, 3)) -> dict[int, int]:
    pks = Component.objects.filter(platform=the_platform()).order_by("pk")
    return dict(zip(keys, pks.values_list("pk", flat=True)[: len(keys)], strict=True))


def same_as_then(
    actor: Actor, vehicle: Vehicle, history: History, day: int, components: dict[int, int]
) -> None:
    keep(actor, vehicle, history, components)
    then = lives_of(as_known(history, day))
    assert rows_of(actor, day) == sorted((as_row(one, components) for one in then), key=repr)


SIGHTS = ((0, 60_000), (100, 70_000), (200, 80_000), (300, 90_000), (400, 100_000))


@pytest.mark.parametrize("day", [0, 99, 100, 250, 310, 399, 400, 500])
@pytest.mark.parametrize(
    "history",
    [
        a_history(*SIGHTS, places=(HUB, HOSE)),
        a_history(*SIGHTS, swaps=(a_swap((300, 90_000), (310, 90_000), on=1),)),
        a_history(*SIGHTS, swaps=(a_swap((300, 90_000), (310, 90_000), another=True, on=1),)),
        a_history(*SIGHTS, gone=450),
        a_history(*SIGHTS, gone=250),
        a_history((0, 60_000), (100, 70_000), (200, 5_000), (300, 9_000), (400, 12_000)),
        a_history((0, 60_000), (100, 70_000), (300, 5_000), (305, 9_000), (400, 3_000)),
    ],
    ids=["seen", "failed", "elsewhere", "gone", "gone and back", "backwards", "twice backwards"],
)
def test_the_rows_are_those_that_were_kept_then(vera: Actor, history: History, day: int) -> None:
    [vehicle] = vehicles(vera, 1)
    same_as_then(vera, vehicle, history, BEGAN + day, components_of())


@settings(
    deadline=None,
    max_examples=150,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(histories(), st.integers(0, 960))
def test_of_any_vehicle_they_are_those_that_were_kept_then(
    vera: Actor, history: History, day: int
) -> None:
    """Of vehicles that could be: one that stands in the workshop is not said to be gone."""
    gone = history.gone_day
    if gone is not None and any(one.came_day <= gone <= one.fitted_day for one in history.swaps):
        history = replace(history, gone_day=None)
    vehicle = Vehicle.objects.filter(workshop=vera.workshop).first() or vehicles(vera, 1)[0]
    same_as_then(vera, vehicle, history, BEGAN + day, components_of())


def test_found_at_an_earlier_visit_it_was_known_only_when_it_came_off(vera: Actor) -> None:
    swap = replace(
        a_swap((300, 90_000), (310, 90_000), on=1), found_day=BEGAN + 100, found_m=70_000 * KM
    )
    [vehicle] = vehicles(vera, 1)
    history = a_history(*SIGHTS, swaps=(swap,))
    for day in (150, 309, 310, 400):
        same_as_then(vera, vehicle, history, BEGAN + day, components_of())
    assert Place(1, "LR") == HUB
