"""What the repair order keeps up to date when more is known of a vehicle."""

from __future__ import annotations

from jobs.services import lives, repairs
from shop.models import Vehicle


class JobFollower:
    def follow(self, vehicle: Vehicle) -> None:
        """It was seen, or its platform or its first day in service is another one."""
        lives.refresh(vehicle)
        repairs.refresh(vehicle)
