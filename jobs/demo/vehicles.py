"""The demo's customers and vehicles, written into the books on the day the story begins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from random import Random
from uuid import uuid4

from jobs.demo.data import Parked, World
from jobs.demo.people import House
from shop.models import Customer, OdometerReading, Platform, Vehicle
from shop.roles import Role
from shop.services import customers, odometer, vehicles
from shop.services.customers import CustomerInput
from shop.services.odometer import OdometerInput
from shop.services.vehicles import VehicleInput
from shop.vin import YEAR_CODES, with_check_digit

DAYS_A_MONTH = 30.44
_FIRST_YEAR_CODE = 1980
_NEXT_YEAR_FROM = 9  # the month in which the next model year is first sold


@dataclass(frozen=True, slots=True)
class Car:
    """A vehicle with what the demo knows of it."""

    row: Parked
    vehicle: Vehicle
    today: date

    def shows(self, moment: datetime, extra_km: int = 0) -> OdometerInput:
        """The odometer on a day: the distance of today less what it goes in a month."""
        days = (self.today - moment.date()).days
        km = self.row.km - round(self.row.a_month * days / DAYS_A_MONTH)
        return OdometerInput(str(km + extra_km), "km")


def write_down(world: World, house: House, *, today: date, opening: datetime) -> dict[str, Car]:
    """All vehicles of a workshop by their plate, each with its owner and first distance."""
    desk = house.holder(Role.MANAGER)
    platforms = {platform.code: platform for platform in Platform.objects.all()}
    owners: dict[str, Customer] = {}
    cars: dict[str, Car] = {}
    for row in world.vehicles[house.place.slug]:
        if row.owner not in owners:
            owners[row.owner] = customers.add_customer(
                desk, act=uuid4(), details=CustomerInput(row.owner, row.phone)
            )
        vehicle = vehicles.add_vehicle(
            desk,
            act=uuid4(),
            details=_details(world, row, platforms, today),
            customer=owners[row.owner],
        )
        car = Car(row, vehicle, today)
        odometer.note(
            desk,
            vehicle,
            car.shows(opening),
            seen_at=OdometerReading.Seen.NOTED,
            act=uuid4(),
        )
        cars[row.plate] = car
    return cars


def _details(
    world: World, row: Parked, platforms: Mapping[str, Platform], today: date
) -> VehicleInput:
    sold = today - timedelta(days=round(row.km / row.a_month * DAYS_A_MONTH))
    year = sold.year + (sold.month >= _NEXT_YEAR_FROM)
    rng = Random(row.plate)  # noqa: S311  (the same plate has the same number in every load)
    return VehicleInput(
        vin=vin(world.vin_of[row.platform], year, rng.randrange(100_000, 400_000)),
        plate=row.plate,
        platform=platforms[row.platform],
        model_year=year,
        tyre_size=world.tyres[row.platform],
        in_service_on=None if row.sold else sold,
    )


def vin(begins: str, model_year: int, serial: int) -> str:
    """A VIN with a right check digit: eight characters of maker and model, plant F."""
    year_code = YEAR_CODES[(model_year - _FIRST_YEAR_CODE) % len(YEAR_CODES)]
    return with_check_digit(f"{begins}0{year_code}F{serial:06d}")
