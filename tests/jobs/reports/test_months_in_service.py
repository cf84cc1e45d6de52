"""Failures by month in service: counted unit by unit, and against lifelines' summed hazard."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest
from lifelines import NelsonAalenFitter

from diagnostics.models import Component
from jobs.models import FittedUnit
from jobs.reports.document import Span
from jobs.reports.figures import component_months
from jobs.reports.figures.component_months import matured
from jobs.reports.queries.component import one_kind
from jobs.reports.queries.follow_up import Gap
from jobs.reports.queries.life_places import cohorts
from jobs.reports.queries.life_sql import lives_of
from jobs.reports.stats.triangle import months_in_service
from shop.actor import Actor
from tests.factories import the_platform
from tests.jobs.reports.lives_made import TODAY, a_life, vehicles

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_that_day")]
MONTH = 365.25 / 12
FOLLOWED = 150


def _component() -> Component:
    found = Component.objects.filter(platform=the_platform()).order_by("pk").first()
    assert found is not None
    return found


def _fit(vera: Actor, many: int, seed: int) -> None:
    """Units fitted over two years, failing at random; one vehicle in three is not seen again."""
    random, until = np.random.default_rng(seed), TODAY.toordinal()
    rows = []
    for vehicle in vehicles(vera, many):
        day = until - int(random.integers(1, 730))
        fails, stays = int(random.exponential(900)), random.random() < 2 / 3
        last = until if stays else min(until, day + int(random.integers(0, 200)))
        failed = day + fails <= last
        out = day + fails if failed else last
        rows.append(
            a_life(vehicle, _component(), in_day=day, out_day=out, exit="failed" if failed else "")
        )
    FittedUnit.objects.bulk_create(rows)


def test_a_unit_counts_in_a_month_for_as_long_as_it_was_followed_in_it(vera: Actor) -> None:
    _fit(vera, 60, 3)
    until = TODAY.toordinal()
    found = cohorts(lives_of(vera.workshop.pk, TODAY, Gap(FOLLOWED, 99, "")))
    by_hand = np.zeros_like(found.followed)
    for unit in FittedUnit.objects.all():
        end = unit.out_day if unit.exit else min(unit.out_day + FOLLOWED, until)
        row = found.first.index(date.fromordinal(unit.in_day).replace(day=1))
        age = max(end - unit.in_day, 0.5) / MONTH
        for month in range(by_hand.shape[1]):
            by_hand[row, month] += min(max(age - month, 0.0), 1.0)
    assert np.allclose(found.followed, by_hand)
    assert found.failed.sum() == FittedUnit.objects.filter(exit="failed").count()


def test_a_unit_that_is_not_seen_again_is_not_taken_to_be_sound(vera: Actor) -> None:
    """Two fitted two years ago: one failed after ten days, one was never seen again."""
    day = (TODAY - timedelta(days=730)).toordinal()
    one, other = vehicles(vera, 2)
    a_life(one, _component(), in_day=day, out_day=day + 10, exit="failed").save()
    a_life(other, _component(), in_day=day, out_day=day).save()
    found = cohorts(lives_of(vera.workshop.pk, TODAY, Gap(0, 99, "")))
    assert found.followed[0, 0] == pytest.approx((10 + 0.5) / MONTH)
    assert found.followed[0, 1:].sum() == 0


def test_the_sum_is_that_of_the_hazard_of_the_same_units(vera: Actor) -> None:
    """Against lifelines (Nelson and Aalen) over the first year of cohorts that are old enough."""
    _fit(vera, 900, 11)
    found = cohorts(lives_of(vera.workshop.pk, TODAY, Gap(FOLLOWED, 99, "")))
    failed, last = matured(found)
    made = months_in_service(found.followed[:, :12], failed[:, :12], np.minimum(last, 11).tolist())
    old = [at for at, reached in enumerate(found.reached) if reached >= 12]
    first = found.first[old[-1]]
    until, ages, events = TODAY.toordinal(), [], []
    for unit in FittedUnit.objects.filter(in_day__lt=first.toordinal() + 28):
        end = unit.out_day if unit.exit else min(unit.out_day + FOLLOWED, until)
        ages.append(max(end - unit.in_day, 0.5))
        events.append(unit.exit == "failed")
    hazard = NelsonAalenFitter().fit(ages, events).cumulative_hazard_at_times(12 * MONTH)
    assert float(made.cumulative[-1]) == pytest.approx(float(hazard.iloc[0]), abs=2 * made.se[-1])
    assert float(made.cumulative[-1]) == pytest.approx(365 / 900, abs=3 * made.se[-1])


def test_no_more_than_all_units_fail(vera: Actor) -> None:
    """Of sixty, 48 failed after ten days, twelve did not: in the first month 48 in 48 x 10 + 12 x
    30.4375 = 845.25 days, or 27.77 unit-months, a rate of 1.728; 1 - exp(-1.728) is 0.822."""
    day = (TODAY - timedelta(days=100)).toordinal()
    FittedUnit.objects.bulk_create(
        a_life(
            vehicle,
            _component(),
            in_day=day,
            out_day=day + (10 if at < 48 else 100),
            exit="failed" if at < 48 else "",
        )
        for at, vehicle in enumerate(vehicles(vera, 60))
    )
    found = one_kind(vera, Span(TODAY.replace(day=1), TODAY), _component().key)
    assert found is not None
    section = component_months.section(found)
    assert "Of a thousand, 822 fail in their first 2 months in service" in section.says[1]
    [first, _second] = section.tables[0].rows
    share, low, high = (one.value for one in first[3:])
    assert isinstance(share, Decimal)
    assert float(share) == pytest.approx(822.4, abs=0.1)
    assert isinstance(low, Decimal)
    assert isinstance(high, Decimal)
    assert low < share < high < 1000
