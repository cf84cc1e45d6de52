"""The ledger's figures against claims counted one by one."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal
from statistics import median
from uuid import uuid4

import pytest

from jobs.claims.ageing import Age
from jobs.models import (
    Claim,
    ClaimLine,
    ClockEntry,
    OtherLine,
    Replacement,
    Submission,
)
from jobs.queries.claim_cost import cost_year
from jobs.queries.claim_cost_chart import chart_of
from jobs.queries.claim_ledger import first_month, ledger_of
from jobs.queries.claim_ledger_figures import Ledger, OwedRow
from jobs.queries.claim_ledger_rows import behind
from jobs.services import claim_payments
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.money import total
from tests.asserts import counted
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to
from tests.jobs.bills import set_terms
from tests.jobs.claim_rows import a_claim_payer, a_claim_row, an_answer


def pay(actor: Actor, claim: Claim, amount: str = "352.00", *, days_ago: int = 0) -> None:
    claim_payments.pay(
        actor,
        act=uuid4(),
        claim=claim,
        paid_on=clock.today() - timedelta(days=days_ago),
        amounts={"labour": Decimal(amount)},
        sure=True,
    )


def shown(actor: Actor, figure: str, payer: str = "") -> list[str]:
    found = behind(actor, figure, payer)
    assert found is not None
    return [claim.number for claim in found.claims]


def owed_row(ledger: Ledger, name: str) -> OwedRow:
    return next(row for row in ledger.owed if row.name == name)


def test_what_is_owed_stands_at_its_age_and_payer(nuri: Actor) -> None:
    hask = a_claim_payer(nuri, "Hask")
    days = (0, 30, 31, 60, 61, 90, 91, 500)
    claims = [a_claim_row(nuri, days=one) for one in days]
    other = a_claim_row(nuri, payer=hask, state="refused", days=40)
    for state in ("draft", "approved", "void", "paid", "written_off"):
        a_claim_row(nuri, state=state)
    pay(nuri, claims[0], "100.10")
    ledger = ledger_of(nuri)
    row = owed_row(ledger, "Corvane")
    assert [row.counts[age] for age in Age] == [2, 2, 2, 2]
    assert [row.ages[age] for age in Age] == [Decimal("603.90"), 704, 704, 704]
    assert owed_row(ledger, "Hask").refused == 352
    assert ledger.all_owed.sum == total(
        claim.claimed - claim.paid
        for claim in Claim.objects.exclude(closed_at__isnull=False)
        if claim.first_sent_at
    )
    assert len(shown(nuri, "owed")) == 9
    assert shown(nuri, "owed-60", str(row.payer)) == [claims[3].number, claims[2].number]
    assert shown(nuri, "owed-refused") == [other.number]


def test_cents_are_added_as_cents(nuri: Actor) -> None:
    """0.10 thirty times is 3.00, which binary fractions miss."""
    order = None
    for _ in range(30):
        claim = a_claim_row(nuri, amounts={"labour": "0.10"}, order=order)
        order = claim.complaint.order
    assert ledger_of(nuri).all_owed.sum == Decimal("3.00")


def test_first_time_acceptance_counts_what_was_answered(nuri: Actor) -> None:
    yes, short, no, again, silent, wordless = (a_claim_row(nuri) for _ in range(6))
    an_answer(nuri, yes, "asked")
    an_answer(nuri, yes, "accepted")
    an_answer(nuri, short, "short", "hours")
    an_answer(nuri, no, "refused", "reading")
    an_answer(nuri, again, "refused", "reading")
    Submission.objects.create(
        claim=again, number=2, sent_at=clock.now(), sent_by=nuri.user, by_way_of="post", total=1
    )
    an_answer(nuri, again, "accepted")
    pay(nuri, wordless)
    assert silent.state == "sent"
    ledger = ledger_of(nuri)
    assert (ledger.all_payers.first.count, ledger.all_payers.first.of) == (2, 5)
    assert ledger.all_payers.first.small
    assert set(shown(nuri, "first-yes")) == {yes.number, wordless.number}
    assert len(shown(nuri, "first")) == 5
    assert [(one.key, one.count) for one in ledger.reasons] == [("reading", 2), ("hours", 1)]
    assert set(shown(nuri, "refused-reading")) == {no.number, again.number}


def test_days_to_pay_run_from_first_sending_to_the_last_payment(nuri: Actor) -> None:
    took = (5, 12, 40, 41)
    for days in took:
        claim = a_claim_row(nuri, days=days + 3)
        pay(nuri, claim, "52.00", days_ago=min(days, 4) + 3)
        pay(nuri, claim, "300.00", days_ago=3)
    ledger = ledger_of(nuri)
    assert ledger.all_payers.days == median(took)
    assert ledger.all_payers.paid == len(shown(nuri, "paid")) == 4


def test_claimed_paid_and_short_by_kind(nuri: Actor) -> None:
    paid, short, open_one = (a_claim_row(nuri) for _ in range(3))
    pay(nuri, paid)
    pay(nuri, short, "80.00")
    assert open_one.state == "sent"
    rows = {row.kind: row for row in ledger_of(nuri).kinds}
    assert [rows["labour"].claimed, rows["labour"].paid] == [200, 432]
    assert [rows["part"].claimed, rows["part"].short] == [400, 400]
    assert ledger_of(nuri).all_kinds.short == 704 - 432
    assert set(shown(nuri, "kind-part")) == {paid.number, short.number}
    assert set(rows) == set(ClaimLine.Kind.values)


def test_a_claim_of_more_than_a_year_ago_is_in_no_figure_but_what_is_owed(nuri: Actor) -> None:
    claim = a_claim_row(nuri, days=500)
    an_answer(nuri, claim, "refused", "late")
    ledger = ledger_of(nuri)
    assert (ledger.all_owed.count, ledger.all_payers.first.of, ledger.reasons) == (1, 0, ())
    assert cost_year(nuri).all.claims == 0


@pytest.mark.parametrize(
    ("today", "first"),
    [(date(2026, 11, 28), date(2025, 12, 1)), (date(2026, 12, 1), date(2026, 1, 1))],
)
def test_the_year_is_twelve_months_with_this_one(today: date, first: date) -> None:
    assert first_month(today) == first


def _worked(claim: Claim, actor: Actor, minutes: int, parts: str, cost: str | None) -> None:
    then = clock.now() - timedelta(days=1)
    end = then + timedelta(minutes=minutes)
    ClockEntry.objects.create(
        workshop=actor.workshop,
        complaint=claim.complaint,
        user=actor.user,
        started_at=then,
        ended_at=end,
        ended="person",
        counted_from=then,
        counted_to=end,
    )
    for each in (parts, cost):
        OtherLine.objects.create(
            complaint=claim.complaint,
            kind="material",
            text="Fluid",
            quantity=Decimal("1.50"),
            unit_price=9,
            cost=Decimal(each) if each else None,
        )


def test_the_cost_of_the_work_stands_beside_what_was_paid_for_it(
    nuri: Actor, bela: Actor, ines: Actor
) -> None:
    order = a_repair_order(bela, technician=ines)
    bring_to(Stage.PROVING, order, Crew(ines, bela, nuri))
    fitted = Replacement.objects.get(complaint__order=order)
    claim, second = a_claim_row(nuri, order=order, days=0), a_claim_row(nuri, days=0)
    Replacement.objects.filter(pk=fitted.pk).update(complaint=claim.complaint, cost="61.20")
    _worked(claim, ines, 90, "10.00", None)
    _worked(second, ines, 30, "0.30", "0.30")
    twice = a_claim_row(nuri, days=0)
    Claim.objects.filter(pk=twice.pk).update(
        complaint=claim.complaint, payer=a_claim_payer(nuri, "Hask")
    )
    pay(nuri, claim, "150.00")
    assert cost_year(nuri).all.cost is None
    set_terms(nuri.workshop, labour_cost_rate=Decimal("44.00"))
    year = cost_year(nuri)
    month = year.rows[0]
    assert month.month == clock.today().replace(day=1)
    assert [month.claims, month.claimed, month.paid] == [3, 1056, 150]
    assert month.worked == timedelta(hours=2)
    assert month.labour_cost == 88
    assert month.parts_cost == Decimal("61.20") + 15 + Decimal("0.45") * 2
    assert month.unknown == 1
    assert month.left == 150 - month.cost if month.cost else False
    assert len(shown(nuri, f"month-{month.month:%Y-%m}")) == 3
    chart = chart_of(nuri, year)
    assert chart
    assert "$150.00 was paid for work that cost" in chart.says


def test_the_figures_of_another_workshop_are_its_own(nuri: Actor, pim: Actor) -> None:
    a_claim_row(nuri)
    a_claim_row(pim)
    assert ledger_of(pim).all_owed.count == 1
    assert behind(pim, "owed", str(a_claim_payer(nuri).pk)) is None


@pytest.mark.parametrize(
    "figure",
    [
        *("", "x", "owed-7", "first-no", "refused-x", "paid-1", "kind-x", "month-2026-13"),
        *("month-1", "short-", "short-2026-01-01", "short-2026-01-01-2026-13-01", "short-x"),
    ],
)
def test_what_is_no_figure_has_no_claims(nuri: Actor, figure: str) -> None:
    assert behind(nuri, figure) is None
    assert behind(nuri, "owed", "x") is None
    assert behind(nuri, "owed") is not None


def test_more_claims_cost_no_more_queries(nuri: Actor) -> None:
    def cost() -> int:
        with counted() as queries:
            ledger_of(nuri)
            cost_year(nuri)
        return len(queries)

    pay(nuri, a_claim_row(nuri))
    few = cost()
    for number in range(4):
        claim = a_claim_row(nuri, payer=a_claim_payer(nuri, f"Payer {number}"))
        an_answer(nuri, claim, "refused", "late")
        pay(nuri, claim)
    assert cost() == few


def test_ages_add_up_to_all_open_claims(nuri: Actor) -> None:
    order = None
    for days in range(0, 130, 13):
        order = a_claim_row(nuri, days=days, order=order).complaint.order
    ledger = ledger_of(nuri)
    each = Counter({age: len(shown(nuri, f"owed-{age}")) for age in Age})
    assert each == Counter(ledger.all_owed.counts)
    assert each.total() == 10
