"""Lives as the acts keep them: always what follows from the jobs, in whatever order."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from random import Random
from uuid import uuid4

import pytest
from django.utils.timezone import localtime

from jobs.models import FittedUnit, Repair, RepairOrder, Replacement
from jobs.services import fitting, gone, rebuilt, release
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from shop.models import Vehicle
from shop.services.vehicles import VehicleInput, change_vehicle
from tests.asserts import counted
from tests.factories import a_repair_order, a_vehicle, an_odometer_reading, the_platform
from tests.jobs.along import Crew, bring_to, go
from tests.jobs.lives.keeping import assert_kept_as_rebuilt, lives_at

HUB = ("hub_and_sensor", "LR")
Exit, Entry = FittedUnit.Exit, FittedUnit.Entry


def ago(days: int) -> datetime:
    return clock.now() - timedelta(days=days)


def day_of(moment: datetime) -> int:
    return localtime(moment).date().toordinal()


def taken_in(crew: Crew, vehicle: Vehicle, km: int) -> RepairOrder:
    return a_repair_order(
        crew.manager, vehicle=vehicle, odometer=str(km), technician=crew.technician
    )


def fit_the_hub(crew: Crew, order: RepairOrder, **said: object) -> Replacement:
    """Everything up to the hub being on."""
    bring_to(Stage.REPAIRING, order, crew)
    row = Replacement.objects.get(complaint__order=order)
    fitting.acknowledge(crew.technician, act=uuid4(), order=order)
    return fitting.fit(crew.technician, act=uuid4(), replacement=row, **said)  # type: ignore[arg-type]


def hand_over(crew: Crew, order: RepairOrder) -> None:
    go(crew.technician, order, Move.ALL_FITTED)
    order.refresh_from_db()
    release.release(
        crew.manager,
        order,
        act=uuid4(),
        revision=order.revision,
        override="The owner is in a hurry",
    )


def whole_job(crew: Crew, vehicle: Vehicle, km: int, **said: object) -> RepairOrder:
    order = taken_in(crew, vehicle, km)
    fit_the_hub(crew, order, **said)
    hand_over(crew, order)
    return order


def change(manager: Actor, vehicle: Vehicle, **more: object) -> None:
    vehicle.refresh_from_db()
    details: dict[str, object] = {
        "vin": vehicle.vin,
        "plate": vehicle.plate,
        "platform": vehicle.platform,
        "model_year": vehicle.model_year,
        "tyre_size": vehicle.tyre_size,
        "in_service_on": vehicle.in_service_on,
        "in_service_sure": True,
    }
    change_vehicle(
        manager,
        vehicle,
        act=uuid4(),
        revision=vehicle.revision,
        details=VehicleInput(**(details | more)),  # type: ignore[arg-type]
    )


def test_taken_in_for_the_first_time_every_place_has_its_unit(crew: Crew) -> None:
    order = taken_in(crew, a_vehicle(crew.manager), 60_000)
    units = FittedUnit.objects.filter(vehicle=order.vehicle)
    assert units.count() == 30
    assert {unit.entry for unit in units} == {Entry.FIRST_SEEN}
    assert units.filter(component__key="hub_and_sensor").count() == 2
    assert {unit.entered_at_m for unit in units} == {60_000_000}
    assert_kept_as_rebuilt(order.workshop)


def test_a_vehicle_of_no_platform_has_none_until_its_platform_is_known(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager, platform=None)
    with clock.at(ago(50)):
        an_odometer_reading(crew.manager, vehicle=vehicle, value="60000")
    assert not FittedUnit.objects.filter(vehicle=vehicle).exists()
    change(crew.manager, vehicle, platform=the_platform())
    unit = lives_at(vehicle, *HUB)[0]
    assert (unit.in_day, unit.born_day) == (day_of(ago(50)), None)
    assert unit.entered_on == localtime(ago(50)).date()
    change(crew.manager, vehicle, in_service_on=date(2024, 2, 29))
    unit.refresh_from_db()
    assert unit.born_day == date(2024, 2, 29).toordinal()
    assert_kept_as_rebuilt(vehicle.workshop)


def test_a_platform_put_right_leaves_no_units_of_the_wrong_one(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager, platform="PL4")
    an_odometer_reading(crew.manager, vehicle=vehicle, value="60000")
    assert FittedUnit.objects.filter(vehicle=vehicle, component__platform__code="PL4").exists()
    change(crew.manager, vehicle, platform=the_platform("PL2"))
    platforms = FittedUnit.objects.filter(vehicle=vehicle).values_list("component__platform__code")
    assert set(platforms) == {("PL2",)}
    assert_kept_as_rebuilt(vehicle.workshop)


def test_a_unit_found_failed_is_dated_on_its_taking_in(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    with clock.at(ago(100)):
        an_odometer_reading(crew.manager, vehicle=vehicle, value="60000")
    with clock.at(ago(10)):
        order = taken_in(crew, vehicle, 70_000)
    with clock.at(ago(7)):
        fit_the_hub(crew, order, serial_on="HS24-2", batch_on=" ba24-3 ")
    old, new = lives_at(vehicle, *HUB)
    assert (old.in_day, old.out_day, old.exit) == (day_of(ago(100)), day_of(ago(10)), Exit.FAILED)
    assert old.left_on == localtime(ago(7)).date()
    assert (old.out_m, old.left_at_out_m) == (70_000_000, True)
    assert (new.in_day, new.out_day, new.batch) == (day_of(ago(7)), day_of(ago(7)), "BA24-3")
    assert new.m_a_day == round(10_000_000 / 90)
    assert_kept_as_rebuilt(vehicle.workshop)


def test_a_unit_that_somebody_else_replaced_is_another_life(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    with clock.at(ago(200)):
        whole_job(crew, vehicle, 60_000, serial_on="HS24-2")
    with clock.at(ago(100)):
        an_odometer_reading(crew.manager, vehicle=vehicle, value="70000")
    order = taken_in(crew, vehicle, 80_000)
    row = fit_the_hub(crew, order, serial_off="XX-1", serial_on="HS24-9", serial_differs=True)
    _first, fitted, found, new = lives_at(vehicle, *HUB)
    assert (fitted.exit, fitted.out_day) == (Exit.ELSEWHERE, day_of(ago(100)))
    assert fitted.left_on == localtime(ago(100)).date()
    assert (found.entry, found.exit, found.serial_number) == (Entry.ELSEWHERE, Exit.FAILED, "XX-1")
    assert (found.in_day, found.out_day, found.born_day) == (day_of(ago(0)),) * 2 + (None,)
    assert (row.unit_off, row.unit_on) == (found, new)
    assert_kept_as_rebuilt(vehicle.workshop)


def test_two_failures_at_one_place_on_one_day(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    first, second = taken_in(crew, vehicle, 60_000), taken_in(crew, vehicle, 60_000)
    fit_the_hub(crew, first, serial_on="HS24-2")
    fit_the_hub(crew, second, serial_off="HS24-2", serial_on="HS24-3")
    lives = lives_at(vehicle, *HUB)
    assert [life.serial_number for life in lives] == ["", "HS24-2", "HS24-3"]
    assert [life.exit for life in lives] == [Exit.FAILED, Exit.FAILED, ""]
    assert_kept_as_rebuilt(vehicle.workshop)


def test_a_void_order_leaves_its_sight_and_no_repair(crew: Crew) -> None:
    order = taken_in(crew, a_vehicle(crew.manager), 60_000)
    go(crew.manager, order, Move.VOID, reason="Opened by mistake")
    assert not Repair.objects.exists()
    assert lives_at(order.vehicle, *HUB)[0].in_day == day_of(ago(0))
    assert_kept_as_rebuilt(order.workshop)


def test_two_workshops_keep_their_own(crew: Crew, pim: Actor) -> None:
    here = a_vehicle(crew.manager)
    there = a_vehicle(pim, vin=here.vin)
    an_odometer_reading(crew.manager, vehicle=here, value="60000")
    an_odometer_reading(pim, vehicle=there, value="61000")
    own = FittedUnit.objects.filter(vehicle=there)
    assert {unit.workshop_id for unit in own} == {pim.workshop.pk}
    assert {unit.in_m for unit in own} == {61_000_000}
    for workshop in (crew.manager.workshop, pim.workshop):
        assert_kept_as_rebuilt(workshop)


def test_a_sight_costs_the_same_however_often_the_vehicle_was_here(
    crew: Crew, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    vehicle = a_vehicle(crew.manager)
    for day in range(90, 1, -4):
        with clock.at(ago(day)):
            an_odometer_reading(crew.manager, vehicle=vehicle, value=str(60_000 - day))
    with django_assert_max_num_queries(30):  # type: ignore[attr-defined]
        an_odometer_reading(crew.manager, vehicle=vehicle, value="60000")


def test_working_them_out_costs_the_same_queries_for_many_vehicles(crew: Crew) -> None:
    costs = []
    for many in (2, 8):
        while Vehicle.objects.count() < many:
            an_odometer_reading(crew.manager, vehicle=a_vehicle(crew.manager))
        with counted() as queries:
            assert rebuilt.differences(crew.manager.workshop) == []
        costs.append(len(queries))
    assert costs[0] == costs[1]


# ------------------------------------------------------------------ whatever is done


@pytest.mark.parametrize("seed", range(4))
def test_whatever_is_done_in_whatever_order_what_is_kept_is_what_follows(
    crew: Crew, seed: int
) -> None:
    chance = Random(seed)
    cars = [a_vehicle(crew.manager), a_vehicle(crew.manager, platform=None)]
    day = 700
    for _step in range(9):
        day -= chance.choice((0, 1, 40))
        with clock.at(ago(day)):
            something(crew, chance, chance.choice(cars))
        assert rebuilt.differences(crew.manager.workshop) == []
    assert_kept_as_rebuilt(crew.manager.workshop)


def something(crew: Crew, chance: Random, vehicle: Vehicle) -> None:
    vehicle.refresh_from_db()
    last = vehicle.odometer_readings.first()
    km = chance.randrange(50_000, 90_000) if last is None else last.distance_m // 1000
    km += chance.choice((0, 300, 2_000))
    what = chance.choice(("job", "job", "note", "back", "void", "platform", "service", "gone"))
    if what == "job" and vehicle.platform:
        whole_job(crew, vehicle, km, serial_on=f"S{chance.random()}"[:20])
    elif what == "note":
        an_odometer_reading(crew.manager, vehicle=vehicle, value=str(km), reason="as it shows")
    elif what == "back":
        lower = str(max(0, km - 30_000))
        an_odometer_reading(crew.manager, vehicle=vehicle, value=lower, reason="new instrument")
    elif what == "void":
        order = taken_in(crew, vehicle, km)
        go(crew.manager, order, Move.VOID, reason="Opened by mistake")
    elif what == "platform":
        change(crew.manager, vehicle, platform=chance.choice((the_platform(), None)))
    elif what == "service":
        change(crew.manager, vehicle, in_service_on=date(2021, chance.randrange(1, 13), 28))
    elif what == "gone":
        gone.say(
            crew.manager,
            vehicle,
            act=uuid4(),
            revision=vehicle.revision,
            gone=Vehicle.Gone.SCRAPPED,
            gone_on=clock.today(),
        )
