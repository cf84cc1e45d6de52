"""Contracts and campaigns of a vehicle, and what its page says is promised."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import Campaign, RepairOrder, ServiceContract
from jobs.queries.vehicle_cover import cover_of
from jobs.services import campaigns, contracts
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash, Refusal
from shop.models import OdometerReading
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew
from tests.jobs.covering import a_campaign, a_contract, a_term, bare_pages, in_service

pytestmark = pytest.mark.django_db
START = date(2025, 3, 1)


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    made = a_repair_order(crew.manager)
    bare_pages(made)
    OdometerReading.objects.filter(vehicle=made.vehicle).update(distance_m=80_000_000)
    in_service(made, None)
    return made


def given(**more: Any) -> dict[str, Any]:
    return {
        "provider": "Brannet Plan",
        "number": "K-9",
        "starts_on": START,
        "starts_at_m": 60_000_000,
        "months": 36,
        "distance_m": 50_000_000,
        "waiting_days": 30,
        "waiting_m": 0,
        "deductible": Decimal("50.00"),
        "percent": Decimal(100),
        "systems": [],
        "left_out": [],
    } | more


def keep(actor: Actor, order: RepairOrder, *, sure: bool = False, **more: Any) -> ServiceContract:
    return contracts.add(actor, act=uuid4(), vehicle=order.vehicle, given=given(**more), sure=sure)


def test_a_contract_is_kept_as_it_was_typed(crew: Crew, order: RepairOrder) -> None:
    row = keep(crew.manager, order)
    row.refresh_from_db()
    assert (row.starts_on, row.months, row.distance_m) == (START, 36, 50_000_000)
    assert (row.waiting_days, row.deductible) == (30, Decimal("50.00"))


def test_the_same_form_sent_twice_is_one_contract(crew: Crew, order: RepairOrder) -> None:
    act = uuid4()
    contracts.add(crew.manager, act=act, vehicle=order.vehicle, given=given())
    with pytest.raises(AlreadyDone):
        contracts.add(crew.manager, act=act, vehicle=order.vehicle, given=given())


@pytest.mark.parametrize(
    ("more", "field", "sentence"),
    [
        ({"starts_at_m": None}, "starts_at_m", "counts from somewhere"),
        ({"percent": Decimal(0)}, "percent", "above 0"),
        ({"percent": Decimal(101)}, "percent", "up to 100"),
        ({"deductible": Decimal(-1)}, "deductible", "not below nought"),
        ({"starts_on": date(9999, 6, 1)}, "starts_on", "years away"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    crew: Crew, order: RepairOrder, more: dict[str, Any], field: str, sentence: str
) -> None:
    with pytest.raises(Refusal, match=sentence) as refused:
        keep(crew.manager, order, **more)
    assert refused.value.field == field
    assert not ServiceContract.objects.exists()


def test_a_contract_before_the_vehicle_went_into_service_is_refused(
    crew: Crew, order: RepairOrder
) -> None:
    in_service(order, START + timedelta(days=1))
    with pytest.raises(Refusal, match="went into service on 2 March 2025, after this day"):
        keep(crew.manager, order)


def test_an_odometer_that_does_not_fit_is_asked(crew: Crew, order: RepairOrder) -> None:
    """80,000 km were seen today; a start today at 90,000 km is questioned, and may be so."""
    with pytest.raises(Refusal, match=r"only .* less than at the contract’s start") as asked:
        keep(crew.manager, order, starts_at_m=90_000_000)
    assert asked.value.field == "sure"
    assert keep(crew.manager, order, starts_at_m=90_000_000, sure=True).pk


def test_two_contracts_at_the_same_time_are_asked_and_said(crew: Crew, order: RepairOrder) -> None:
    keep(crew.manager, order)
    with pytest.raises(Refusal, match="same time as Brannet Plan K-9") as asked:
        keep(crew.manager, order, number="K-10", starts_on=START + timedelta(days=200))
    assert asked.value.field == "sure"
    keep(crew.manager, order, number="K-10", starts_on=START + timedelta(days=200), sure=True)
    after = date(2028, 3, 2)  # the first one's last day is 1 March 2028
    assert not contracts.overlapping(order.vehicle, date(2030, 1, 1), 12, None)
    assert len(contracts.overlapping(order.vehicle, after, 12, None)) == 1


def test_the_same_contract_twice_is_refused(crew: Crew, order: RepairOrder) -> None:
    keep(crew.manager, order)
    with pytest.raises(Refusal, match="on record already"):
        keep(crew.manager, order, sure=True)


def test_two_people_do_not_change_a_contract_over_each_other(
    crew: Crew, order: RepairOrder
) -> None:
    row = keep(crew.manager, order)
    change: dict[str, Any] = {"contract": row, "revision": row.revision}
    contracts.change(crew.manager, act=uuid4(), given=given(months=24), **change)
    with pytest.raises(Clash):
        contracts.change(crew.manager, act=uuid4(), given=given(months=12), **change)
    row.refresh_from_db()
    assert row.months == 24


def test_a_contract_that_ended_early_holds_up_to_its_last_day(
    crew: Crew, order: RepairOrder
) -> None:
    row = keep(crew.manager, order)
    end: dict[str, Any] = {"contract": row, "revision": row.revision, "because": "sold"}
    with pytest.raises(Refusal, match="still to come"):
        contracts.end(crew.manager, act=uuid4(), ended_on=clock.today() + timedelta(days=1), **end)
    with pytest.raises(Refusal, match="before it starts"):
        contracts.end(crew.manager, act=uuid4(), ended_on=START - timedelta(days=1), **end)
    contracts.end(crew.manager, act=uuid4(), ended_on=clock.today() - timedelta(days=1), **end)
    [one] = cover_of(order.vehicle, 80_000_000).contracts
    assert (one.state, one.last_day) == ("over", clock.today() - timedelta(days=1))


def test_a_campaign_is_announced_carried_out_and_put_back(crew: Crew, order: RepairOrder) -> None:
    row = campaigns.announce(
        crew.manager,
        act=uuid4(),
        vehicle=order.vehicle,
        reference="r-1",
        title="Seal",
        announced_on=date(2025, 5, 5),
    )
    assert row.reference == "R-1"
    done: dict[str, Any] = {"campaign": row, "revision": row.revision}
    with pytest.raises(Refusal, match="announced after this day"):
        campaigns.remedied(crew.manager, act=uuid4(), remedied_on=date(2025, 5, 4), **done)
    campaigns.remedied(crew.manager, act=uuid4(), remedied_on=date(2025, 6, 1), **done)
    with pytest.raises(Clash):
        campaigns.remedied(crew.manager, act=uuid4(), remedied_on=date(2025, 6, 2), **done)
    row.refresh_from_db()
    assert cover_of(order.vehicle, None).campaigns[0].state == "done"
    campaigns.not_remedied(
        crew.manager, act=uuid4(), campaign=row, revision=row.revision, because="other car"
    )
    row.refresh_from_db()
    assert row.remedied_on is None
    with pytest.raises(Refusal, match="on record for this vehicle"):
        campaigns.announce(
            crew.manager,
            act=uuid4(),
            vehicle=order.vehicle,
            reference="R-1",
            title="Seal",
            announced_on=date(2025, 5, 5),
        )


def test_what_is_promised_is_told_for_today(crew: Crew, order: RepairOrder) -> None:
    a_term(order, months=36, distance_m=100_000_000)
    order.vehicle.refresh_from_db()
    [unknown] = cover_of(order.vehicle, 80_000_000).terms
    assert (unknown.state, unknown.last_day) == ("unknown", None)
    in_service(order, clock.today() - timedelta(days=100))
    [runs] = cover_of(order.vehicle, 80_000_000).terms
    assert (runs.state, runs.ends_at) == ("runs", "100\u202f000\u00a0km")
    assert runs.left.endswith("20\u202f000\u00a0km")
    [over] = cover_of(order.vehicle, 100_001_000).terms
    assert over.state == "over"


def test_the_vehicle_page_says_it_in_words(crew: Crew, order: RepairOrder) -> None:
    a_term(order, distance_m=100_000_000)
    a_contract(order)
    a_campaign(order)
    address = reverse("vehicle", args=[order.workshop.slug, order.vehicle_id])
    said = text_of(client_of(crew.manager).get(address))
    assert "What it is promised" in said
    assert "Nobody knows since when it is in service" in said
    for words in ("Chassis warranty", "cannot be told", "Brannet Plan K-1", "R-7"):
        assert words in said
    assert "Keep a contract" not in text_of(client_of(crew.technician).get(address))


def test_the_pages_keep_what_was_typed(crew: Crew, order: RepairOrder) -> None:
    browser = client_of(crew.manager)
    address = reverse("contract-new", args=[order.workshop.slug, order.vehicle_id])
    typed: dict[str, Any] = {
        "act": uuid4(),
        "provider": "Brannet Plan",
        "number": "K-9",
        "starts_on": "2025-03-01",
        "starts_at_m": "60 000",
        "distance_m": "far",
    }
    answer = browser.post(address, typed)
    assert answer.status_code == 200
    assert 'value="60 000"' in answer.content.decode()
    assert not ServiceContract.objects.exists()
    assert browser.post(address, typed | {"distance_m": "50000"}).status_code == 303
    row = ServiceContract.objects.get()
    assert (row.starts_at_m, row.distance_m, row.percent) == (60_000_000, 50_000_000, Decimal(100))
    page = reverse("contract", args=[order.workshop.slug, row.pk])
    assert browser.get(page).status_code == 200
    announce = reverse("campaign-new", args=[order.workshop.slug, order.vehicle_id])
    sent: dict[str, Any] = {
        "act": uuid4(),
        "reference": "R-2",
        "title": "Seal",
        "announced_on": "2025-05-05",
    }
    assert browser.post(announce, sent).status_code == 303
    campaign = Campaign.objects.get()
    done = reverse("campaign", args=[order.workshop.slug, campaign.pk])
    sent = {"act": uuid4(), "revision": campaign.revision, "remedied_on": "2025-06-05"}
    assert browser.post(done, sent).status_code == 303
    campaign.refresh_from_db()
    assert campaign.remedied_on == date(2025, 6, 5)
