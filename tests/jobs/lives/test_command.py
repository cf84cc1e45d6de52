"""`manage.py lives`: rebuilds, and with --check says what is not as it should be."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from jobs.models import FittedUnit
from shop.actor import Actor
from tests.factories import a_vehicle, an_odometer_reading


def said(*args: str) -> str:
    out = StringIO()
    call_command("lives", *args, stdout=out)
    return out.getvalue()


def test_what_is_kept_is_found_right_and_what_was_touched_is_put_right(bela: Actor) -> None:
    an_odometer_reading(bela, vehicle=a_vehicle(bela))
    assert "All is as it follows" in said("--check")
    unit = FittedUnit.objects.earliest("pk")
    day = unit.out_day
    FittedUnit.objects.filter(pk=unit.pk).update(out_day=1)
    FittedUnit.objects.latest("pk").delete()
    out = StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("lives", "--check", stdout=out)
    assert stopped.value.code == 1
    assert f"unit {unit.pk}: should have out_day {day}" in out.getvalue()
    assert "is missing" in out.getvalue()
    assert "2 rows not as they follow" in out.getvalue()
    assert "2 rows put right" in said()
    unit.refresh_from_db()
    assert unit.out_day == day
    assert "All is as it follows" in said("--check")


def test_it_takes_one_workshop_and_knows_no_other_name(bela: Actor, pim: Actor) -> None:
    for actor in (bela, pim):
        an_odometer_reading(actor, vehicle=a_vehicle(actor))
    FittedUnit.objects.update(out_day=1)
    said("--workshop", "quay-street")
    assert not FittedUnit.objects.of(bela).filter(out_day=1).exists()
    assert FittedUnit.objects.of(pim).filter(out_day=1).exists()
    with pytest.raises(CommandError, match="no workshop"):
        said("--workshop", "nowhere")
