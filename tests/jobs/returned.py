"""A vehicle that came back, by the services, for tests."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import uuid4

from jobs.models import Comeback, Complaint, Repair, RepairOrder
from jobs.services import release
from jobs.stages import Stage
from shop import clock
from shop.models import Vehicle
from tests.factories import a_complaint_line, a_repair_order, a_vehicle
from tests.jobs.along import Crew, bring_to

SYSTEM = "wheel_ends"


def a_done_job(
    crew: Crew, *, on: datetime, vehicle: Vehicle | None = None, odometer: str = "60000"
) -> RepairOrder:
    """Taken in, a rear hub replaced and released on that day."""
    with clock.at(on):
        order = a_repair_order(
            crew.manager,
            vehicle=vehicle or a_vehicle(crew.manager),
            technician=crew.technician,
            odometer=odometer,
            complaints=[a_complaint_line(system=SYSTEM)],
        )
        return hand_over(crew, order)


def hand_over(crew: Crew, order: RepairOrder) -> RepairOrder:
    """Bring a job to its end and let the vehicle go."""
    bring_to(Stage.READY, order, crew)
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    order.refresh_from_db()
    return order


def a_return(
    crew: Crew, *, days: int = 20, odometer: str = "61000", system: str = SYSTEM
) -> RepairOrder:
    """The same vehicle, taken in today, so many days after it left."""
    before = a_done_job(crew, on=clock.now() - timedelta(days=days))
    return a_repair_order(
        crew.manager,
        vehicle=before.vehicle,
        technician=crew.technician,
        odometer=odometer,
        complaints=[a_complaint_line(words="It is on again", system=system)],
    )


def the_comeback(order: RepairOrder) -> Comeback | None:
    found: Comeback | None = Comeback.objects.filter(complaint__order=order).first()
    return found


def a_comeback_row(complaint: Complaint) -> Comeback:
    """Written straight into its rows: the complaint as a return of a repair of its own job."""
    order = complaint.order
    day = clock.today().toordinal()
    before = Complaint.objects.create(order=order, line=90 + order.complaints.count(), words="Hum")
    repair = Repair.objects.create(
        workshop=order.workshop,
        complaint=before,
        vehicle=order.vehicle,
        handed_day=day,
        seen_day=day,
    )
    made: Comeback = Comeback.objects.create(
        workshop=order.workshop,
        complaint=complaint,
        repair=repair,
        because=Comeback.Because.BY_HAND,
        days=0,
        proposed_at=clock.now(),
    )
    return made
