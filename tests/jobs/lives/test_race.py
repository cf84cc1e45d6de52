"""Several people see one vehicle at the same moment: each place still has one unit."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection, connections

from jobs.models import FittedUnit
from jobs.services import rebuilt
from shop.actor import Actor
from tests.factories import a_vehicle, an_odometer_reading

PEOPLE = 5


@pytest.mark.django_db(transaction=True)
def test_distances_read_at_the_same_moment_leave_one_unit_at_each_place(bela: Actor) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite lets one writer in at a time; this is about PostgreSQL")
    vehicle, together = a_vehicle(bela), Barrier(PEOPLE)

    def look(person: int) -> None:
        try:
            together.wait(timeout=20)
            an_odometer_reading(bela, vehicle=vehicle, value=str(60_000 + person), reason="seen")
        finally:
            connections.close_all()

    with ThreadPoolExecutor(PEOPLE) as pool:
        list(pool.map(look, range(PEOPLE)))
    assert FittedUnit.objects.filter(vehicle=vehicle).count() == 30
    assert vehicle.odometer_readings.count() == PEOPLE
    assert rebuilt.differences(bela.workshop) == []
