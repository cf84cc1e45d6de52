"""How this floor speaks of what stands above it without knowing it.

What is known of a vehicle, and the rules of a workshop, bear on what other floors keep. The class
named by settings.VEHICLE_FOLLOWER hears of it within the transaction of the act.
"""

from __future__ import annotations

from functools import cache
from typing import Protocol

from django.conf import settings
from django.utils.module_loading import import_string

from shop.models import Vehicle, Workshop


class Follower(Protocol):
    """What the floors above do when more is known of a vehicle, or a workshop has other rules."""

    def follow(self, vehicle: Vehicle) -> None: ...

    def follow_rules(self, workshop: Workshop) -> None: ...


@cache
def follower() -> Follower:
    made: Follower = import_string(settings.VEHICLE_FOLLOWER)()
    return made
