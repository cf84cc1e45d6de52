"""The road test: how far, how fast, and whether the module has tested itself on it."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from jobs.models import RepairOrder, RoadTest
from jobs.proving_rule import Drive, judge_drive
from jobs.queries.proof import drive_needs
from jobs.stages import CLOSED, Stage
from shop import clock, units
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import OdometerReading
from shop.roles import Permit
from shop.services import acts, log, odometer
from shop.services.rights import must

# A figure beyond these is a slip of the keypad, not a road test.
LONGEST_M = units.to_si(500, "km")
FASTEST_MPS = units.to_si(250, "km/h")


@transaction.atomic
def record_road_test(
    actor: Actor,
    order: RepairOrder,
    *,
    act: UUID,
    distance: str,
    distance_unit: str,
    top_speed: str,
    speed_unit: str,
    odometer_after: odometer.OdometerInput | None = None,
    note: str = "",
) -> RoadTest:
    """Record a road test as driven, judged by the catalogue's proving rule at once.

    `distance` and `top_speed` are as typed. Too short or too slow is recorded too, and says so.
    """
    acts.claim(actor, act, "road test", about=order)
    must(actor, Permit.PROVE)
    _refuse_when_not_driving(order)
    drive = Drive(
        distance_m=_si(distance, distance_unit, "distance", "how far it was driven"),
        top_speed_mps=_si(top_speed, speed_unit, "top_speed", "the highest speed reached"),
        distance=distance.strip(),
        distance_unit=distance_unit,
        top_speed=top_speed.strip(),
        speed_unit=speed_unit,
    )
    _refuse_a_slip(drive)
    judged = judge_drive(drive, drive_needs(order))
    now = clock.now()
    test = RoadTest.objects.create(
        order=order,
        at=now,
        by=actor.user,
        odometer=_odometer(actor, order, odometer_after),
        distance_m=drive.distance_m,
        distance_typed=drive.distance_typed,
        top_speed_mps=drive.top_speed_mps,
        top_speed_typed=drive.speed_typed,
        long_enough=judged.long_enough,
        reason=judged.reason,
        note=note.strip(),
    )
    counts = "" if judged.long_enough else ", which does not count"
    log.write(
        actor,
        kind="road_test",
        subject_kind="order",
        subject_id=order.pk,
        words=f"drove a road test of {test.distance_typed} at up to {test.top_speed_typed}{counts}",
        reason="" if judged.long_enough else judged.reason,
        at=now,
    )
    return test


def _si(typed: str, unit: str, field: str, what: str) -> float:
    try:
        value = units.to_si(units.parse_number(typed), unit)
    except units.UnitError as error:
        raise Refusal(error.sentence, field=field) from error
    if value <= 0:
        raise Refusal(f"Write {what}, more than nothing.", field=field)
    return value


def _refuse_a_slip(drive: Drive) -> None:
    if drive.distance_m > LONGEST_M:
        raise Refusal("That is farther than a road test goes; check the figure.", field="distance")
    if drive.top_speed_mps > FASTEST_MPS:
        raise Refusal("That is faster than a road test goes; check the figure.", field="top_speed")


def _odometer(
    actor: Actor, order: RepairOrder, seen: odometer.OdometerInput | None
) -> OdometerReading | None:
    if seen is None:
        return None
    return odometer.note(actor, order.vehicle, seen, seen_at=OdometerReading.Seen.ROAD_TEST)


def _refuse_when_not_driving(order: RepairOrder) -> None:
    stage = Stage(order.stage)
    if stage in CLOSED:
        raise Refusal(f"This order is {stage.words}; a road test no longer belongs to it.")
    if order.unsafe:
        raise Refusal(
            "The vehicle is marked not to be driven. The service manager lifts the mark with a "
            "reason before it goes on the road."
        )
