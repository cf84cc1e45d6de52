"""Things that tests need, made as the product makes them: through the services.

Every function takes the acting person first and the rest by keyword; what is not said is
filled in. A function of one service's arguments lives beside that service's tests.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import count
from pathlib import Path
from uuid import uuid4

from django.conf import settings

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.folder import Folder
from diagnostics.catalogue.reader import read_catalogue
from diagnostics.models import CatalogueVersion, ChassisSystem, Session
from diagnostics.services import sessions
from diagnostics.services.catalogue import load_all
from diagnostics.telltales import Observation
from jobs.models import Payer, RepairOrder
from jobs.services import taking_in
from jobs.services.taking_in import ComplaintInput
from shop.actor import Actor
from shop.models import Bay, Customer, OdometerReading, Platform, Vehicle
from shop.services import customers, odometer, vehicles
from shop.services.customers import CustomerInput
from shop.services.odometer import OdometerInput
from shop.services.vehicles import VehicleInput
from shop.vin import with_check_digit

_numbers = count(1)


def a_customer(
    actor: Actor, *, name: str = "Ada W.", phone: str = "555 0123", email: str = ""
) -> Customer:
    return customers.add_customer(
        actor, act=uuid4(), details=CustomerInput(name=name, phone=phone, email=email)
    )


def a_vin(number: int | None = None) -> str:
    """A VIN of no real maker with a right check digit; model year 2021."""
    serial = next(_numbers) if number is None else number
    return with_check_digit(f"9ZZPL2A00M1{serial:06d}")


def a_vehicle(
    actor: Actor,
    *,
    customer: Customer | None = None,
    vin: str | None = None,
    plate: str | None = None,
    platform: Platform | str | None = "PL2",
    model_year: int | None = 2021,
    tyre_size: str = "185/65 R15",
) -> Vehicle:
    """A vehicle on a platform of the catalogue ("PL2", loaded when it is not there), or on none."""
    if isinstance(platform, str):
        platform = the_platform(platform)
    return vehicles.add_vehicle(
        actor,
        act=uuid4(),
        details=VehicleInput(
            vin=vin or a_vin(),
            plate=f"7KD {next(_numbers):04d}" if plate is None else plate,
            platform=platform,
            model_year=model_year,
            tyre_size=tyre_size,
        ),
        customer=customer or a_customer(actor),
    )


def an_odometer_reading(
    actor: Actor, *, vehicle: Vehicle, value: str = "60000", unit: str = "km", reason: str = ""
) -> OdometerReading:
    return odometer.note(
        actor,
        vehicle,
        OdometerInput(value, unit, reason),
        seen_at=OdometerReading.Seen.NOTED,
        act=uuid4(),
    )


def a_complaint_line(
    *,
    words: str = "Yellow light came on after the car wash",
    system: str = "",
    payer: str = Payer.CUSTOMER,
) -> ComplaintInput:
    """`system` is the key of a chassis system in the catalogue, "" for none."""
    found = ChassisSystem.objects.get(key=system) if system else None
    return ComplaintInput(words=words, system=found, payer=payer)


def a_repair_order(
    actor: Actor,
    *,
    vehicle: Vehicle | None = None,
    complaints: Sequence[ComplaintInput] = (),
    lamps: Sequence[Observation] = (),
    odometer: str = "84120",
    technician: Actor | None = None,
    bay: Bay | None = None,
) -> RepairOrder:
    """A vehicle taken in by `actor` (who must be a manager for `technician` or `bay`)."""
    return taking_in.take_in(
        actor,
        act=uuid4(),
        vehicle=vehicle or a_vehicle(actor),
        odometer=OdometerInput(odometer, "km"),
        complaints=complaints or [a_complaint_line()],
        lamps=lamps,
        technician=technician.user if technician else None,
        bay=bay,
        although_open=True,
    )


def a_session(actor: Actor, *, vehicle: Vehicle | None = None) -> Session:
    """Measuring with no repair order."""
    return sessions.open_session(actor, vehicle=vehicle or a_vehicle(actor), act=uuid4())


def the_platform(code: str = "PL2") -> Platform:
    """A platform of the shipped catalogue, with its pages loaded."""
    return the_pages(code).platform


def the_pages(code: str = "PL2") -> CatalogueVersion:
    """The newest shipped pages of a platform, loaded now when they are not there yet."""
    found = CatalogueVersion.objects.filter(platform__code=code).select_related("platform").first()
    if found is None:
        load_all([_books()[code]])
        found = CatalogueVersion.objects.select_related("platform").get(platform__code=code)
    return found


@cache
def _books() -> dict[str, Book]:
    """The shipped pages, read once for all tests."""
    folder = Folder()
    names, _problems = folder.find([str(Path(settings.BASE_DIR) / "fixtures" / "catalogue")])
    pages = read_catalogue(names, folder)
    assert pages.sound, [str(problem) for problem in pages.problems]
    return {book.code: book for book in pages.books}
