"""What stands on an estimate beside assemblies, who pays for it, and how it is kept."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from diagnostics.models import LabourOperation, SharedStep
from jobs.models import Complaint, Estimate, LabourLine, LabourRate, OtherLine, Payer, Tax
from jobs.queries.estimate import bill_of, sheet, standing
from jobs.services import estimate
from jobs.stages import Stage
from shop.errors import Refusal
from tests.asserts import refused
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, conclude_the_hub, give_estimate

D = Decimal


@pytest.fixture
def complaint(crew: Crew) -> Complaint:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, order, crew)
    found = order.complaints.get()
    conclude_the_hub(crew.technician, found)
    found.refresh_from_db()
    return found


def add_labour(crew: Crew, complaint: Complaint, **more: object) -> LabourLine:
    return estimate.add_labour(
        crew.technician,
        act=uuid4(),
        complaint=complaint,
        **more,  # type: ignore[arg-type]
    )


def add_other(crew: Crew, complaint: Complaint, **more: object) -> OtherLine:
    said: dict[str, object] = {
        "kind": "material",
        "text": "Brake fluid, glycol-ether",
        "quantity": D("0.5"),
        "unit_price": D("18.00"),
    }
    return estimate.add_other(
        crew.technician,
        act=uuid4(),
        complaint=complaint,
        **(said | more),  # type: ignore[arg-type]
    )


def share(crew: Crew, complaint: Complaint, payer: str, percent: str, because: str) -> None:
    estimate.share(
        crew.manager,
        act=uuid4(),
        complaint=complaint,
        payer=payer,
        percent=D(percent),
        because=because,
    )


def operation_of(complaint: Complaint, code: str) -> LabourOperation:
    return LabourOperation.objects.get(version=complaint.order.session.version, code=code)


def test_a_changed_time_and_extra_time_need_a_reason(crew: Crew, complaint: Complaint) -> None:
    operation = operation_of(complaint, "WE-20")
    with refused(field="reason", says="The catalogue allows"):
        add_labour(crew, complaint, operation=operation, tenths=operation.tenths + 3)
    with refused(field="reason", says="why it takes longer"):
        add_labour(crew, complaint, text="Seized bolt", tenths=5, kind="extra")
    line = add_labour(
        crew, complaint, operation=operation, tenths=operation.tenths + 3, reason="Seized bolt"
    )
    assert (line.allowed_tenths, line.tenths) == (operation.tenths, operation.tenths + 3)
    extra = add_labour(
        crew, complaint, text="Drill it out", tenths=5, kind="extra", reason="It broke off"
    )
    assert (extra.kind, extra.allowed_tenths) == ("extra", None)
    texts = [one.line.text for one in bill_of(complaint.order).lines]
    assert "Drill it out, It broke off, 0.5 h" in texts


def test_diagnosis_is_its_own_kind_whatever_was_chosen(crew: Crew, complaint: Complaint) -> None:
    operation = operation_of(complaint, "WE-20")
    LabourOperation.objects.filter(pk=operation.pk).update(diagnosis=True)
    operation.refresh_from_db()
    assert add_labour(crew, complaint, operation=operation, kind="operation").kind == "diagnosis"


def test_a_shared_step_is_paid_once_and_the_sheet_says_with_which(
    crew: Crew, complaint: Complaint
) -> None:
    first, second = operation_of(complaint, "WE-20"), operation_of(complaint, "BB-10")
    step = SharedStep.objects.create(
        version=first.version, key="the-same-step", words="The same step", tenths=2
    )
    step.operations.set([first, second])
    one = add_labour(crew, complaint, operation=first, position="LR")
    two = add_labour(crew, complaint, operation=second)
    shorter, longer = sorted((one, two), key=lambda line: (line.tenths, -line.pk))
    shorter.refresh_from_db()
    assert shorter.shared_tenths >= 2
    lines = {line.row.pk: line for line in sheet(complaint.order).complaints[0].lines}
    assert lines[shorter.pk].shared_with == (longer.code,)
    estimate.remove_labour(crew.technician, act=uuid4(), line=longer)
    shorter.refresh_from_db()
    assert shorter.shared_tenths == 0


def test_labour_takes_the_rate_of_who_pays(crew: Crew, complaint: Complaint) -> None:
    LabourRate.objects.create(
        workshop=complaint.order.workshop, payer=Payer.VEHICLE_WARRANTY, rate=D("75.00")
    )
    line = add_labour(crew, complaint, text="Clean the ground", tenths=10)
    assert line.rate == D("90.00")
    share(crew, complaint, Payer.VEHICLE_WARRANTY, "100", "")
    line.refresh_from_db()
    assert line.rate == D("75.00")
    complaint.refresh_from_db()
    assert add_labour(crew, complaint, text="Test it", tenths=10).rate == D("75.00")
    share(crew, complaint, Payer.VEHICLE_WARRANTY, "40", "Agreed with the payer")
    line.refresh_from_db()
    assert line.rate == D("90.00")  # what the customer pays does not hang on who helps
    assert add_labour(crew, complaint, text="Once more", tenths=5).rate == D("90.00")


def test_goodwill_in_percent_with_a_reason_is_shared_out_and_taxed(
    crew: Crew, complaint: Complaint
) -> None:
    Tax.objects.create(
        workshop=complaint.order.workshop,
        name="Sales tax",
        percent=D("7.25"),
        on_assemblies=True,
        on_labour=True,
        on_sublet=True,
    )
    add_other(crew, complaint, quantity=D(1), unit_price=D("100.01"))
    with refused(field="because"):
        share(crew, complaint, Payer.GOODWILL, "50", " ")
    with refused(field="percent"):
        share(crew, complaint, Payer.GOODWILL, "100.5", "Twice here")
    with refused(field="percent"):
        share(crew, complaint, Payer.GOODWILL, "0", "Twice here")
    share(crew, complaint, Payer.GOODWILL, "50", "Twice here for the same")
    bill = bill_of(complaint.order)
    # 50 % of 100.01 is 50.005, half up 50.01; tax 3.62 on 50.00 and 3.63 on 50.01.
    assert [(one.customer, one.other) for one in bill.lines] == [(D("50.00"), D("50.01"))]
    assert (bill.customer, bill.other, bill.total) == (D("53.63"), D("53.64"), D("107.27"))
    give_estimate(crew, complaint.order)
    given = Estimate.objects.get(order=complaint.order)
    assert (given.tax, given.customer_total, given.payer_total) == (
        bill.tax,
        bill.customer,
        bill.other,
    )
    assert given.taxes.get().amount == bill.tax
    line = given.lines.get()
    assert (line.kind, line.quantity, line.customer_amount) == ("material", D(1), D("50.00"))
    share(crew, complaint, Payer.CUSTOMER, "100", "")
    assert standing([complaint.order_id]) == set()


def test_a_material_is_named_and_sublet_work_says_who_does_it(
    crew: Crew, complaint: Complaint
) -> None:
    with refused(field="text", says="does not say what is charged"):
        add_other(crew, complaint, text="Shop supplies")
    with refused(field="supplier"):
        add_other(crew, complaint, kind="sublet", text="Skim both discs")
    line = add_other(
        crew,
        complaint,
        kind="sublet",
        text="Skim both discs",
        supplier="Lathe Yard",
        quantity=D(2),
        unit_price=D("31.50"),
    )
    add_other(crew, complaint)
    bill = bill_of(complaint.order)
    assert (bill.sublet, bill.assemblies) == (D("63.00"), D("9.00"))
    estimate.remove_other(crew.technician, act=uuid4(), line=line)
    assert bill_of(complaint.order).sublet == D("0.00")


@pytest.mark.parametrize(
    ("field", "more"),
    [
        ("quantity", {"quantity": D(0)}),
        ("quantity", {"quantity": D(-1)}),
        ("quantity", {"quantity": D("NaN")}),
        ("quantity", {"quantity": D("0.005")}),
        ("quantity", {"quantity": D(100_000)}),
        ("unit_price", {"unit_price": D("-0.01")}),
        ("unit_price", {"unit_price": D("Infinity")}),
        ("quantity", {"quantity": D(99_999), "unit_price": D(99_999_999)}),
        ("kind", {"kind": "tip"}),
    ],
)
def test_sums_that_are_none_are_refused_beside_their_field(
    crew: Crew, complaint: Complaint, field: str, more: dict[str, object]
) -> None:
    with refused(field=field):
        add_other(crew, complaint, **more)
    assert not complaint.other_lines.exists()


def test_a_technician_does_not_decide_who_pays(crew: Crew, complaint: Complaint) -> None:
    with pytest.raises(Refusal):
        estimate.share(
            crew.technician,
            act=uuid4(),
            complaint=complaint,
            payer=Payer.GOODWILL,
            percent=D(50),
            because="A friend",
        )
    complaint.refresh_from_db()
    assert complaint.payer == Payer.CUSTOMER
