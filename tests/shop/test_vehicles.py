"""Adding vehicles and keeping what is known of them right."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest

from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import Customer, LogEntry, OdometerReading, Vehicle
from shop.services.customers import CustomerInput
from shop.services.vehicles import VehicleInput, add_vehicle, change_owner, change_vehicle
from tests.asserts import refused
from tests.factories import a_customer, a_vehicle, a_vin


def add(actor: Actor, **said: Any) -> Vehicle:
    details = VehicleInput(**({"vin": a_vin()} | said))
    return add_vehicle(
        actor, act=uuid4(), details=details, customer=CustomerInput("Ada W.", "555 0123")
    )


def wrong_digit(vin: str) -> str:
    return vin[:8] + ("1" if vin[8] != "1" else "2") + vin[9:]


@pytest.mark.parametrize(
    ("typed", "says"),
    [("9ZZPL2A", "17"), ("9ZZPL2A0OM1000001", "letter O"), ("", "17")],
)
def test_it_refuses_what_is_no_vin_and_takes_one(bela: Actor, typed: str, says: str) -> None:
    with refused(field="vin", says=says):
        add(bela, vin=typed)
    assert not Customer.objects.exists()
    assert add(bela, vin=a_vin().lower()).vin.isupper()


def test_a_wrong_check_digit_is_overruled_with_a_reason_that_is_kept(bela: Actor) -> None:
    vin = wrong_digit(a_vin())
    with refused(field="vin_overrule_reason", says="check digit"):
        add(bela, vin=vin)
    vehicle = add(bela, vin=vin, vin_overrule_reason="Reads so on the sill plate")
    assert vehicle.vin_overrule_reason == "Reads so on the sill plate"


def test_a_reason_that_nobody_needs_is_not_kept(bela: Actor) -> None:
    assert add(bela, vin_overrule_reason="just so").vin_overrule_reason == ""


def test_a_vin_is_in_a_workshop_once_and_may_be_in_the_next_one_too(
    bela: Actor, pim: Actor
) -> None:
    vehicle = a_vehicle(bela, plate="7KD 3318")
    with refused(field="vin", says="7KD 3318"):
        add(bela, vin=vehicle.vin)
    assert add(pim, vin=vehicle.vin).workshop == pim.workshop


def test_a_tyre_size_is_read_into_its_figures(bela: Actor) -> None:
    with refused(field="tyre_size", says="185/65 R15"):
        add(bela, tyre_size="round")
    vehicle = add(bela, tyre_size="185/65r15 88t")
    assert (vehicle.tyre_size, vehicle.tyre_width_mm) == ("185/65 R15 88T", 185)
    assert (vehicle.tyre_aspect, vehicle.tyre_rim_in) == (65, 15.0)


def test_it_refuses_a_service_date_to_come_and_takes_today(bela: Actor) -> None:
    with refused(field="in_service_on", says="still to come"):
        add(bela, in_service_on=clock.today() + timedelta(days=1))
    assert add(bela, in_service_on=clock.today()).in_service_on == clock.today()


def test_a_service_date_long_before_the_model_year_is_asked_about_and_confirmed(
    bela: Actor,
) -> None:
    strange = {"model_year": 2021, "in_service_on": date(2018, 5, 1)}
    with refused(field="in_service_sure", says="model year 2021"):
        add(bela, **strange)
    assert add(bela, **strange, in_service_sure=True).in_service_on == date(2018, 5, 1)


def test_a_service_date_after_the_odometer_was_first_read_is_asked_about(bela: Actor) -> None:
    """It had run before it went into service: one of the two days may be wrong."""
    vehicle = a_vehicle(bela)
    read_on = clock.now() - timedelta(days=30)
    OdometerReading.objects.create(
        workshop=bela.workshop,
        vehicle=vehicle,
        read_at=read_on,
        distance_m=42_000_000,
        typed_value="42000",
        typed_unit="km",
        seen="noted",
        by=bela.user,
    )

    def change(**said: Any) -> None:
        details = VehicleInput(vin=vehicle.vin, in_service_on=clock.today(), **said)
        change_vehicle(bela, vehicle, act=uuid4(), revision=vehicle.revision, details=details)

    with refused(field="in_service_sure", says="42000 km, before"):
        change()
    change(in_service_sure=True)
    assert vehicle.in_service_on == clock.today()
    change()  # the same day again asks nothing


def test_it_refuses_a_model_year_that_is_none_and_takes_one(bela: Actor) -> None:
    with refused(field="model_year"):
        add(bela, model_year=21)
    assert add(bela, model_year=2021).model_year == 2021


def test_it_refuses_a_customer_of_another_workshop_and_takes_its_own(
    bela: Actor, pim: Actor
) -> None:
    with refused(field="name", says="this workshop"):
        a_vehicle(bela, customer=a_customer(pim), platform=None)
    assert a_vehicle(bela, customer=a_customer(bela), platform=None).pk


def test_it_refuses_the_parts_counter_and_lets_a_technician(nuri: Actor, ines: Actor) -> None:
    with refused(says="tell the desk"):
        add(nuri)
    assert add(ines).pk


def test_sent_twice_a_vehicle_is_added_once(bela: Actor) -> None:
    act, details = uuid4(), VehicleInput(vin=a_vin())
    owner = a_customer(bela)
    add_vehicle(bela, act=act, details=details, customer=owner)
    with pytest.raises(AlreadyDone):
        add_vehicle(bela, act=act, details=details, customer=owner)
    assert Vehicle.objects.count() == 1


def test_a_second_tablet_with_older_details_is_told_and_may_then_go_on(
    bela: Actor, ines: Actor
) -> None:
    vehicle = add(bela, plate="7KD 3318")
    seen = vehicle.revision
    first = VehicleInput(vin=vehicle.vin, plate="7KD 3319")
    change_vehicle(ines, vehicle, act=uuid4(), revision=seen, details=first)
    second = VehicleInput(vin=vehicle.vin, plate="7KD 3320")
    with pytest.raises(Clash):
        change_vehicle(bela, vehicle, act=uuid4(), revision=seen, details=second)
    change_vehicle(bela, vehicle, act=uuid4(), revision=seen + 1, details=second)
    assert Vehicle.objects.get(pk=vehicle.pk).plate_key == "7KD3320"
    told = LogEntry.objects.filter(kind="vehicle").values_list("words", flat=True)
    assert "changed 7KD 3320: plate 7KD 3319 → 7KD 3320" in told


def test_a_sold_vehicle_gets_its_new_owner_in_one_act(bela: Actor) -> None:
    vehicle = add(bela)
    new = CustomerInput("Jon F.", "555 0150")
    change_owner(bela, vehicle, act=uuid4(), revision=vehicle.revision, customer=new)
    assert Vehicle.objects.get(pk=vehicle.pk).customer.name == "Jon F."
    assert LogEntry.objects.filter(words__contains="from Ada W. to Jon F.").exists()
