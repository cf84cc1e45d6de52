"""Held parts in tests: a job whose hub has been fitted, and what came off it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from diagnostics.models import PartNumber
from jobs.models import HeldPart, RepairOrder, Replacement
from jobs.services import fitting
from jobs.stages import Stage
from shop import clock
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, bring_to


def a_job_to_fit(crew: Crew, *, payer: str = "customer", wants: str = "") -> Replacement:
    order = a_repair_order(
        crew.manager, technician=crew.technician, complaints=[a_complaint_line(payer=payer)]
    )
    bring_to(Stage.REPAIRING, order, crew)
    RepairOrder.objects.filter(pk=order.pk).update(parts_wanted=wants)
    found: Replacement = Replacement.objects.select_related("complaint__order").get(
        complaint__order=order
    )
    fitting.acknowledge(crew.technician, act=uuid4(), order=found.complaint.order)
    return found


def no_core(row: Replacement) -> None:
    PartNumber.objects.filter(component=row.component).update(core_credit=None)


def a_core(row: Replacement, credit: str = "35.00") -> None:
    PartNumber.objects.filter(component=row.component).update(core_credit=Decimal(credit))


def fitted(crew: Crew, row: Replacement, **more: object) -> HeldPart:
    said: dict[str, object] = {"act": uuid4(), "replacement": row}
    fitting.fit(crew.technician, **(said | more))  # type: ignore[arg-type]
    return HeldPart.objects.get(replacement=row)


def a_held_part(
    crew: Crew, *, core: str = "", payer: str = "customer", wants: str = ""
) -> HeldPart:
    """Tagged as it follows from the job: `core` is the credit of the catalogue, "" for none."""
    row = a_job_to_fit(crew, payer=payer, wants=wants)
    if core:
        a_core(row, core)
    else:
        no_core(row)
    return fitted(crew, row)


def close_job(held: HeldPart, days_ago: int = 0) -> None:
    """As if the vehicle had left that many days ago."""
    order = held.replacement.complaint.order
    RepairOrder.objects.filter(pk=order.pk).update(
        stage=Stage.RELEASED, closed_at=clock.now() - timedelta(days=days_ago)
    )
