"""The papers of an estimate and of an answer, read back by pypdf on both papers."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pytest
from django.urls import reverse
from pypdf import PdfReader

from jobs.models import Complaint, How, RepairOrder, Tax, Terms
from jobs.services import authority, estimate
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.money import format_amount
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, give_estimate

D = Decimal


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    """Estimate 1 with goodwill and tax, answered in person with a signature."""
    found = a_repair_order(crew.manager, technician=crew.technician)
    Tax.objects.create(workshop=found.workshop, name="Sales tax", percent=D("7.25"))
    bring_to(Stage.AWAITING_AUTHORITY, found, crew)
    complaint = found.complaints.get()
    estimate.add_other(
        crew.technician,
        act=uuid4(),
        complaint=complaint,
        kind="material",
        text="Brake fluid, glycol-ether",
        quantity=D("0.5"),
        unit_price=D("18.00"),
    )
    estimate.share(
        crew.manager,
        act=uuid4(),
        complaint=complaint,
        payer="goodwill",
        percent=D(50),
        because="Twice here for the same",
    )
    give_estimate(crew, found)
    found.refresh_from_db()
    authority.record(
        crew.manager,
        act=uuid4(),
        order=found,
        revision=found.revision,
        who="Jo Weir",
        how=How.IN_PERSON,
        answered_at=clock.now(),
        decisions={complaint.pk: Complaint.Decision.AUTHORISED},
        parts_wanted="wanted",
        signature="10,20 30,40 60,30",
    )
    found.refresh_from_db()
    return found


def text_of_pdf(actor: Actor, order: RepairOrder, name: str, paper: str) -> str:
    url = reverse(name, args=[order.workshop.slug, order.number, 1])
    answer = client_of(actor).get(url, {"paper": paper})
    assert answer.status_code == 200
    reader = PdfReader(BytesIO(answer.content))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_estimate_says_what_was_given(crew: Crew, order: RepairOrder, paper: str) -> None:
    given = order.estimates.get()
    text = text_of_pdf(crew.counter, order, "estimate-pdf", paper)
    for words in (
        f"{order.number}/E1",
        "PL2-20-214",
        "part, new",
        "Brake fluid, glycol-ether",
        "0.5 × $18.00",
        "Goodwill bears 50 %",
        "Twice here for the same",
        "Sales tax, 7.25 %",
        format_amount(given.customer_total, "$"),
        format_amount(given.payer_total, "$"),
        f"${given.total + given.tax:,.2f}",
        "No work in this estimate is begun before it is authorised",
        "we ask first, with the new total",
    ):
        assert words in text, words


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_authority_says_who_how_when_and_the_totals(
    crew: Crew, order: RepairOrder, paper: str
) -> None:
    said = order.estimates.get().answers.get()
    assert said.customer_after is not None
    text = text_of_pdf(crew.counter, order, "authority-pdf", paper)
    for words in (
        f"{order.number}/A1",
        f"{order.number}/E1",
        "Jo Weir",
        "in person",
        "authorised",
        "The customer wants the replaced parts back",
        format_amount(said.total_after, "$"),
        format_amount(said.total_with_tax, "$"),
        "Of that the customer pays, before tax",
        format_amount(said.customer_after, "$"),
        "signed on the workshop’s tablet",
    ):
        assert words in text, words


def test_what_changes_later_does_not_change_the_paper(crew: Crew, order: RepairOrder) -> None:
    before = text_of_pdf(crew.counter, order, "estimate-pdf", "A4")
    answered = text_of_pdf(crew.counter, order, "authority-pdf", "A4")
    order.complaints.get().labour.update(tenths=300)
    Tax.objects.update(percent=D("20"))
    order.complaints.update(
        payer="workshop", payer_percent=D(80), share_because="Something else altogether"
    )
    Terms.objects.update_or_create(
        workshop=order.workshop,
        defaults={
            "tolerance_percent": D(10),
            "return_parts": Terms.ReturnParts.UNLESS_WAIVED,
            "list_condition": False,
        },
    )
    assert text_of_pdf(crew.counter, order, "estimate-pdf", "A4") == before
    assert text_of_pdf(crew.counter, order, "authority-pdf", "A4") == answered


def test_the_terms_it_was_given_on_are_printed(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    Terms.objects.create(
        workshop=order.workshop,
        tolerance_percent=D(10),
        return_parts=Terms.ReturnParts.UNLESS_WAIVED,
        list_condition=False,
    )
    bring_to(Stage.AWAITING_AUTHORITY, order, crew)
    give_estimate(crew, order)
    Terms.objects.update(tolerance_percent=0, list_condition=True)
    text = text_of_pdf(crew.counter, order, "estimate-pdf", "A4")
    assert "more than 10 % above what was authorised" in text
    assert "given back unless the customer waives it" in text
    assert "part, new" not in text


def test_a_number_that_was_never_given_is_not_there(
    crew: Crew, order: RepairOrder, pim: Actor
) -> None:
    for name in ("estimate-pdf", "authority-pdf"):
        for number in (0, 2):
            url = reverse(name, args=[order.workshop.slug, order.number, number])
            assert client_of(crew.manager).get(url).status_code == 404
        there = reverse(name, args=[order.workshop.slug, order.number, 1])
        assert client_of(pim).get(there).status_code == 404
