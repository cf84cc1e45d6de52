"""Rates, markup and taxes: what is refused, what is asked twice, and what stays as it was."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from diagnostics.models import PartNumber
from jobs.markup import Band
from jobs.models import Estimate, LabourLine, LabourRate, MarkupBand, Payer, Tax
from jobs.queries.prices import price_for, prices_of
from jobs.queries.terms import rate_for, tax_rules, terms_of
from jobs.services import prices, taxes
from jobs.services.taxes import TaxInput
from jobs.stages import Stage
from shop.actor import Actor
from shop.models import LogEntry
from tests.asserts import counted, refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to

D = Decimal
SALES = TaxInput("Sales tax", D("7.25"), True, False, False, False)
BANDS = (Band(D(0), D(100)), Band(D(50), D(60)))


def revision(actor: Actor) -> int:
    return terms_of(actor.workshop).revision


def post(actor: Actor, address: str, *args: Any, **typed: Any) -> Any:
    url = reverse(address, args=[actor.workshop.slug, *args])
    sent = {"act": uuid4(), "revision": revision(actor)} | typed
    return client_of(actor).post(url, sent)


class TestRates:
    def test_a_payer_without_a_rate_pays_the_workshops(self, vera: Actor) -> None:
        assert post(vera, "rates", vehicle_warranty="82,50").status_code == 303
        assert rate_for(vera.workshop, Payer.VEHICLE_WARRANTY) == D("82.50")
        assert rate_for(vera.workshop, Payer.CUSTOMER) == vera.workshop.labour_rate
        assert "vehicle warranty: 82.50" in LogEntry.objects.get(kind="terms").words
        assert post(vera, "rates", vehicle_warranty="").status_code == 303
        assert not LabourRate.objects.exists()

    def test_nothing_an_hour_is_asked_about_once(self, vera: Actor) -> None:
        page = post(vera, "rates", workshop="0")
        assert "all labour for this payer would cost nothing" in text_of(page)
        assert 'name="nothing_is_meant"' in text_of(page)
        assert not LabourRate.objects.exists()
        assert post(vera, "rates", workshop="0", nothing_is_meant="on").status_code == 303
        # What was meant once is not asked again when another payer changes.
        assert post(vera, "rates", workshop="0", goodwill="50").status_code == 303
        assert rate_for(vera.workshop, Payer.WORKSHOP) == 0

    def test_a_rate_below_zero_or_beyond_any_is_refused(self, vera: Actor) -> None:
        page = post(vera, "rates", customer="-5", goodwill="70")
        assert "below zero" in text_of(page)
        assert 'value="70"' in text_of(page)
        with refused(field="customer", says="below zero"):
            prices.set_rates(vera, act=uuid4(), revision=1, rates={"customer": D(-1)})
        with refused(field="customer", says="Check the digits"):
            prices.set_rates(vera, act=uuid4(), revision=1, rates={"customer": D(100000)})
        with refused(says="listed"):
            prices.set_rates(vera, act=uuid4(), revision=1, rates={"nobody": D(1)})

    def test_a_workshop_that_charges_nothing_is_told(self, vera: Actor) -> None:
        url = reverse("prices", args=[vera.workshop.slug])
        assert "No labour rate is set" not in text_of(client_of(vera).get(url))
        vera.workshop.labour_rate = D(0)
        vera.workshop.save()
        assert "No labour rate is set, so all labour costs nothing." in text_of(
            client_of(vera).get(url)
        )

    def test_lines_that_stand_keep_their_rate(self, vera: Actor, crew: Crew) -> None:
        order = bring_to(Stage.AWAITING_AUTHORITY, a_repair_order(crew.manager), crew)
        lines = LabourLine.objects.filter(complaint__order=order)
        before = list(lines.values_list("rate", flat=True))
        prices.set_rates(vera, act=uuid4(), revision=revision(vera), rates={"customer": D(10)})
        assert list(lines.values_list("rate", flat=True)) == before


class TestMarkup:
    def test_the_table_is_kept_in_order_and_shows_what_it_does(self, vera: Actor) -> None:
        typed = {"from_cost_0": "50", "percent_0": "60", "from_cost_3": "0", "percent_3": "100"}
        assert post(vera, "markup", **typed).status_code == 303
        rows = MarkupBand.objects.values_list("from_cost", "percent")
        assert list(rows) == [(D(0), D(100)), (D(50), D(60))]
        page = text_of(client_of(vera).get(reverse("prices", args=[vera.workshop.slug])))
        assert "a part of $50.00 sells at $80.00, one of $49.99 at $99.98" in page
        assert "$75.00 → $120.00" in page

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"from_cost_1": "10", "percent_1": "50"}, "Let it begin at 0.00"),
            ({"from_cost_0": "0"}, "Type the markup, or empty the row."),
            ({"percent_0": "50"}, "Type the cost from which this holds."),
            ({"from_cost_0": "0", "percent_0": "-5"}, "sell at a loss"),
            ({"from_cost_0": "0", "percent_0": "4000"}, "more than 1000 %"),
            ({"from_cost_0": "-1", "percent_0": "40"}, "below zero"),
            ({"from_cost_0": "0.005", "percent_0": "40"}, "parts of a cent"),
            ({"from_cost_0": "0", "percent_0": "much"}, "not"),
        ],
    )
    def test_a_table_that_cannot_hold_is_refused_beside_its_row(
        self, vera: Actor, typed: dict[str, str], says: str
    ) -> None:
        page = post(vera, "markup", **typed)
        assert page.status_code == 200
        assert says in text_of(page)
        assert not MarkupBand.objects.exists()

    def test_the_service_checks_too(self, vera: Actor) -> None:
        with refused(field="from_cost_0", says="begin at 0.00"):
            prices.set_markup(vera, act=uuid4(), revision=1, bands=BANDS[1:])
        with refused(field="percent_1", says="sell at a loss"):
            sold_at_a_loss = [Band(D(0), D(10)), Band(D(9), D(-5))]
            prices.set_markup(vera, act=uuid4(), revision=1, bands=sold_at_a_loss)
        with refused(says="At most"):
            prices.set_markup(
                vera,
                act=uuid4(),
                revision=1,
                bands=[Band(D(cost), D(10)) for cost in range(11)],
            )

    def test_emptied_it_leaves_list_prices(self, vera: Actor) -> None:
        prices.set_markup(vera, act=uuid4(), revision=1, bands=BANDS)
        prices.set_markup(vera, act=uuid4(), revision=2, bands=())
        assert not MarkupBand.objects.exists()
        assert "none, list prices hold" in LogEntry.objects.filter(kind="terms").latest("pk").words


class TestWhatAPartIsAskedAt:
    def test_from_its_cost_or_its_list_price(self, vera: Actor) -> None:
        part = PartNumber.objects.get(number="PL2-20-120", position="LF")
        assert (part.cost, part.price) == (D("14.75"), D("28.40"))
        asked = price_for(vera.workshop, part)
        assert (asked.price, asked.from_list, asked.condition) == (D("28.40"), True, "new")
        prices.set_markup(vera, act=uuid4(), revision=1, bands=BANDS)
        asked = price_for(vera.workshop, part)
        assert (asked.price, asked.percent) == (D("29.50"), D(100))
        part.cost = None
        assert price_for(vera.workshop, part).price == D("28.40")

    def test_many_cost_two_queries_and_carry_credit_and_condition(self, vera: Actor) -> None:
        keys = list(PartNumber.objects.values_list("pk", flat=True))
        assert len(keys) > 20
        with counted() as queries:
            found = prices_of(vera.workshop, keys)
        assert len(queries) == 2
        gear = PartNumber.objects.get(number="PL2-50-200")
        assert found[gear.pk].condition == "rebuilt"
        assert found[gear.pk].core_credit == D("90.00")

    def test_the_other_workshops_markup_is_its_own(self, vera: Actor, pim: Actor) -> None:
        prices.set_markup(vera, act=uuid4(), revision=1, bands=BANDS)
        part = PartNumber.objects.get(number="PL2-20-120", position="LF")
        assert price_for(pim.workshop, part).from_list


class TestTaxes:
    def test_four_hundred_percent_is_refused_with_a_sentence(self, vera: Actor) -> None:
        page = post(vera, "tax-new", name="Sales tax", percent="400", on_assemblies="on")
        assert "A tax of 400 % would be more than the work itself." in text_of(page)
        assert 'value="Sales tax"' in text_of(page)
        assert not Tax.objects.exists()

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"percent": "-1"}, "below zero"),
            ({"percent": "7.2555"}, "at most 3 decimals"),
            ({"percent": ""}, "Fill this in"),
            ({"name": "  "}, "Fill this in"),
            ({"on_assemblies": ""}, "Tick what it is laid on"),
        ],
    )
    def test_what_cannot_be_is_refused(self, vera: Actor, typed: dict[str, str], says: str) -> None:
        whole = {"name": "Sales tax", "percent": "7.25", "on_assemblies": "on"} | typed
        page = post(vera, "tax-new", **{key: one for key, one in whole.items() if one != ""})
        assert says in text_of(page)
        assert not Tax.objects.exists()

    def test_a_tax_is_added_changed_and_retired_but_never_deleted(self, vera: Actor) -> None:
        assert post(
            vera, "tax-new", name="Sales tax", percent="7,25", on_assemblies="on"
        ).status_code == 303  # fmt: skip
        row = Tax.objects.get()
        assert tax_rules(vera.workshop)[0].percent == D("7.25")
        assert post(
            vera, "tax", row.pk, name="Sales tax", percent="8", on_assemblies="on", on_labour="on"
        ).status_code == 303  # fmt: skip
        words = LogEntry.objects.filter(kind="terms").latest("pk").words
        assert "Sales tax 7.25 % on parts and materials to Sales tax 8 % on parts" in words
        assert post(vera, "tax-retire", row.pk).status_code == 303
        assert tax_rules(vera.workshop) == ()
        assert Tax.objects.filter(pk=row.pk, retired=True).exists()
        page = text_of(client_of(vera).get(reverse("prices", args=[vera.workshop.slug])))
        assert "Retired taxes" in page
        url = reverse("tax", args=[vera.workshop.slug, row.pk])
        assert client_of(vera).get(url).status_code == 404

    def test_its_name_holds_once_and_is_free_again_when_retired(self, vera: Actor) -> None:
        row = taxes.add_tax(vera, act=uuid4(), revision=1, tax=SALES)
        with refused(field="name", says="holds already"):
            taxes.add_tax(vera, act=uuid4(), revision=2, tax=SALES)
        taxes.retire_tax(vera, row, act=uuid4(), revision=2)
        taxes.add_tax(vera, act=uuid4(), revision=3, tax=SALES)
        with refused(says="retired"):
            taxes.change_tax(vera, row, act=uuid4(), revision=4, tax=SALES)

    def test_there_are_only_so_many_at_once(self, vera: Actor) -> None:
        for number in range(taxes.MOST_TAXES):
            one = TaxInput(f"Tax {number}", D(1), True, False, False, False)
            taxes.add_tax(vera, act=uuid4(), revision=revision(vera), tax=one)
        with refused(says="Retire one first"):
            taxes.add_tax(vera, act=uuid4(), revision=revision(vera), tax=SALES)

    def test_rounding_is_set_with_the_taxes(self, vera: Actor) -> None:
        assert post(vera, "tax-rounding", tax_rounding="line").status_code == 303
        assert terms_of(vera.workshop).tax_rounding == "line"
        page = post(vera, "tax-rounding", tax_rounding="never")
        assert "not one of the available choices" in text_of(page)

    def test_another_workshops_tax_is_not_there(self, vera: Actor, pim: Actor) -> None:
        row = Tax.objects.create(workshop=pim.workshop, name="Theirs", percent=D(1))
        assert post(vera, "tax-retire", row.pk).status_code == 404
        assert not Tax.objects.get(pk=row.pk).retired


def test_only_the_owner_sets_prices(bela: Actor) -> None:
    with refused(says="owner"):
        prices.set_rates(bela, act=uuid4(), revision=1, rates={})
    with refused(says="owner"):
        prices.set_markup(bela, act=uuid4(), revision=1, bands=())
    with refused(says="owner"):
        taxes.add_tax(bela, act=uuid4(), revision=1, tax=SALES)


def test_the_page_costs_the_same_whatever_is_on_it(vera: Actor) -> None:
    browser, url = client_of(vera), reverse("prices", args=[vera.workshop.slug])
    browser.get(url)
    with counted() as few:
        browser.get(url)
    prices.set_markup(vera, act=uuid4(), revision=1, bands=BANDS)
    for number in range(4):
        one = TaxInput(f"Tax {number}", D(1), True, True, True, True)
        taxes.add_tax(vera, act=uuid4(), revision=revision(vera), tax=one)
    with counted() as many:
        browser.get(url)
    assert len(few) == len(many)


def test_a_changed_tax_touches_nothing_that_was_given(vera: Actor, crew: Crew) -> None:
    row = taxes.add_tax(vera, act=uuid4(), revision=1, tax=SALES)
    order = bring_to(Stage.AWAITING_ASSEMBLY, a_repair_order(crew.manager), crew)
    given = Estimate.objects.get(order=order)
    told = (given.tax, given.customer_total, list(given.taxes.values_list("percent", "amount")))
    assert told[2] == [(D("7.25"), given.tax)]
    assert given.tax > 0
    dearer = replace(SALES, percent=D(50), on_labour=True)
    taxes.change_tax(vera, row, act=uuid4(), revision=revision(vera), tax=dearer)
    taxes.retire_tax(vera, row, act=uuid4(), revision=revision(vera))
    prices.set_markup(vera, act=uuid4(), revision=revision(vera), bands=BANDS)
    given.refresh_from_db()
    assert told == (
        given.tax,
        given.customer_total,
        list(given.taxes.values_list("percent", "amount")),
    )
