"""Orders to suppliers: placed, joined, put off, cut, voided."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.models import NumberSeries, Supplier, SupplyOrder
from jobs.services import parts, supply, supply_changes
from jobs.services.supply import Wanted
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from tests.asserts import refused
from tests.jobs.along import Crew
from tests.jobs.supplying import NUMBER, State, asking, came, day, line_of, placed, state_of


def test_it_has_a_number_of_its_own_and_what_no_job_takes_is_for_the_shelf(crew: Crew) -> None:
    first, second = asking(crew), asking(crew)
    order = placed(crew, first, second, quantity=5, their_reference=" OS-7714 ")
    assert (order.number, order.their_reference, order.supplier.name) == (
        "QS1001",
        "OS-7714",
        "Ostrel",
    )
    line = line_of(order)
    assert (line.quantity, line.awaited, line.replacements.count()) == (5, 5, 2)
    first.refresh_from_db()
    assert (first.state, first.supply_line, first.cost) == (State.ORDERED, line, Decimal(100))
    assert LogEntry.objects.filter(subject_kind="supply", subject_id=order.pk).count() == 1


def test_a_refused_order_leaves_no_gap_and_a_voided_one_keeps_its_number(crew: Crew) -> None:
    order = placed(crew, asking(crew))
    with refused(field="expected_on"):
        placed(crew, asking(crew), expected_on=day(-1))
    supply_changes.void(crew.counter, act=uuid4(), order=order, because="Ordered twice")
    assert placed(crew, asking(crew)).number == "QS1002"
    assert NumberSeries.objects.get(kind="supply").last == 1002


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ([], "Nothing is to be ordered"),
        ([Wanted(NUMBER, 0)], "Nothing is to be ordered"),
        ([Wanted(NUMBER, -2)], "between 1 and 9999"),
        ([Wanted(NUMBER, 10_000)], "between 1 and 9999"),
        ([Wanted(NUMBER, 1, Decimal("-0.01"))], "nought or more"),
        ([Wanted(NUMBER, 1), Wanted(" pl2 20-214", 1)], "stands twice"),
        ([Wanted(" - ", 1)], "between 1 and 40 signs"),
    ],
)
def test_it_refuses_what_no_supplier_could_deliver(
    crew: Crew, lines: list[Wanted], says: str
) -> None:
    with refused(says=says):
        placed(crew, lines=lines)
    assert not SupplyOrder.objects.exists()


def test_where_fewer_are_ordered_than_asked_the_earliest_promise_is_served(crew: Crew) -> None:
    late, soon = asking(crew, promised_in_hours=9), asking(crew, promised_in_hours=2)
    never = asking(crew)
    placed(crew, never, late, soon, quantity=2)
    assert [state_of(row) for row in (soon, late, never)] == [
        State.ORDERED,
        State.ORDERED,
        State.TO_ORDER,
    ]


def test_the_number_that_was_ordered_is_the_one_the_job_waits_for(crew: Crew) -> None:
    row = asking(crew, number="PL2-20-210")
    line = Wanted(NUMBER, 1, replacements=(row.pk,))
    placed(crew, lines=[line])
    row.refresh_from_db()
    assert row.part_number == NUMBER
    said = LogEntry.objects.get(
        subject_kind="order", subject_id=row.complaint.order_id, kind="parts"
    )
    assert "in place of PL2-20-210" in said.words


def test_one_that_somebody_ordered_meanwhile_is_a_clash_and_nothing_is_ordered(crew: Crew) -> None:
    mine, other = asking(crew), asking(crew)
    placed(crew, mine)
    with pytest.raises(Clash, match="is ordered by now"):
        placed(crew, other, quantity=2, seen=[mine.pk, other.pk])
    assert SupplyOrder.objects.count() == 1
    assert state_of(other) == State.TO_ORDER


def test_who_orders_all_that_somebody_else_has_ordered_is_told_so(crew: Crew) -> None:
    """The page asks anew what is open: nothing is left to send but what was seen on it."""
    row = asking(crew)
    placed(crew, row)
    with pytest.raises(Clash, match="is ordered by now"):
        placed(crew, lines=[], seen=[row.pk])
    assert SupplyOrder.objects.count() == 1


def test_a_double_tap_places_one_order(crew: Crew) -> None:
    act, row = uuid4(), asking(crew)
    line = Wanted(NUMBER, 1, replacements=(row.pk,))
    supply.place(crew.counter, act=act, supplier="Ostrel", lines=[line], expected_on=day(1))
    with pytest.raises(AlreadyDone):
        supply.place(crew.counter, act=act, supplier="Ostrel", lines=[line], expected_on=day(1))


def test_a_technician_and_a_stranger_may_not_and_a_suppliers_name_is_one(
    crew: Crew, pim: Actor
) -> None:
    line = Wanted(NUMBER, 1)
    with refused(says="orders parts"):
        supply.place(
            crew.technician, act=uuid4(), supplier="Ostrel", lines=[line], expected_on=day(1)
        )
    ours = placed(crew, supplier="  ostrel ", lines=[line]).supplier
    assert placed(crew, supplier="OSTREL", lines=[line]).supplier == ours
    assert Supplier.objects.count() == 1
    with refused(says="not in this workshop"):
        supply.place(pim, act=uuid4(), supplier=ours, lines=[line], expected_on=day(1))


def test_a_piece_that_comes_for_nobody_is_kept_for_a_job_and_no_more_than_there_are(
    crew: Crew,
) -> None:
    line = line_of(placed(crew, asking(crew), quantity=2))
    second, third = asking(crew), asking(crew)
    supply.wait_for(crew.counter, act=uuid4(), replacement=second, line=line)
    second.refresh_from_db()
    assert (second.state, second.supply_line, second.expected_on) == (State.ORDERED, line, day(1))
    with pytest.raises(Clash, match="promised to a job"):
        supply.wait_for(crew.counter, act=uuid4(), replacement=third, line=line)
    assert state_of(third) == State.TO_ORDER


def test_back_ordered_moves_the_day_of_the_line_and_of_every_job_in_their_words(crew: Crew) -> None:
    first, second = asking(crew), asking(crew)
    line = line_of(placed(crew, first, second))
    with refused(field="because"):
        supply_changes.put_off(
            crew.counter, act=uuid4(), line=line, revision=0, expected_on=day(9), because=" "
        )
    supply_changes.put_off(
        crew.counter, act=uuid4(), line=line, revision=0, expected_on=day(9), because="At the port"
    )
    for row in (first, second):
        row.refresh_from_db()
        assert row.expected_on == day(9)
    line.refresh_from_db()
    assert (line.late_because, line.revision) == ("At the port", 1)
    with pytest.raises(Clash, match="2 are awaited"):
        supply_changes.put_off(
            crew.manager, act=uuid4(), line=line, revision=0, expected_on=day(4), because="Sooner"
        )


def test_cancelled_in_part_the_shelf_goes_short_first_then_the_latest_promise(crew: Crew) -> None:
    late, soon = asking(crew, promised_in_hours=9), asking(crew, promised_in_hours=2)
    line = line_of(placed(crew, late, soon, quantity=3))

    def cut(quantity: int) -> None:
        line.refresh_from_db()
        supply_changes.cancel_line(
            crew.counter,
            act=uuid4(),
            line=line,
            revision=line.revision,
            quantity=quantity,
            because="Out of production",
        )

    with refused(field="quantity", says="3 of PL2-20-214 are awaited"):
        cut(4)
    cut(1)
    assert [state_of(row) for row in (soon, late)] == [State.ORDERED, State.ORDERED]
    cut(1)
    assert [state_of(row) for row in (soon, late)] == [State.ORDERED, State.TO_ORDER]
    late.refresh_from_db()
    assert (late.supply_line, late.order_reference, late.expected_on) == (None, "", None)
    cut(1)
    assert state_of(soon) == State.TO_ORDER
    line.refresh_from_db()
    assert (line.awaited, line.cancelled) == (0, 3)


def test_only_an_order_that_brought_nothing_is_voided_and_only_once(crew: Crew) -> None:
    row, other = asking(crew), asking(crew)
    order, second = placed(crew, row), placed(crew, other, quantity=2)
    supply_changes.void(crew.counter, act=uuid4(), order=order, because="Ordered twice")
    assert state_of(row) == State.TO_ORDER
    order.refresh_from_db()
    assert (order.voided_because, line_of(order).awaited) == ("Ordered twice", 0)
    with pytest.raises(Clash, match="voided already"):
        supply_changes.void(crew.counter, act=uuid4(), order=order, because="Again")
    came(crew, second, damaged=1, because="Bent")
    with refused(says="came already"):
        supply_changes.void(crew.counter, act=uuid4(), order=second, because="Late")


def test_cancelling_the_assembly_of_a_job_leaves_the_piece_coming_for_the_shelf(crew: Crew) -> None:
    row = asking(crew)
    order = placed(crew, row)
    parts.cancel(crew.counter, act=uuid4(), replacement=row, because="Not needed")
    assert line_of(order).awaited == 1
    assert came(crew, order, good=1).shelved == 1
