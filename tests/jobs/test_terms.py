"""The terms a workshop sets: filled in from a set of rules, each figure settable, nothing lost."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.forms.terms import TermsForm
from jobs.jurisdictions import PROFILES, Figures, departures, profile
from jobs.models import Terms
from jobs.queries.terms import set_otherwise, terms_of
from jobs.services.terms import change_terms
from shop.actor import Actor
from shop.errors import Clash
from shop.models import LogEntry
from tests.asserts import refused, text_of
from tests.cast import client_of

TYPED = {
    "profile": "strict",
    "tolerance_percent": "0",
    "record_years": "3",
    "list_condition": "on",
    "list_unpaid_work": "on",
    "return_parts": "on_request",
    "keep_replaced_days": "0",
    "hold_days": "30",
    "tax_number": "TX 1",
    "tag_width_mm": "100",
    "tag_height_mm": "62",
    "invoice_note": "Thank you.",
    "service_level": "95",
    "grace_minutes": "30",
    "safety_office": "",
    "safety_place": "",
    "safety_failures": "3",
    "labour_cost_rate": "",
}


def post(actor: Actor, **typed: Any) -> Any:
    sent = TYPED | {"act": uuid4(), "revision": terms_of(actor.workshop).revision} | typed
    url = reverse("terms", args=[actor.workshop.slug])
    return client_of(actor).post(url, {key: one for key, one in sent.items() if one is not None})


def test_without_a_choice_the_strict_set_holds(vera: Actor) -> None:
    """16 CCR 3353 to 3358 as summarised: nothing over, on request, three years, all listed."""
    terms = terms_of(vera.workshop)
    assert not terms.pk
    assert terms.profile == "strict"
    assert terms.tolerance_percent == 0
    assert terms.record_years == 3
    assert terms.return_parts == Terms.ReturnParts.ON_REQUEST
    assert terms.list_condition
    assert terms.list_unpaid_work
    assert set_otherwise(terms) == ()


def test_every_set_names_what_was_read_and_fits_the_terms() -> None:
    assert profile("strict").figures == Figures()
    assert profile("no such place") is profile("strict")
    for one in PROFILES:
        assert "read" in one.source, one.key
        terms = Terms(profile=one.key, **one.figures.named())
        terms.clean_fields(exclude=["workshop"])
        assert departures(one.key, one.figures) == ()
    assert profile("ten_percent").figures.tolerance_percent == 10
    assert profile("ten_percent").figures.record_years == 1
    assert profile("parts_back").figures.return_parts == Terms.ReturnParts.UNLESS_WAIVED


def test_choosing_a_set_fills_the_form_keeps_what_was_typed_and_keeps_nothing_yet(
    vera: Actor,
) -> None:
    page = post(vera, profile="ten_percent", fill="yes", tax_number="TX 99")
    words = text_of(page)
    assert "Filled in from “Ten percent over the estimate" in words
    assert 'name="tolerance_percent" value="10"' in words
    assert 'value="TX 99"' in words
    assert not Terms.objects.exists()


def test_what_is_set_is_kept_and_the_log_says_it(vera: Actor) -> None:
    answer = post(vera, profile="ten_percent", tolerance_percent="7,5", record_years="2")
    assert answer.status_code == 303, text_of(answer)
    terms = terms_of(vera.workshop)
    assert (terms.tolerance_percent, terms.tax_number) == (Decimal("7.5"), "TX 1")
    assert terms.revision == 2
    assert "tolerance" not in set_otherwise(terms)
    assert len(set_otherwise(terms)) == 2
    words = LogEntry.objects.get(kind="terms").words
    assert "work may cost more than authorised by, percent: 7.5" in words
    page = client_of(vera).get(reverse("terms", args=[vera.workshop.slug]))
    assert "Set otherwise than the chosen rules say" in text_of(page)


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("tolerance_percent", "101", "from 0 to 100"),
        ("tolerance_percent", "-1", "from 0 to 100"),
        ("tolerance_percent", "0.125", "at most 2 decimals"),
        ("tolerance_percent", "some", "not"),
        ("record_years", "0", "greater than or equal to 1"),
        ("hold_days", "99999", "less than or equal to 3650"),
        ("tag_width_mm", "4", "greater than or equal to 40"),
        ("service_level", "100", "endless shelf"),
        ("grace_minutes", "", "Fill this in"),
        ("safety_failures", "1", "greater than or equal to 2"),
        ("labour_cost_rate", "-5", "0"),
        ("return_parts", "thrown away", "not one of the available choices"),
        ("profile", "moon", "not one of the available choices"),
        ("tax_number", "9" * 41, "40"),
    ],
)
def test_what_cannot_be_is_said_beside_it_and_the_rest_stays(
    vera: Actor, field: str, typed: str, says: str
) -> None:
    page = post(vera, **{field: typed, "invoice_note": "Pay in thirty days."})
    assert page.status_code == 200
    assert says in text_of(page)
    assert "Pay in thirty days." in text_of(page)
    assert not Terms.objects.filter(revision__gt=1).exists()


def test_the_service_refuses_what_no_form_would_send(vera: Actor) -> None:
    def change(**changes: object) -> None:
        change_terms(vera, act=uuid4(), revision=1, changes=changes)

    with refused(field="record_years", says="1 to 50"):
        change(record_years=0)
    with refused(field="service_level", says="99.9"):
        change(service_level=Decimal(100))
    with refused(field="tolerance_percent", says="0 to 100"):
        change(tolerance_percent=Decimal(400))
    with refused(field="profile", says="listed"):
        change(profile="moon")
    with refused(field="return_parts"):
        change(return_parts="thrown away")


def test_what_an_hour_costs_and_who_takes_safety_complaints_may_be_set(vera: Actor) -> None:
    answer = post(vera, labour_cost_rate="62,50", safety_office="Vehicle Safety Office")
    assert answer.status_code == 303, text_of(answer)
    terms = terms_of(vera.workshop)
    assert terms.labour_cost_rate == Decimal("62.50")
    assert terms.safety_office == "Vehicle Safety Office"
    post(vera)
    assert terms_of(vera.workshop).labour_cost_rate is None
    assert "costs the workshop: none" in LogEntry.objects.filter(kind="terms").latest("pk").words


def test_two_owners_do_not_undo_each_other(vera: Actor) -> None:
    change_terms(vera, act=uuid4(), revision=1, changes={"record_years": 5})
    with pytest.raises(Clash):
        change_terms(vera, act=uuid4(), revision=1, changes={"hold_days": 5})
    page = post(vera, revision=1, invoice_note="Mine.")
    assert "Somebody set prices or terms meanwhile" in text_of(page)
    assert "Mine." in text_of(page)
    assert terms_of(vera.workshop).record_years == 5


def test_the_same_act_twice_and_no_change_leave_one_line_in_the_log(vera: Actor) -> None:
    act = uuid4()
    assert post(vera, act=act).status_code == 303
    assert post(vera, act=act).status_code == 303
    assert post(vera).status_code == 303
    assert LogEntry.objects.filter(kind="terms").count() == 1


def test_only_the_owner_sets_terms(bela: Actor) -> None:
    with refused(says="owner"):
        change_terms(bela, act=uuid4(), revision=1, changes={"record_years": 5})
    assert post(bela).status_code == 403


def test_every_field_of_the_terms_has_its_place(vera: Actor) -> None:
    form = TermsForm.of(terms_of(vera.workshop))
    asked = {"tax_rounding"} | set(form.fields) - {"act", "revision"}
    own = {field.name for field in Terms._meta.fields} - {"id", "workshop", "revision"}
    assert asked == own
