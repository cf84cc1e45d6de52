"""Booking in a delivery: stock, jobs and returns agree whatever comes, and nothing comes twice."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from jobs.models import RepairOrder, StockItem, SupplyReceipt, SupplyReturn
from jobs.services import moves, parts, receiving, supply_changes
from jobs.services.receiving import Came
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from tests.asserts import refused
from tests.jobs.along import Crew
from tests.jobs.supplying import (
    State,
    asking,
    came,
    check_stock,
    line_of,
    on_the_shelf,
    placed,
    stage_of,
    state_of,
)


def test_in_part_the_earliest_promise_is_served_and_the_rest_is_awaited(crew: Crew) -> None:
    late, soon = asking(crew, promised_in_hours=9), asking(crew, promised_in_hours=2)
    order = placed(crew, late, soon, quantity=4)
    booked = came(crew, order, good=1)
    assert [row.pk for row in booked.rows] == [soon.pk]
    assert (state_of(soon), state_of(late)) == (State.RECEIVED, State.ORDERED)
    assert check_stock() == (1, 1)
    assert (line_of(order).received, line_of(order).awaited) == (1, 3)
    booked = came(crew, order, good=3)
    assert (booked.shelved, check_stock()) == (2, (4, 2))
    receipts = SupplyReceipt.objects.order_by("pk")
    assert [(one.quantity, one.delivery_note) for one in receipts] == [(1, "DN 1"), (3, "DN 1")]


@pytest.mark.parametrize("found", [{"good": 3}, {"good": 2, "wrong": 1}, {"damaged": 3}])
def test_more_than_awaited_is_refused_with_a_sentence_and_nothing_is_kept(
    crew: Crew, found: dict[str, Any]
) -> None:
    order = placed(crew, asking(crew), quantity=2)
    with refused(says="2 pieces are awaited and 3 are to be booked in"):
        came(crew, order, **found)
    assert not SupplyReceipt.objects.exists()
    assert not StockItem.objects.exists()
    assert not SupplyReturn.objects.exists()
    assert line_of(order).awaited == 2


@pytest.mark.parametrize("found", [{}, {"good": -1}, {"good": 1, "unit_cost": Decimal(-1)}])
def test_nothing_a_negative_number_and_a_negative_cost_are_refused(
    crew: Crew, found: dict[str, Any]
) -> None:
    order = placed(crew, asking(crew))
    with refused():
        came(crew, order, **found)
    assert line_of(order).received == 0


def test_two_clerks_at_the_same_line_the_second_is_told_what_stands(crew: Crew) -> None:
    order = placed(crew, asking(crew), quantity=2)
    seen = line_of(order).revision
    came(crew, order, good=2, revision=seen)
    with pytest.raises(Clash, match="of 2, 2 came, 0 are cancelled and 0 are awaited"):
        came(crew, order, good=2, revision=seen)
    assert check_stock() == (2, 1)


def test_a_double_tap_books_in_once(crew: Crew) -> None:
    order, act = placed(crew, asking(crew), quantity=2), uuid4()
    line = line_of(order)
    lines = [Came(line.pk, line.revision, good=1)]
    receiving.receive(crew.counter, act=act, order=order, lines=lines)
    with pytest.raises(AlreadyDone):
        receiving.receive(crew.counter, act=act, order=order, lines=lines)
    assert check_stock() == (1, 1)


def test_a_wrong_and_a_damaged_piece_go_back_and_are_awaited_again(crew: Crew) -> None:
    row = asking(crew)
    order = placed(crew, row, quantity=2, cost="55.50")
    came(crew, order, wrong=1, damaged=1, because="Right-hand, and bent")
    assert (line_of(order).awaited, state_of(row)) == (2, State.ORDERED)
    assert not StockItem.objects.exists()
    back = SupplyReturn.objects.order_by("pk")
    assert [(one.why, one.quantity, one.credit_expected) for one in back] == [
        ("wrong", 1, Decimal("55.50")),
        ("damaged", 1, Decimal("55.50")),
    ]


def test_with_credit_instead_the_job_is_to_be_ordered_for_again(crew: Crew) -> None:
    late, soon = asking(crew, promised_in_hours=9), asking(crew, promised_in_hours=2)
    order = placed(crew, late, soon)
    came(crew, order, good=1, damaged=1, again=False)
    line = line_of(order)
    assert (line.received, line.cancelled, line.awaited) == (1, 1, 0)
    assert (state_of(soon), state_of(late)) == (State.RECEIVED, State.TO_ORDER)


def test_a_complete_job_goes_on_in_the_same_act_and_its_stock_with_it(crew: Crew) -> None:
    row = asking(crew)
    order = placed(crew, row, quantity=2)
    booked = came(crew, order, good=2, hand_over=True)
    assert [job.pk for job in booked.handed_over] == [row.complaint.order_id]
    assert stage_of(row) == Stage.REPAIRING
    row.refresh_from_db()
    assert (row.handed_at is not None, row.handed_by) == (True, crew.counter.user)
    assert check_stock() == (1, 0)


def test_back_to_diagnosis_the_piece_comes_back_kept_and_is_handed_over_once_more(
    crew: Crew,
) -> None:
    row = asking(crew)
    came(crew, placed(crew, row), good=1, hand_over=True)
    assert check_stock() == (0, 0)
    job = RepairOrder.objects.get(pk=row.complaint.order_id)
    move = {"act": uuid4(), "revision": job.revision, "reason": "Another noise"}
    moves.move(crew.manager, job, Move.DIAGNOSE_AGAIN, **move)  # type: ignore[arg-type]
    assert check_stock() == (1, 1)
    row.refresh_from_db()
    assert row.handed_at is None
    RepairOrder.objects.filter(pk=job.pk).update(stage=Stage.AWAITING_ASSEMBLY)
    job.refresh_from_db()
    parts.hand_over(crew.counter, act=uuid4(), order=job, revision=job.revision)
    assert check_stock() == (0, 0)
    kinds = StockItem.objects.get().movements.order_by("pk").values_list("kind", flat=True)
    assert list(kinds) == ["received", "handed", "back", "handed"]


def test_a_job_that_was_voided_is_handed_nothing_and_what_comes_is_for_the_shelf(
    crew: Crew,
) -> None:
    row = asking(crew)
    order = placed(crew, row)
    RepairOrder.objects.filter(pk=row.complaint.order_id).update(
        stage=Stage.VOID, closed_at=clock.now()
    )
    with refused(says="is closed"):
        parts.receive(crew.counter, act=uuid4(), replacements=[row.pk], hand_over=True)
    assert came(crew, order, good=1, hand_over=True).shelved == 1
    assert (stage_of(row), check_stock()) == (Stage.VOID, (1, 0))
    job = RepairOrder.objects.get(pk=row.complaint.order_id)
    with pytest.raises(Clash, match="void"):
        parts.hand_over(crew.counter, act=uuid4(), order=job, revision=job.revision)


def test_a_job_that_leaves_unrepaired_lets_go_of_what_lay_here_and_of_what_comes(
    crew: Crew,
) -> None:
    here, coming = asking(crew), asking(crew)
    placed_order = placed(crew, coming)
    coming.complaint_id = here.complaint_id
    coming.save(update_fields=["complaint"])
    came(crew, placed(crew, here), good=1)
    job = here.complaint.order
    RepairOrder.objects.filter(pk=job.pk).update(stage=Stage.DECLINED)
    job.refresh_from_db()
    move = {"act": uuid4(), "revision": job.revision, "reason": "Sold as it is"}
    moves.move(crew.manager, job, Move.LEAVE_UNREPAIRED, **move)  # type: ignore[arg-type]
    assert (state_of(here), state_of(coming)) == (State.CANCELLED, State.CANCELLED)
    assert check_stock() == (1, 0)
    assert came(crew, placed_order, good=1).shelved == 1


def test_a_voided_order_and_a_line_of_another_order_are_refused(crew: Crew, pim: Actor) -> None:
    order, other = placed(crew, asking(crew)), placed(crew, asking(crew))
    with refused(says="not on this order"):
        line = line_of(other)
        receiving.receive(
            crew.counter, act=uuid4(), order=order, lines=[Came(line.pk, line.revision, good=1)]
        )
    with refused(says="not on this order"):
        line = line_of(order)
        receiving.receive(
            pim, act=uuid4(), order=order, lines=[Came(line.pk, line.revision, good=1)]
        )
    supply_changes.void(crew.counter, act=uuid4(), order=order, because="Twice")
    with refused(says="was voided"):
        line = line_of(order)
        receiving.receive(
            crew.counter, act=uuid4(), order=order, lines=[Came(line.pk, line.revision, good=1)]
        )


def test_the_cost_of_a_stock_item_is_the_moving_average_and_the_job_keeps_its_own(
    crew: Crew,
) -> None:
    """(2 at 100.00 + 1 at 130.00) / 3 = 110.00: the definition of the weighted mean."""
    row = asking(crew)
    came(crew, placed(crew, quantity=2, cost="100"), good=2)
    came(crew, placed(crew, row, cost="100"), good=1, unit_cost=Decimal(130))
    item = StockItem.objects.get()
    assert item.unit_cost == Decimal("110.00")
    assert item.movements.latest("pk").unit_cost == Decimal("130.00")
    row.refresh_from_db()
    assert row.cost == Decimal("130.00")


def test_the_shelf_serves_a_job_in_one_touch_but_not_with_what_is_kept_for_another(
    crew: Crew,
) -> None:
    first, second = asking(crew), asking(crew)
    on_the_shelf(crew, 1)
    parts.receive(crew.counter, act=uuid4(), replacements=[first.pk], hand_over=False)
    assert check_stock() == (1, 1)
    with refused(says="lies free on the shelf"):
        parts.receive(crew.counter, act=uuid4(), replacements=[second.pk])
