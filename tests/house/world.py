"""One of each thing, so that every address can be asked for."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

from diagnostics.models import Procedure
from diagnostics.services import captures, runs
from diagnostics.services.captures import FileSent
from jobs.models import LabourLine, Replacement, Tax
from jobs.stages import Stage
from shop import clock, first_run
from shop.models import Bay
from tests.diagnostics.worked_out import A_CAPTURE, a_run_out
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to


def one_of_each(crew: Crew) -> dict[str, object]:
    """What the names in `addresses.py` stand for: a job whose assembly has arrived."""
    order = a_repair_order(crew.manager, technician=crew.technician, bay=Bay.objects.first())
    bring_to(Stage.REPAIRING, order, crew)
    replacement = Replacement.objects.get(complaint__order=order)
    procedure = Procedure.objects.filter(version=order.session.version).first()
    assert procedure is not None
    run = runs.begin(crew.technician, order.session, act=uuid4(), procedure=procedure)
    labour = LabourLine.objects.filter(complaint__order=order).first()
    assert labour is not None
    file = captures.read(FileSent("left rear.csv", A_CAPTURE))
    return {
        "kind": "disc_runout",
        "measurement": a_run_out(crew.technician, order.session).pk,
        "capture": captures.keep(crew.technician, order.session, file).pk,
        "token": first_run.new_token(),
        "vehicle": order.vehicle_id,
        "customer": order.customer_id,
        "figure": "taken-in",
        "month": clock.today().strftime("%Y-%m"),
        "component": replacement.component_id,
        "person": crew.technician.user.pk,
        "bay": order.bay_id,
        "session": order.session_id,
        "reading": order.session.readings.latest("pk").pk,
        "run": run.pk,
        "revision": run.revision,
        "step": run.current_id,
        "procedure": procedure.pk,
        "row": 2,
        "number": order.number,
        "line": 1,
        "replacement": replacement.pk,
        "labour": labour.pk,
        "tax": Tax.objects.create(
            workshop=crew.manager.workshop, name="Sales tax", percent=Decimal("7.25")
        ).pk,
    }
