"""Money of the repairs: to the cent against sums by hand, and blanks where nothing is known."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from diagnostics.models import Component
from jobs.models import (
    ClaimPayment,
    ClockEntry,
    Comeback,
    Complaint,
    LabourLine,
    OtherLine,
    Payer,
    Repair,
    RepairOrder,
    Replacement,
    Terms,
)
from jobs.queries.claim_ledger_rows import behind
from jobs.queries.claim_recovery import ClaimSent
from jobs.reports import weights
from jobs.reports.document import Section
from jobs.reports.figures.money import section
from jobs.reports.figures.money_sums import mean_limits, months_to, recovered, sums
from jobs.reports.office import span_of
from jobs.reports.queries.money import RepairMoney, money
from jobs.services import release
from shop import clock
from shop.actor import Actor
from shop.money import total
from tests.asserts import counted
from tests.factories import a_repair_order, the_platform
from tests.jobs.along import Crew
from tests.jobs.bills import a_job, credit, issue
from tests.jobs.claim_rows import a_claim_row

pytestmark = pytest.mark.django_db


def _hub() -> Component:
    return Component.objects.get(platform=the_platform(), key="hub_and_sensor")


def a_repair(
    actor: Actor,
    *,
    order: RepairOrder | None = None,
    day: date | None = None,
    minutes: int | None = 60,
    tenths: int = 10,
    part: tuple[str, str | None] | None = ("200.00", "120.00"),
    component: bool = True,
    **complaint: Any,
) -> Repair:
    """A complaint that was handed over: an hour sold at 90.00 and worked, a part of 200.00."""
    order = order or a_repair_order(actor)
    one = Complaint.objects.create(
        order=order, line=order.complaints.count() + 1, words="It pulls to the left", **complaint
    )
    if tenths:
        LabourLine.objects.create(complaint=one, text="Work", tenths=tenths, rate=Decimal("90.00"))
    if minutes is not None:
        start = clock.now() - timedelta(days=1)
        end = start + timedelta(minutes=minutes)
        ClockEntry.objects.create(
            workshop=actor.workshop,
            complaint=one,
            user=actor.user,
            started_at=start,
            ended_at=end,
            counted_from=start,
            counted_to=end,
            ended="person",
        )
    if part:
        Replacement.objects.create(
            workshop=actor.workshop,
            complaint=one,
            component=_hub(),
            part_number="X 1",
            price=Decimal(part[0]),
            cost=None if part[1] is None else Decimal(part[1]),
            state=Replacement.State.FITTED,
            state_since=clock.now(),
        )
    on = (day or clock.today()).toordinal()
    return Repair.objects.create(
        workshop=actor.workshop,
        complaint=one,
        vehicle=order.vehicle,
        component=_hub() if component else None,
        handed_day=on,
        seen_day=on,
    )


def _rate(actor: Actor, rate: str | None = "40.00") -> None:
    Terms.objects.update_or_create(
        workshop=actor.workshop,
        defaults={"labour_cost_rate": None if rate is None else Decimal(rate)},
    )


def _now(actor: Actor) -> Section:
    return section(actor, span_of(clock.today()))


def _rows(actor: Actor) -> tuple[RepairMoney, ...]:
    return money(actor, clock.today() - timedelta(days=300), clock.today()).repairs


def test_price_share_and_cost_of_one_repair_are_those_by_hand(bela: Actor) -> None:
    _rate(bela)
    repair = a_repair(
        bela,
        minutes=45,
        payer=Payer.GOODWILL,
        payer_percent=Decimal(30),
        deductible=Decimal("10.00"),
    )
    OtherLine.objects.create(
        complaint=repair.complaint,
        kind="material",
        text="Fluid",
        quantity=Decimal("2.50"),
        unit_price=Decimal("8.00"),
        cost=Decimal("5.00"),
    )
    [row] = _rows(bela)
    assert row.price == Decimal("310.00")  # 90 + 200 + 2.5 x 8
    assert row.others == Decimal("83.00")  # 30 % of it, less the 10 that the customer bears first
    assert row.cost == Decimal("162.50")  # 45 minutes at 40, 120, and 2.5 x 5
    assert (row.key, row.payer, row.comeback) == ("hub_and_sensor", "goodwill", False)


def test_a_deductible_is_taken_off_once_a_visit(bela: Actor) -> None:
    order = a_repair_order(bela)
    for _ in range(2):
        a_repair(
            bela, order=order, payer=Payer.SERVICE_CONTRACT, deductible=Decimal("50.00"), part=None
        )
    found = sums(_rows(bela))
    assert found.price == Decimal("180.00")
    assert found.cover == Decimal("80.00")
    assert found.customer == Decimal("100.00")


@pytest.mark.parametrize(
    ("rate", "made", "cost"),
    [
        ("40.00", {}, Decimal("160.00")),
        (None, {}, None),
        (None, {"minutes": None, "tenths": 0}, Decimal("120.00")),
        ("40.00", {"minutes": None}, None),
        ("40.00", {"part": ("200.00", None)}, None),
        ("40.00", {"part": None}, Decimal("40.00")),
        # Done again for nothing and off the clock: somebody's time went into it all the same.
        ("40.00", {"part": None, "minutes": None, "tenths": 0}, None),
    ],
)
def test_what_is_not_known_is_no_cost_of_nothing(
    bela: Actor, rate: str | None, made: dict[str, Any], cost: Decimal | None
) -> None:
    _rate(bela, rate)
    a_repair(bela, **made)
    [row] = _rows(bela)
    assert row.cost == cost


def test_a_section_adds_up_over_its_tables(bela: Actor, vera: Actor) -> None:
    _rate(bela)
    last = clock.today().replace(day=1) - timedelta(days=1)
    a_repair(bela)
    a_repair(bela, day=last, payer=Payer.VEHICLE_WARRANTY)
    a_repair(bela, component=False, part=("10.00", None), payer=Payer.WORKSHOP)
    a_repair(bela, day=clock.today() - timedelta(days=500))
    made = _now(vera)
    [months, kinds, payers, claims] = made.tables
    assert len(months.rows) == 12
    assert [row[1].value for row in months.rows[-2:]] == [1, 2]
    for table in (months, kinds, payers):
        assert sum(row[1].value or 0 for row in table.rows) == 3  # type: ignore[misc]
        assert sum((row[2].value or Decimal(0)) for row in table.rows) == Decimal("680.00")  # type: ignore[misc]
    assert [row[0].words for row in kinds.rows] == [_hub().name, "No component named"]
    assert kinds.rows[1][7].words == "–"
    assert "of the 2 out of 3 whose cost is known: too few for limits" in " ".join(made.says)
    assert not claims.rows
    assert made.findings == ()


def test_comebacks_cost_what_their_repairs_did_and_not_ours_is_none(bela: Actor) -> None:
    _rate(bela)
    first = a_repair(bela)
    for cause, minutes in (("", 30), ("workmanship", 60), ("not_ours", 90)):
        back = a_repair(bela, minutes=minutes, part=None)
        Comeback.objects.create(
            workshop=bela.workshop,
            complaint=back.complaint,
            repair=first,
            because="component",
            days=10,
            proposed_at=clock.now(),
            cause=cause,
            decided_at=clock.now() if cause else None,
        )
    found = sums(_rows(bela))
    assert (found.comebacks, found.comebacks_known) == (2, 2)
    assert found.comeback_cost == Decimal("60.00")


def test_a_comeback_costs_what_was_known_of_it_at_the_end_of_a_month_gone_by(bela: Actor) -> None:
    """Handed over forty days ago and decided ten days ago not to be ours; another put in by hand
    five days ago: twenty days ago the first counted and the second did not, today it is reversed.
    Half an hour and an hour at 40.00."""
    _rate(bela)
    long_ago = clock.today() - timedelta(days=40)
    with clock.at(clock.now() - timedelta(days=45)):
        first = a_repair(bela, day=long_ago - timedelta(days=4))
        backs = [a_repair(bela, day=long_ago, minutes=late, part=None) for late in (30, 60)]
    for back, because, proposed, cause, decided in (
        (backs[0], "component", 45, "not_ours", 10),
        (backs[1], "by_hand", 5, "workmanship", 4),
    ):
        Comeback.objects.create(
            workshop=bela.workshop,
            complaint=back.complaint,
            repair=first,
            because=because,
            days=0,
            proposed_at=clock.now() - timedelta(days=proposed),
            cause=cause,
            decided_at=clock.now() - timedelta(days=decided),
        )
    since = clock.today() - timedelta(days=300)
    for ago, cost in ((20, "20.00"), (0, "40.00")):
        found = sums(money(bela, since, clock.today() - timedelta(days=ago)).repairs)
        assert (found.comebacks, found.comeback_cost) == (1, Decimal(cost))


def test_only_claims_that_had_their_time_are_judged(bela: Actor, vera: Actor) -> None:
    day = clock.now() - timedelta(days=80)
    for days, paid, state in (
        (200, "352.00", "paid"),
        (100, "100.00", "written_off"),
        (89, None, "paid"),
        (150, None, "sent"),
        (150, None, "accepted"),
    ):
        claim = a_claim_row(bela, days=days)
        type(claim).objects.filter(pk=claim.pk).update(state=state, state_since=day)
        if paid:
            ClaimPayment.objects.create(
                workshop=bela.workshop,
                claim=claim,
                paid_on=clock.today(),
                parts=Decimal(paid),
                amount=Decimal(paid),
                at=clock.now(),
                by=bela.user,
            )
    span = span_of(clock.today())
    found = money(vera, months_to(span.month)[0], span.until)
    back = recovered(found.claims, span.until)
    assert (back.claims, back.young, back.short, back.waiting) == (2, 1, 1, 2)
    assert back.claimed == sum(c.claimed for c in found.claims[:2])
    assert back.missing == back.claimed - back.paid
    behind_it = behind(vera, f"short-{months_to(span.month)[0]}-{span.until}")
    assert behind_it is not None
    assert behind_it.claims.count() == back.short
    yesterday = money(vera, months_to(span.month)[0], span.until - timedelta(days=1))
    assert sum(c.paid for c in yesterday.claims) == 0


def test_a_claim_settled_later_was_still_open_on_a_day_before(bela: Actor) -> None:
    claim = a_claim_row(bela, days=200)
    settled = clock.now() - timedelta(days=10)
    type(claim).objects.filter(pk=claim.pk).update(state="refused", state_since=settled)
    year = clock.today() - timedelta(days=300)
    for back, open_ in ((0, 0), (20, 1)):
        until = clock.today() - timedelta(days=back)
        found = recovered(money(bela, year, until).claims, until)
        assert (found.claims, found.waiting) == (1 - open_, open_)


def test_what_was_credited_was_not_sold(crew: Crew) -> None:
    """Billed, then a part of one line given back, then all of it."""
    order = a_job(crew)
    invoice = issue(crew.manager, order)
    order.refresh_from_db()
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    before = sums(_rows(crew.manager))
    assert before.price == total((invoice.assemblies, invoice.labour, invoice.sublet))
    line = invoice.lines.order_by("-amount")[0]
    credit(crew.manager, invoice, {line.pk: Decimal("10.00")})
    assert sums(_rows(crew.manager)).price == before.price - Decimal("10.00")
    credit(crew.manager, invoice)
    after = sums(_rows(crew.manager))
    assert (after.price, after.customer) == (Decimal(0), Decimal(0))
    assert after.cost == before.cost


def test_what_failed_at_a_first_visit_costs_no_unit_that_was_watched(bela: Actor) -> None:
    order = a_repair_order(bela)
    again = a_repair_order(bela, vehicle=order.vehicle, odometer="84130")
    for one in (order, again):
        a_repair(bela, order=one)
    assert [row.first_visit for row in _rows(bela)] == [True, False]


def _claims(short: int, count: int) -> tuple[ClaimSent, ...]:
    day = clock.today() - timedelta(days=120)
    return tuple(
        ClaimSent(
            at, "Corvane", day, Decimal(100), Decimal(40 if at < short else 100), settled=True
        )
        for at in range(count)
    )


@pytest.mark.parametrize(("short", "count", "said"), [(1, 4, 0), (1, 40, 0), (12, 40, 1)])
def test_it_is_said_on_top_only_where_the_numbers_justify_it(
    monkeypatch: pytest.MonkeyPatch, bela: Actor, short: int, count: int, said: int
) -> None:
    found = money(bela, clock.today(), clock.today())
    given = type(found)(found.rate, found.repairs, _claims(short, count))
    monkeypatch.setattr("jobs.reports.figures.money.money", lambda *_: given)
    findings = _now(bela).findings
    assert len(findings) == said
    for one in findings:
        assert one.words.startswith(
            "12 of 40 settled claims sent more than 90 days ago brought less"
        )
        assert "$720.00 altogether" in one.words
        assert "at least 16 % of them" in one.words  # Clopper-Pearson, 12 of 40: 0.1656
        assert weights.MONEY <= one.weight < weights.MONEY + 9


def test_a_mean_of_few_or_of_equals_has_no_limits() -> None:
    row = RepairMoney(
        date(2024, 2, 1),
        "hub",
        "Hub",
        "customer",
        Decimal(1),
        Decimal(0),
        Decimal("80.00"),
        False,
        False,
    )
    assert mean_limits([row] * 19) is None
    assert mean_limits([row] * 20) is None  # [80, 80] would say that the next is sure to cost 80
    # Ten at 70 and ten at 90: 80 -/+ 1.96 * sqrt(20 * 10^2 / 19) / sqrt(20) = 80 -/+ 4.4966
    some = [replace(row, cost=Decimal(70)), replace(row, cost=Decimal(90))] * 10
    assert mean_limits(some) == (Decimal("75.50"), Decimal("84.50"))


def test_twelve_months_end_with_this_one() -> None:
    months = months_to(date(2024, 2, 1))
    assert (len(months), months[0], months[-1]) == (12, date(2023, 3, 1), date(2024, 2, 1))


def test_an_empty_workshop_and_a_strange_one_have_no_money(bela: Actor, pim: Actor) -> None:
    assert "The first one stands here" in _now(bela).says[0]
    a_repair(bela)
    assert not _now(pim).tables
    assert len(_now(bela).tables) == 4


def test_it_costs_the_same_whatever_there_is(bela: Actor) -> None:
    a_repair(bela)
    a_claim_row(bela)
    with counted() as few:
        _now(bela)
    for _ in range(4):
        a_repair(bela)
        a_claim_row(bela)
    with counted() as many:
        _now(bela)
    assert len(few) == len(many)
