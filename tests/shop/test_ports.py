"""Who stands above this floor hears when more is known of a vehicle, within the same act."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any, ClassVar
from uuid import uuid4

import pytest
from django.db import transaction
from pytest_django.fixtures import Settings

from shop import ports
from shop.actor import Actor
from shop.models import OdometerReading, Vehicle
from shop.services.vehicles import VehicleInput, change_vehicle
from tests.factories import a_vehicle, an_odometer_reading


class Listener:
    """Notes who was spoken of, and how many distances were known by then."""

    heard: ClassVar[list[tuple[int, int]]] = []

    def follow(self, vehicle: Vehicle) -> None:
        assert transaction.get_connection().in_atomic_block
        self.heard.append((vehicle.pk, OdometerReading.objects.filter(vehicle=vehicle).count()))


@pytest.fixture
def heard(settings: Settings) -> Iterator[list[tuple[int, int]]]:
    settings.VEHICLE_FOLLOWER = f"{__name__}.Listener"
    ports.follower.cache_clear()
    Listener.heard = []
    yield Listener.heard
    ports.follower.cache_clear()


def change(actor: Actor, vehicle: Vehicle, **more: object) -> None:
    details: dict[str, Any] = {
        "vin": vehicle.vin,
        "platform": vehicle.platform,
        "in_service_sure": True,
    } | more
    change_vehicle(
        actor, vehicle, act=uuid4(), revision=vehicle.revision, details=VehicleInput(**details)
    )


def test_it_hears_of_a_distance_and_of_what_a_vehicle_is(
    bela: Actor, heard: list[tuple[int, int]]
) -> None:
    vehicle = a_vehicle(bela)
    assert heard == []
    an_odometer_reading(bela, vehicle=vehicle)
    assert heard == [(vehicle.pk, 1)]
    change(bela, vehicle, plate="8XY 0001")
    assert len(heard) == 1
    change(bela, vehicle, in_service_on=date(2024, 2, 29))
    change(bela, vehicle, in_service_on=date(2024, 2, 29), platform=None)
    assert heard == [(vehicle.pk, 1)] * 3
