"""The owner's month: from the sentence about a bad batch to the job behind it in two clicks."""

from __future__ import annotations

import re
from datetime import date

import pytest
from playwright.sync_api import expect

from jobs.models import FittedUnit, RepairOrder, Replacement
from shop import clock
from shop.actor import Actor
from tests.browser.conftest import Opener
from tests.factories import a_repair_order
from tests.jobs.along import Crew
from tests.jobs.reports.bad_batch import BAD, FAILED, SUPPLIER, a_bad_batch

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def the_job_of(crew: Crew, unit: FittedUnit) -> RepairOrder:
    """A job on which that unit came off."""
    order = a_repair_order(crew.manager)
    RepairOrder.objects.filter(pk=order.pk).update(vehicle=unit.vehicle)
    Replacement.objects.create(
        workshop=order.workshop,
        complaint=order.complaints.get(),
        component=unit.component,
        part_number="X 1",
        price=90,
        state=Replacement.State.FITTED,
        state_since=clock.now(),
        fitted_at=clock.now(),
        unit_off=unit,
    )
    return order


def test_two_clicks_lead_from_the_sentences_to_a_job_of_the_bad_batch(
    tablet: Opener, crew: Crew, vera: Actor
) -> None:
    units = a_bad_batch(vera)
    failed = [one for one in units if one.batch == BAD and one.exit == "failed"]
    order = the_job_of(crew, max(failed, key=lambda one: one.out_day))
    page = tablet(vera).go("/quay-street/office/")

    sentences = page.get_by_role("region", name="What is worth your time")
    first = sentences.get_by_role("listitem").first
    expect(first).to_contain_text(f"batch {BAD} of {SUPPLIER}: {FAILED} failures since")
    box = first.bounding_box()
    size = page.viewport_size
    assert box is not None
    assert size is not None
    assert box["y"] + box["height"] < size["height"]  # above the fold
    assert sentences.get_by_role("listitem").count() <= 5
    sentences.get_by_role("link", name=re.compile(BAD)).click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("failed units")
    expect(page.get_by_text(f"Batch: {BAD}.")).to_be_visible()
    expect(page.get_by_role("row")).to_have_count(FAILED + 1)
    page.get_by_role("link", name=order.number).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(order.number)


def test_the_month_before_is_as_it_stood_on_its_last_day(tablet: Opener, vera: Actor) -> None:
    a_bad_batch(vera)
    page = tablet(vera).go("/quay-street/office/")
    page.get_by_role("link", name=re.compile(r"^[A-Z][a-z]{2} \d{4}$")).first.click()
    month = clock.today().replace(day=1)
    before = date.fromordinal(month.toordinal() - 1)
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{before:%B %Y}")
    expect(page.get_by_text(f"Everything up to {before.day} {before:%B %Y}")).to_be_visible()
    page.get_by_role("link", name="Watch", exact=True).first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Watch")
