"""Since when a unit had failed whose repair was declined, before it was replaced at last."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import uuid4

from jobs.lives.findings import Fitting, Said, first_found
from jobs.lives.lives import lives_of
from jobs.lives.rows import Place
from jobs.models import FittedUnit, RepairOrder
from jobs.services import release
from jobs.stages import Stage
from shop import clock
from shop.models import Vehicle
from tests.factories import a_vehicle, an_odometer_reading
from tests.jobs.along import Crew, bring_to
from tests.jobs.lives.histories import BEGAN, HOSE, HUB, KM, a_history, a_swap
from tests.jobs.lives.keeping import assert_kept_as_rebuilt, lives_at
from tests.jobs.lives.test_kept import ago, day_of, fit_the_hub, taken_in, whole_job

BRAKES, STEERING = 1, 2
DAY_0 = datetime(2024, 2, 29, 9, tzinfo=UTC)


def said(
    day: int,
    place: Place | None = HUB,
    *,
    declined: bool = True,
    again: int | None = None,
    system: int | None = BRAKES,
    stayed: int = 1,
) -> Said:
    """Order and complaint go by the day on which the vehicle was taken in."""
    came = DAY_0 + timedelta(days=day)
    closed = came + timedelta(days=stayed)
    return Said(
        came, day, closed, day, again, system, place, declined, BEGAN + day, (60_000 + day) * KM
    )


def fitting(day: int, place: Place = HUB) -> Fitting:
    came = DAY_0 + timedelta(days=day)
    return Fitting(day, came, day, place, came + timedelta(hours=5))


def first_days(words: list[Said], fittings: list[Fitting]) -> dict[int, int]:
    return {unit: found.day - BEGAN for unit, found in first_found(words, fittings).items()}


def test_the_first_of_several_findings_counts_whatever_came_between() -> None:
    words = [said(100), said(200, HOSE, system=STEERING, declined=False), said(300, again=100)]
    assert first_days(words, [fitting(400)]) == {400: 100}
    assert first_days(words[::-1], [fitting(400)]) == {400: 100}


def test_without_an_earlier_finding_there_is_none() -> None:
    assert first_days([], [fitting(400)]) == {}
    assert first_days([said(400, declined=False)], [fitting(400)]) == {}
    assert first_days([said(100, HOSE)], [fitting(400)]) == {}


def test_a_repair_of_it_breaks_the_finding() -> None:
    assert first_days([said(100), said(200, declined=False)], [fitting(400)]) == {}
    both = [fitting(200), fitting(400)]
    assert first_days([said(100)], both) == {200: 100}
    assert first_days([said(100), said(300)], both) == {200: 100, 400: 300}


def test_another_conclusion_of_what_was_declined_breaks_it() -> None:
    other = said(200, HOSE, again=100, system=STEERING)
    assert first_days([said(100), other], [fitting(400)]) == {}
    assert first_days([said(100), other, said(300)], [fitting(400)]) == {400: 300}
    unasked = said(200, HOSE, system=STEERING)
    assert first_days([said(100), unasked], [fitting(400)]) == {400: 100}


def test_nothing_found_in_that_system_breaks_it_and_in_another_does_not() -> None:
    for system, found in ((BRAKES, {}), (STEERING, {400: 100}), (None, {400: 100})):
        nothing = said(200, None, declined=False, system=system)
        assert first_days([said(100), nothing], [fitting(400)]) == found


def test_an_order_that_was_open_still_when_it_was_replaced_says_nothing() -> None:
    assert first_days([said(100, stayed=350)], [fitting(400)]) == {}


# ------------------------------------------------------------------ the day of failure


def test_a_unit_that_was_left_on_failed_when_it_was_found_and_was_known_to_leave_later() -> None:
    swap = replace(a_swap((200, 90_000), (203, 90_000)), found_day=BEGAN + 100, found_m=70_000 * KM)
    sights = ((0, 60_000), (100, 70_000), (200, 90_000))
    old, new = lives_of(a_history(*sights, swaps=(swap,)))
    assert (old.exit, old.in_day - BEGAN, old.out_day - BEGAN) == ("failed", 0, 100)
    assert (old.out_m, old.left_at_out_m, old.known_day) == (70_000 * KM, True, BEGAN + 203)
    assert new.in_day == BEGAN + 203
    # Of what came off for another reason nothing is told by it.
    kept, _new = lives_of(a_history(*sights, swaps=(replace(swap, failed=False),)))
    assert kept.out_day == BEGAN + 200


def test_a_finding_of_before_the_unit_was_first_seen_anew_makes_it_fail_at_first_sight() -> None:
    swap = replace(a_swap((400, 90_000)), found_day=BEGAN + 100, found_m=70_000 * KM)
    sights = ((0, 60_000), (100, 70_000), (300, 85_000), (400, 90_000))
    first, anew, _new = lives_of(a_history(*sights, swaps=(swap,), gone=150))
    assert (first.exit, first.known_day) == ("gone", BEGAN + 150)
    assert (anew.entry, anew.exit) == ("first_seen", "failed")
    assert (anew.in_day, anew.out_day, anew.out_m) == (BEGAN + 300, BEGAN + 300, 85_000 * KM)


def test_what_somebody_else_fitted_meanwhile_is_not_what_was_found() -> None:
    swap = replace(a_swap((400, 90_000), another=True), found_day=BEGAN + 100, found_m=70_000 * KM)
    sights = ((0, 60_000), (100, 70_000), (400, 90_000))
    old, found, _new = lives_of(a_history(*sights, swaps=(swap,)))
    assert (old.exit, old.out_day, old.known_day) == ("elsewhere", BEGAN + 100, BEGAN + 400)
    assert (found.exit, found.in_day, found.out_day) == ("failed", BEGAN + 400, BEGAN + 400)
    assert (found.out_m, found.left_at_out_m) == (90_000 * KM, True)


# ------------------------------------------------------------------ as the acts keep it


def declined(crew: Crew, vehicle: Vehicle, km: int) -> RepairOrder:
    """The hub was found to have failed; the customer drove off with it."""
    order = taken_in(crew, vehicle, km)
    bring_to(Stage.DECLINED, order, crew)
    order.refresh_from_db()
    release.leave_unrepaired(
        crew.manager, order, act=uuid4(), revision=order.revision, reason="Too dear"
    )
    return order


def test_declined_at_the_first_visit_it_was_watched_for_no_time(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    with clock.at(ago(100)):
        declined(crew, vehicle, 60_000)
    with clock.at(ago(10)):
        whole_job(crew, vehicle, 64_000, serial_on="HS24-2")
    old, new = lives_at(vehicle, "hub_and_sensor", "LR")
    assert (old.exit, old.in_day, old.out_day) == ("failed", day_of(ago(100)), day_of(ago(100)))
    assert (old.known_day, new.in_day) == (day_of(ago(10)), day_of(ago(10)))
    other = lives_at(vehicle, "hub_and_sensor", "RR")
    assert [(one.exit, one.in_day) for one in other] == [("", day_of(ago(100)))]
    assert_kept_as_rebuilt(vehicle.workshop)


def test_declined_at_a_later_visit_it_failed_then(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    with clock.at(ago(300)):
        an_odometer_reading(crew.manager, vehicle=vehicle, value="60000")
    with clock.at(ago(100)):
        declined(crew, vehicle, 70_000)
    with clock.at(ago(60)):
        an_odometer_reading(crew.manager, vehicle=vehicle, value="71000")
    # Not repaired yet: as far as anybody knows, it is on.
    (still,) = lives_at(vehicle, "hub_and_sensor", "LR")
    assert (still.exit, still.known_day, still.out_day) == ("", None, day_of(ago(60)))
    order = taken_in(crew, vehicle, 74_000)
    fit_the_hub(crew, order, serial_on="HS24-2")
    old = FittedUnit.objects.get(taken_off_by__complaint__order=order)
    assert (old.exit, old.in_day, old.out_day) == ("failed", day_of(ago(300)), day_of(ago(100)))
    assert (old.out_m, old.left_at_out_m) == (70_000_000, True)
    assert old.known_day == day_of(ago(0))
    assert_kept_as_rebuilt(vehicle.workshop)
