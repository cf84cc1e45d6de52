"""One of each thing, so that every address can be asked for."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

from diagnostics.models import Procedure
from diagnostics.services import captures, runs
from diagnostics.services.captures import FileSent
from jobs.claims.document_text import to_json
from jobs.models import (
    LabourLine,
    OtherLine,
    RepairOrder,
    Replacement,
    StockItem,
    SubmissionPaper,
    SupplyReturn,
    Tax,
)
from jobs.services import clock as clock_service
from jobs.services import held
from jobs.stages import Stage
from jobs.supersession import normal
from shop import clock, first_run
from shop.models import Bay
from tests.diagnostics.worked_out import A_CAPTURE, a_run_out
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to
from tests.jobs.bills import a_plain_invoice, pay
from tests.jobs.claim_papers import a_document
from tests.jobs.claim_rows import a_claim_row, a_line, a_payment_file
from tests.jobs.clocking import an_absence
from tests.jobs.covering import a_campaign, a_contract, an_objection, decided
from tests.jobs.pictures import a_photo
from tests.jobs.reports.makings import a_making_row, a_report_row
from tests.jobs.returned import a_comeback_row


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
    complaint = order.complaints.get()
    file = captures.read(FileSent("left rear.csv", A_CAPTURE))
    tag = held.hold(crew.technician, replacement)
    item = StockItem.objects.get(part_key=normal(replacement.part_number))
    return {
        "kind": "disc_runout",
        "measurement": a_run_out(crew.technician, order.session).pk,
        "capture": captures.keep(crew.technician, order.session, file).pk,
        "token": first_run.new_token(),
        "vehicle": order.vehicle_id,
        "customer": order.customer_id,
        "section": "months",
        "figure": "taken-in",
        "month": clock.today().strftime("%Y-%m"),
        "component": replacement.component_id,
        "component_kind": replacement.component.key,
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
        **_supply(crew, replacement),
        "labour": labour.pk,
        "other_line": OtherLine.objects.create(
            complaint=complaint, kind="material", text="Brake fluid", unit_price=Decimal(9)
        ).pk,
        "given": 1,
        "answer": 1,
        "earlier": order.number,
        "tag": tag.number,
        "stock_item": item.pk,
        "clock_entry": clock_service.on(crew.technician, act=uuid4(), complaint=complaint).pk,
        "absence": an_absence(crew.manager, crew.technician).pk,
        **_bill(crew, order),
        **_claim_money(crew, order),
        "contract": a_contract(order).pk,
        "campaign": a_campaign(order).pk,
        "objection": an_objection(crew.manager, complaint).pk,
        "decision": decided(crew.manager, complaint).pk,
        "photo": a_photo(crew.technician, complaint).pk,
        "accounts_table": "stock-movements",
        "comeback": a_comeback_row(complaint).pk,
        "report": a_report_row(crew.manager).number,
        "report_table": "failure-rates",
        "report_making": a_making_row(crew.manager).pk,
        "tax": Tax.objects.create(
            workshop=crew.manager.workshop, name="Sales tax", percent=Decimal("7.25")
        ).pk,
    }


def _bill(crew: Crew, order: RepairOrder) -> dict[str, object]:
    """An invoice of the job, and a receipt for part of it."""
    invoice = a_plain_invoice(crew.manager, order)
    return {
        "invoice": invoice.number,
        "receipt": pay(crew.counter, invoice, "4.00").number,
        "day": f"{clock.today():%Y-%m-%d}",
    }


def _claim_money(crew: Crew, order: RepairOrder) -> dict[str, object]:
    """A claim that was sent, and a payer's file with a line for it."""
    claim = a_claim_row(crew.manager, order=order)
    file = a_payment_file(crew.counter, a_line(claim))
    return {
        "sent_claim": claim.number,
        "sending": SubmissionPaper.objects.create(
            submission=claim.submissions.get(),
            document=to_json(a_document()),
            pdf=b"%PDF-1.7",
            sha256="0" * 64,
        ).submission.number,
        "claim_payer": claim.payer_id,
        "payment_file": file.pk,
        "payment_row": file.rows.get().pk,
    }


def _supply(crew: Crew, replacement: Replacement) -> dict[str, object]:
    """The order the assembly came on, its line, its supplier, and something that goes back."""
    line = replacement.supply_line
    assert line is not None
    back = SupplyReturn.objects.create(
        workshop=line.workshop,
        supplier=line.order.supplier,
        line=line,
        part_number=line.part_number,
        text=line.text,
        quantity=1,
        why=SupplyReturn.Why.DAMAGED,
        opened_at=clock.now(),
        opened_by=crew.counter.user,
    )
    return {
        "supply": line.order.number,
        "supply_line": line.pk,
        "supplier": line.order.supplier_id,
        "supply_return": back.pk,
    }
