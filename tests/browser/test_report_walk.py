"""The owner makes last month's report, corrects it, and finds what changed."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from jobs.models import MonthlyReport
from jobs.reports.monthly import months
from shop import clock
from shop.actor import Actor
from tests.browser.conftest import Opener
from tests.browser.tablet import Tablet
from tests.factories import a_repair_order

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_report_is_made_by_one_press_and_revised_by_another(
    tablet: Opener, bela: Actor, vera: Actor
) -> None:
    last_month = clock.now().replace(day=1) - timedelta(days=10)
    with clock.at(last_month):
        a_repair_order(bela)
    one = tablet(vera)
    it_is_made(one)
    nothing_has_changed(one)
    with clock.at(last_month):
        a_repair_order(bela)
    it_is_revised(one)


def it_is_made(one: Tablet) -> None:
    """The page asks for one step after the other by itself."""
    one.go("/quay-street/office/")
    one.page.get_by_role("link", name="Reports").click()
    one.page.get_by_role("button", name="Make the report").click()
    expect(one.page).to_have_url(re.compile("/office/reports/QM1001/$"), timeout=60_000)
    expect(one.page.get_by_text("Issued. The report is kept as it is now.")).to_be_visible()
    month = months.named(months.last_whole_month())
    expect(one.page.get_by_role("heading", level=1)).to_contain_text(f"Report for {month}")


def nothing_has_changed(one: Tablet) -> None:
    _revise(one, "to be sure")
    expect(one.page.get_by_text("Nothing has changed since QM1001")).to_be_visible(timeout=60_000)


def it_is_revised(one: Tablet) -> None:
    one.go("/quay-street/office/reports/QM1001/")
    _revise(one, "a job was entered late")
    expect(one.page).to_have_url(re.compile("/office/reports/QM1002/$"), timeout=60_000)
    expect(one.page.get_by_role("heading", name="What changed against QM1001")).to_be_visible()
    assert MonthlyReport.objects.get(number="QM1002").changed


def _revise(one: Tablet, because: str) -> None:
    one.page.get_by_label("Why it is revised").fill(because)
    one.page.get_by_role("button", name="Make a revision").click()
