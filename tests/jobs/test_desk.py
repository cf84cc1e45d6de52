"""The Desk: whose move does each job wait for?"""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

from django.urls import reverse

from jobs.models import RepairOrder
from jobs.queries.desk import desk_of
from jobs.services import assignment
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from shop.roles import Role
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import RED_AND_AMBER, Crew, bring_to, give_estimate, go

DESK = "/quay-street/desk/"


def promised(crew: Crew, order: RepairOrder, *, hours: float) -> RepairOrder:
    assignment.assign(
        crew.manager,
        order,
        act=uuid4(),
        revision=order.revision,
        technician=order.technician,
        bay=order.bay,
        promised_at=clock.now() + timedelta(hours=hours),
    )
    return order


def groups(actor: Actor) -> dict[str, list[str]]:
    return {
        str(group.name): [row.order.number for row in group.rows] for group in desk_of(actor).groups
    }


def test_jobs_are_grouped_by_whose_move_it_is_with_the_managers_own_first(crew: Crew) -> None:
    unassigned = a_repair_order(crew.manager)
    with_ines = a_repair_order(crew.manager, technician=crew.technician)
    asked = bring_to(
        Stage.AWAITING_AUTHORITY, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    to_order = bring_to(
        Stage.AWAITING_ASSEMBLY, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    expected = {
        "Your move": [unassigned.number, asked.number],
        "Bay": [with_ines.number],
        "Counter": [to_order.number],
    }
    assert groups(crew.manager) == expected
    assert list(groups(crew.manager)) == list(expected)
    give_estimate(crew, asked)
    assert groups(crew.manager)["Customer"] == [asked.number]


def test_the_oldest_promise_comes_first_and_jobs_without_one_last(crew: Crew) -> None:
    none = a_repair_order(crew.manager)
    later = promised(crew, a_repair_order(crew.manager), hours=5)
    overdue = promised(crew, a_repair_order(crew.manager), hours=-1)
    sooner = promised(crew, a_repair_order(crew.manager), hours=2)
    numbers = [order.number for order in (overdue, sooner, later, none)]
    assert groups(crew.manager) == {"Your move": numbers}
    page = text_of(client_of(crew.manager).get(DESK))
    assert "late" in page
    assert "1 past its promise" in page


def test_each_row_says_what_exactly_is_awaited(crew: Crew) -> None:
    asked = bring_to(
        Stage.AWAITING_AUTHORITY, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    give_estimate(crew, asked)
    bring_to(
        Stage.AWAITING_ASSEMBLY, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    page = text_of(client_of(crew.manager).get(DESK))
    total = asked.estimates.get().total
    assert f"${total}, given by telephone to Ada W." in page
    assert "Order 1 assembly" in page
    assert "Rear hub-and-sensor assembly, left rear" in page
    assert "Yellow light came on after the car wash" in page


def test_what_must_not_be_driven_says_so_on_the_desk(crew: Crew) -> None:
    a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    assert "not to be driven" in text_of(client_of(crew.manager).get(DESK))


def test_closed_jobs_and_those_of_the_other_workshop_are_not_on_the_desk(
    crew: Crew, pim: Actor
) -> None:
    order = a_repair_order(crew.manager)
    go(crew.manager, order, Move.VOID, reason="Opened twice")
    a_repair_order(pim)
    assert groups(crew.manager) == {}
    page = text_of(client_of(crew.manager).get(DESK))
    assert "No vehicle is in the workshop" in page


def test_somebody_with_two_roles_finds_the_moves_of_both_under_their_own(
    crew: Crew, bela: Actor
) -> None:
    bring_to(
        Stage.AWAITING_ASSEMBLY, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    both = Actor(bela.user, bela.workshop, frozenset({Role.MANAGER, Role.COUNTER}))
    assert list(groups(both)) == ["Your move"]
    assert list(groups(bela)) == ["Counter"]


def test_the_list_of_orders_is_paged_and_filtered_by_open_and_closed(crew: Crew) -> None:
    still_open = a_repair_order(crew.manager)
    closed = a_repair_order(crew.manager)
    go(crew.manager, closed, Move.VOID, reason="Opened twice")
    browser = client_of(crew.manager)
    orders = reverse("orders", args=["quay-street"])
    page = text_of(browser.get(orders))
    assert still_open.number in page
    assert closed.number not in page
    page = text_of(browser.get(orders, {"show": "closed"}))
    assert closed.number in page
    assert still_open.number not in page
    assert browser.get(orders, {"show": "closed", "page": "no such page"}).status_code == 200
