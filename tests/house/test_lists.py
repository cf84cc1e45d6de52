"""Every page with rows costs the same queries for two as for twenty."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import RepairOrder
from jobs.stages import Stage
from shop.actor import Actor
from shop.models import Bay
from shop.roles import Role
from tests.asserts import counted
from tests.cast import client_of, person
from tests.diagnostics.worked_out import a_run_out
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew, bring_to, read_flags, take_reading
from tests.jobs.bills import a_plain_invoice, pay
from tests.jobs.claim_rows import a_claim_row, a_line, a_payment_file
from tests.jobs.reports.makings import a_month_later

FEW, MANY = 2, 20
SPREAD = (
    Stage.RECEIVED,
    Stage.DIAGNOSING,
    Stage.AWAITING_AUTHORITY,
    Stage.AWAITING_ASSEMBLY,
    Stage.REPAIRING,
    Stage.PROVING,
    Stage.READY,
    Stage.DECLINED,
)
# Name of the address, and what is asked of it.
LISTS: tuple[tuple[str, dict[str, str]], ...] = (
    ("bay", {}),
    ("desk", {}),
    ("counter", {}),
    ("stock", {}),
    ("held", {}),
    ("counter", {"list": "ordered"}),
    ("supply-orders", {"show": "all"}),
    ("suppliers", {}),
    ("supply-returns", {}),
    ("shelf-advice", {}),
    ("till", {}),
    ("till", {"list": "owed"}),
    ("till", {"list": "borne"}),
    ("invoices", {}),
    ("claims", {}),
    ("claim-payers", {}),
    ("claim-ledger", {}),
    ("claim-ledger-claims", {}),
    ("payment-files", {}),
    ("office", {}),
    ("returns", {}),
    ("failures", {}),
    ("accounts", {}),
    ("reports", {}),
    ("prices", {}),
    ("orders", {}),
    ("vehicles", {}),
    ("log", {}),
    ("people", {}),
    ("catalogue", {}),
    ("hours", {}),
    ("find", {"q": "7KD"}),
    ("take-in", {"q": "7KD"}),
)


@pytest.fixture
def crew(ines: Actor, bela: Actor, nuri: Actor) -> Crew:
    return Crew(ines, bela, nuri)


def _grow(crew: Crew, stages: tuple[Stage, ...]) -> None:
    bay = Bay.objects.first()
    for stage in stages:
        order = a_repair_order(crew.manager, technician=crew.technician, bay=bay)
        bring_to(stage, order, crew)
        if stage is Stage.PROVING:
            pay(crew.counter, a_plain_invoice(crew.manager, order), "4.00")
            a_payment_file(crew.counter, a_line(a_claim_row(crew.manager, order=order)))
            a_month_later(crew.manager)


@pytest.fixture
def everybody(crew: Crew) -> Actor:
    return person(crew.manager.workshop, "All R.", *Role)


def test_each_list_costs_the_same_for_twice_as_many_rows(
    crew: Crew, everybody: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One or two orders at each stage first, then two or three: every list has grown."""
    monkeypatch.setattr("jobs.reports.counted.KEPT_SECONDS", 0)  # the figures are asked, too
    browser = client_of(everybody)
    slug = everybody.workshop.slug
    _grow(crew, SPREAD)
    a_vehicle(crew.manager)

    def costs() -> dict[str, int]:
        cost = {}
        for name, asked in LISTS:
            url = reverse(name, args=[slug])
            browser.get(url, asked)
            with counted() as queries:
                assert browser.get(url, asked).status_code == 200, name
            cost[f"{name} {asked}"] = len(queries)
        return cost

    few = costs()
    _grow(crew, SPREAD)
    person(everybody.workshop, "More S.", Role.TECHNICIAN)
    assert costs() == few


def test_a_job_costs_the_same_whatever_was_recorded_on_it(crew: Crew, everybody: Actor) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, order, crew)
    browser, slug = client_of(everybody), everybody.workshop.slug
    pages = [
        *(reverse(n, args=[slug, order.number]) for n in ("order", "story", "estimate", "proving")),
        *(
            reverse(n, args=[slug, order.session_id])
            for n in ("readings", "flags", "lamps", "work")
        ),
        reverse("conclude", args=[slug, order.number, 1]),
        reverse("vehicle", args=[slug, order.vehicle_id]),
        reverse("repair-order-pdf", args=[slug, order.number]),
    ]

    def record(times: int) -> None:
        for _ in range(times):
            read_flags(crew.technician, order, "C0045", "C0035")
            take_reading(crew.technician, order, "OL")
            a_run_out(crew.technician, order.session)

    def costs() -> list[int]:
        cost = []
        for url in pages:
            with counted() as queries:
                assert browser.get(url).status_code == 200, url
            cost.append(len(queries))
        return cost

    record(FEW)
    costs()
    few = costs()
    record(MANY - FEW)
    assert dict(zip(pages, costs(), strict=True)) == dict(zip(pages, few, strict=True))
    assert RepairOrder.objects.count() == 1
