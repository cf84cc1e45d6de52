"""What the repair order answers when the measuring floor asks about a session."""

from __future__ import annotations

from diagnostics.models import Session
from diagnostics.ports import Stub
from jobs.models import RepairOrder
from jobs.queries.stub import stub_of
from jobs.services import unsafe
from shop.actor import Actor


class JobCompanion:
    def stub(self, actor: Actor, session: Session) -> Stub | None:
        order = _order_of(actor, session)
        return stub_of(actor, order) if order else None

    def unsafe_seen(self, actor: Actor, session: Session, because: str) -> None:
        unsafe.mark_by_lamps(actor, session.vehicle_id, because)


def _order_of(actor: Actor, session: Session) -> RepairOrder | None:
    found: RepairOrder | None = (
        RepairOrder.objects.of(actor)
        .filter(session=session)
        .select_related(
            "workshop", "vehicle__platform", "customer", "bay", "technician", "odometer_in"
        )
        .first()
    )
    return found
