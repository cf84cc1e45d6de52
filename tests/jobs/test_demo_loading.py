"""Loading the demo world: always the same, at any hour, whole or not at all; and its clock."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from shutil import copytree
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import OperationalError, transaction

from diagnostics.models import Reading
from jobs.demo import hours
from jobs.demo.data import DemoProblem, World, read_world
from jobs.demo.people import new_password
from jobs.demo.world import FIXTURES, load
from jobs.management.commands import demo
from jobs.models import Complaint, FittedUnit, RepairOrder
from shop import clock
from shop.models import LogEntry, User, Workshop

PASSWORD = "slow-barge-lamp-7"
ZONE = ZoneInfo(settings.TIME_ZONE)
NOW = datetime(2026, 3, 11, 10, 20, tzinfo=ZONE)


def silently(line: str) -> None:
    """Progress is not looked at here."""


@pytest.mark.django_db
def test_two_loads_at_the_same_moment_give_the_same_world() -> None:
    assert _smaller_load() == _smaller_load()


@pytest.mark.django_db
def test_an_interrupted_load_leaves_an_empty_database() -> None:
    def stop(line: str) -> None:
        if "vehicles" in line:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        load(say=stop, password=PASSWORD, world=_millrace_alone(), history=0)
    assert not Workshop.objects.exists()
    assert not User.objects.exists()


@pytest.mark.django_db
def test_a_database_that_does_not_take_it_is_told_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def locked(**_options: object) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr(demo, "load", locked)
    with pytest.raises(CommandError, match=r"database is locked.*Nothing was changed"):
        call_command("demo")


@pytest.mark.django_db
def test_an_interrupted_command_says_that_it_may_simply_be_given_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def stopped(**_options: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(demo, "load", stopped)
    with pytest.raises(CommandError, match="the same command begins again"):
        call_command("demo")


def _smaller_load() -> list[object]:
    """Millrace made, read and taken back."""
    with transaction.atomic():
        with clock.at(NOW):
            load(say=silently, password=PASSWORD, world=_millrace_alone(), history=0)
        seen = snapshot()
        transaction.set_rollback(True)
    return seen


def _millrace_alone() -> World:
    world = read_world(FIXTURES / "demo")
    millrace = tuple(place for place in world.places if place.slug == "millrace")
    return replace(world, places=millrace)


def snapshot() -> list[object]:
    """What two loads on one day must agree on."""
    orders = RepairOrder.objects.order_by("number")
    readings = Reading.objects.order_by("session__order__number", "at", "pk")
    units = FittedUnit.objects.order_by("vehicle__vin", "component__key", "entered_on", "pk")
    return [
        list(orders.values_list("number", "stage", "vehicle__vin", "promised_at", "stage_since")),
        list(Complaint.objects.order_by("order__number", "line").values_list("words", flat=True)),
        list(readings.values_list("typed_value", "typed_unit", "verdict")),
        list(units.values_list("serial_number", flat=True)),
        list(LogEntry.objects.order_by("at", "pk").values_list("at", "words")),
    ]


@pytest.mark.django_db
@pytest.mark.parametrize(
    "moment",
    [
        datetime(2026, 3, 14, 23, 50, tzinfo=ZONE),  # a Saturday night
        datetime(2026, 3, 16, 7, 31, tzinfo=ZONE),  # a minute after opening on Monday
    ],
)
def test_it_can_be_loaded_at_any_hour(moment: datetime) -> None:
    with clock.at(moment):
        load(say=silently, password=PASSWORD, world=_millrace_alone(), history=0)
    assert RepairOrder.objects.filter(closed_at=None).count() == 3
    assert not LogEntry.objects.filter(at__gt=moment).exists()


def test_a_slip_in_the_files_is_told_with_its_place(tmp_path: Path) -> None:
    copytree(FIXTURES / "demo", tmp_path, dirs_exist_ok=True)
    visits = tmp_path / "visits.yaml"
    visits.write_text(visits.read_text().replace("plate: 9KP 3281", "plate: 9KP 3282"))
    with pytest.raises(DemoProblem, match=r"9KP 3282.*no vehicle of that workshop"):
        read_world(tmp_path)


def test_passwords_are_made_anew_and_long_enough() -> None:
    made = {new_password() for _ in range(50)}
    assert len(made) == 50
    assert {len(password) for password in made} == {14}


# ------------------------------------------------------------- working time


def test_working_time_leaves_out_nights_and_weekends() -> None:
    friday = datetime(2026, 3, 13, 17, 0, tzinfo=ZONE)
    assert hours.later(friday, 60) == datetime(2026, 3, 16, 8, 0, tzinfo=ZONE)
    assert hours.earlier(datetime(2026, 3, 16, 8, 0, tzinfo=ZONE), 60) == friday


@pytest.mark.parametrize(
    ("day", "hour", "before"),
    [
        (11, 10, 10),  # on a Wednesday: yesterday
        (11, 23, 10),  # late on it as well
        (11, 3, 9),  # before opening: of the day before the last one
        (14, 12, 12),  # on a Saturday: of the day before Friday
        (16, 8, 13),  # on a Monday: Friday
    ],
)
def test_the_last_minutes_of_the_day_before(day: int, hour: int, before: int) -> None:
    begins, closes = hours.last_of_the_day_before(datetime(2026, 3, day, hour, tzinfo=ZONE), 50)
    assert begins == datetime(2026, 3, before, 16, 40, tzinfo=ZONE)
    assert closes == datetime(2026, 3, before, 17, 30, tzinfo=ZONE)


@pytest.mark.parametrize("minutes", [0, 1, 29, 600, 1201, 2999])
@pytest.mark.parametrize("hour", [0, 7, 12, 17, 23])
def test_going_back_and_forth_in_working_time_never_passes_the_present(
    hour: int, minutes: int
) -> None:
    for day in range(9, 16):
        now = datetime(2026, 3, day, hour, 45, tzinfo=ZONE)
        back = hours.later(hours.earlier(now, minutes), minutes)
        assert back <= max(now, hours.next_open(now))
        assert back == hours.last_open(now) or back == hours.next_open(now)
