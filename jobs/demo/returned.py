"""What the service manager of the demo decides about a vehicle that came back."""

from __future__ import annotations

from datetime import datetime
from uuid import uuid4

from jobs.demo import hours
from jobs.demo.data import DemoProblem, VisitRow
from jobs.demo.people import House
from jobs.models import Comeback, RepairOrder
from jobs.services import comebacks, repairs
from jobs.services.kept_later import later
from shop import clock
from shop.roles import Role

_AFTERWARDS = 45  # working minutes after the vehicle has left


def decide(house: House, row: VisitRow, order: RepairOrder, now: datetime) -> None:
    """Say of what kind the return is, as far as that lies before `now`.

    What the visits say nothing of waits to be decided. Raises DemoProblem where the rule did not
    propose what is to be decided.
    """
    at = hours.later(order.stage_since, _AFTERWARDS)
    if row.returned is None or at >= now:
        return
    with later(False):
        repairs.refresh(order.vehicle)
        comebacks.propose(order.vehicle)
    found = Comeback.objects.filter(complaint__order=order).first()
    if found is None:
        raise DemoProblem(f"{order}, {row.plate}: is not the return of any repair.")
    with clock.at(at):
        comebacks.decide(
            house.holder(Role.MANAGER),
            act=uuid4(),
            comeback=found,
            revision=found.revision,
            cause=row.returned.cause,
            reason=row.returned.because,
        )
