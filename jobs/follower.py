"""What the repair order keeps up to date when more is known of a vehicle or its workshop."""

from __future__ import annotations

from jobs.services import comebacks, lives, repairs
from shop.models import Vehicle, Workshop


class JobFollower:
    def follow(self, vehicle: Vehicle) -> None:
        """It was seen, or its platform or its first day in service is another one."""
        lives.refresh(vehicle)
        repairs.refresh(vehicle)

    def follow_rules(self, workshop: Workshop) -> None:
        """Its window for comebacks is another one: what nobody decided yet is proposed anew."""
        comebacks.rebuild(workshop)
