"""The clock at the Bay and on the order's page, also when the tablet had no network."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import ClockEntry, RepairOrder
from shop import clock
from shop.actor import Actor
from tests.asserts import counted
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew
from tests.jobs.clocking import WEEK, set_week

HTMX = {"HX-Request": "true"}


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    set_week(crew.manager, crew.technician, dict.fromkeys(range(7), WEEK[0]))
    lines = [a_complaint_line(), a_complaint_line(words="It pulls to the left")]
    return a_repair_order(crew.manager, technician=crew.technician, complaints=lines)


@pytest.fixture
def tablet(crew: Crew) -> Client:
    return client_of(crew.technician)


def address(name: str, order: RepairOrder, line: int = 1) -> str:
    return reverse(name, args=[order.workshop.slug, order.number, line])


def page(browser: Client, order: RepairOrder, name: str = "order") -> str:
    args = [order.workshop.slug] if name in {"bay", "clock-now"} else None
    args = args or [order.workshop.slug, order.number]
    return browser.get(reverse(name, args=args)).content.decode()


def test_on_and_off_from_the_bay(tablet: Client, order: RepairOrder) -> None:
    shown = page(tablet, order, "bay")
    assert "Your clock is off" in shown
    assert address("clock-on", order, 2) in shown
    answer = tablet.post(
        address("clock-on", order), {"act": str(uuid4()), "at_bay": "on"}, headers=HTMX
    )
    said = answer.content.decode()
    assert 'id="bay"' in said
    assert f"on {order.number}, complaint 1" in said
    assert address("clock-off", order) in said
    assert address("clock-on", order) not in said
    assert address("clock-on", order, 2) in said
    answer = tablet.post(address("clock-off", order), {"act": str(uuid4()), "at_bay": "on"})
    assert answer.status_code == 303
    assert ClockEntry.objects.get().ended == ClockEntry.Ended.PERSON


def test_the_order_shows_whose_clock_runs_to_everybody(
    tablet: Client, order: RepairOrder, crew: Crew, nuri: Actor
) -> None:
    tablet.post(address("clock-on", order), {"act": str(uuid4())}, headers=HTMX)
    assert "your clock, since" in page(tablet, order)
    others = page(client_of(nuri), order)
    assert f"{crew.technician.user}, since" in others
    assert address("clock-off", order) not in others
    answer = tablet.get(address("clock-here", order), headers=HTMX).content.decode()
    assert 'hx-trigger="every 60s"' in answer
    assert "hx-trigger" not in tablet.get(address("clock-here", order, 2)).content.decode()


def test_the_strip_says_how_long(tablet: Client, order: RepairOrder) -> None:
    tablet.post(address("clock-on", order), {"act": str(uuid4())})
    ClockEntry.objects.update(counted_from=clock.now() - timedelta(minutes=83, seconds=5))
    assert "1:23" in page(tablet, order, "clock-now")


def test_what_waited_on_the_tablet_counts_from_when_it_was_pressed(
    tablet: Client, order: RepairOrder
) -> None:
    pressed = clock.now() - timedelta(minutes=40)
    tablet.post(
        address("clock-on", order),
        {"act": str(uuid4())},
        headers=HTMX | {"X-Waited": pressed.isoformat().replace("+00:00", "Z")},
    )
    assert abs(ClockEntry.objects.get().started_at - pressed) < timedelta(seconds=1)


@pytest.mark.parametrize("waited", ["", "yesterday", "2026-11-25T10:00", "9" * 200])
def test_a_moment_that_is_none_counts_from_now(
    tablet: Client, order: RepairOrder, waited: str
) -> None:
    tablet.post(
        address("clock-on", order), {"act": str(uuid4())}, headers=HTMX | {"X-Waited": waited}
    )
    assert clock.now() - ClockEntry.objects.get().started_at < timedelta(minutes=1)


def test_a_refusal_is_a_sentence(tablet: Client, order: RepairOrder) -> None:
    answer = tablet.post(address("clock-off", order), {"act": str(uuid4())}, headers=HTMX)
    assert "Your clock does not run on complaint 1." in answer.content.decode()
    answer = tablet.post(address("clock-on", order), {"act": "none"}, headers=HTMX)
    assert "Nothing was recorded" in answer.content.decode()
    assert not ClockEntry.objects.exists()


def test_who_does_not_do_the_work_does_not_clock_on(crew: Crew, order: RepairOrder) -> None:
    browser = client_of(crew.manager)
    assert address("clock-on", order) not in page(browser, order)
    answer = browser.post(address("clock-on", order), {"act": str(uuid4())})
    assert answer.status_code == 403


def test_a_strangers_complaint_is_not_there(order: RepairOrder, pim: Actor) -> None:
    there = client_of(pim)
    assert there.get(address("clock-here", order)).status_code == 404


def test_the_pages_cost_the_same_whatever_was_clocked(
    tablet: Client, order: RepairOrder, tomas: Actor
) -> None:
    def costs() -> list[int]:
        found = []
        for name in ("bay", "order"):
            with counted() as queries:
                page(tablet, order, name)
            found.append(len(queries))
        return found

    tablet.post(address("clock-on", order), {"act": str(uuid4())})
    costs()
    few = costs()
    for line in (2, 1, 2):
        tablet.post(address("clock-on", order, line), {"act": str(uuid4())})
    client_of(tomas).post(address("clock-on", order), {"act": str(uuid4())})
    assert costs() == few
