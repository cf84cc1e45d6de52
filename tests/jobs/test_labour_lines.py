"""Which line of a job pays for a shared step; common practice, no source."""

from __future__ import annotations

from decimal import Decimal

import pytest

from diagnostics.models import LabourOperation, SharedStep
from jobs.models import Complaint, LabourLine, RepairOrder
from jobs.services.labour_lines import share_steps
from shop.actor import Actor
from tests.factories import a_complaint_line, a_repair_order


@pytest.fixture
def order(bela: Actor) -> RepairOrder:
    return a_repair_order(bela, complaints=[a_complaint_line(), a_complaint_line(words="Pulls")])


@pytest.fixture
def operations(order: RepairOrder) -> tuple[LabourOperation, LabourOperation]:
    """Two of the catalogue's that share a wheel off (at its place) and the bleeding."""
    version = order.session.version
    assert version is not None
    one, two = LabourOperation.objects.filter(version=version)[:2]
    SharedStep.objects.filter(version=version).delete()
    for key, tenths, each_place in (("wheel_off_made", 3, True), ("bleed_made", 5, False)):
        step = SharedStep.objects.create(
            version=version, key=key, words=key, tenths=tenths, each_place=each_place
        )
        step.operations.set([one, two])
    return one, two


def a_line(
    complaint: Complaint,
    operation: LabourOperation | None,
    tenths: int,
    *,
    position: str = "LF",
    kind: str = LabourLine.Kind.OPERATION,
) -> LabourLine:
    return LabourLine.objects.create(
        complaint=complaint,
        operation=operation,
        text="Do it",
        kind=kind,
        position=position,
        tenths=tenths,
        rate=Decimal(90),
    )


def shared(order: RepairOrder) -> list[int]:
    share_steps(order)
    rows = LabourLine.objects.filter(complaint__order=order).order_by("pk")
    return list(rows.values_list("shared_tenths", flat=True))


Two = tuple[LabourOperation, LabourOperation]


def test_the_shorter_line_is_reduced_across_complaints(order: RepairOrder, operations: Two) -> None:
    first, second = order.complaints.order_by("line")
    a_line(first, operations[0], 10)
    assert shared(order) == [0]
    a_line(second, operations[1], 14)
    assert shared(order) == [8, 0]


def test_a_wheel_on_the_other_side_is_not_shared(order: RepairOrder, operations: Two) -> None:
    first, second = order.complaints.order_by("line")
    a_line(first, operations[0], 14)
    a_line(second, operations[1], 10, position="RF")
    assert shared(order) == [0, 5]


def test_what_is_not_done_shares_nothing(order: RepairOrder, operations: Two) -> None:
    first, second = order.complaints.order_by("line")
    a_line(first, operations[0], 10)
    longer = a_line(second, operations[1], 14)
    assert shared(order) == [8, 0]
    Complaint.objects.filter(pk=second.pk).update(decision=Complaint.Decision.DECLINED)
    assert shared(order) == [0, 0]
    Complaint.objects.filter(pk=second.pk).update(decision=Complaint.Decision.AUTHORISED)
    assert shared(order) == [8, 0]
    LabourLine.objects.filter(pk=longer.pk).update(withdrawn=True)
    assert shared(order) == [0, 0]


def test_diagnosis_and_extra_time_share_nothing(order: RepairOrder, operations: Two) -> None:
    first, second = order.complaints.order_by("line")
    a_line(first, operations[0], 10, kind=LabourLine.Kind.DIAGNOSIS)
    a_line(first, None, 5, kind=LabourLine.Kind.EXTRA)
    a_line(second, operations[1], 14)
    assert shared(order) == [0, 0, 0]
