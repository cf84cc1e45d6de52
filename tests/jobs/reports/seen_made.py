"""Days on which vehicles were seen, as odometer readings made in one go."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time

from django.utils import timezone

from shop.actor import Actor
from shop.models import OdometerReading, Vehicle


def noon(day: int) -> datetime:
    return timezone.make_aware(datetime.combine(date.fromordinal(day), time(12)))


def seen_on(actor: Actor, pairs: Iterable[tuple[Vehicle | int, int]]) -> None:
    """A reading for each (vehicle, ordinal day)."""
    OdometerReading.objects.bulk_create(
        OdometerReading(
            workshop=actor.workshop,
            vehicle_id=one if isinstance(one, int) else one.pk,
            read_at=noon(day),
            distance_m=1_000 * (day % 100_000),
            typed_value="1",
            typed_unit="km",
            seen="noted",
            by=actor.user,
        )
        for one, day in pairs
    )
