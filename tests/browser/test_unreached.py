"""The network goes while something is sent: it stays typed, is said to, and counts once."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Page, expect

from jobs.models import MonthlyReport, ReportMaking, Supplier
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.models import LogEntry
from tests.browser.conftest import Opener
from tests.browser.tablet import Tablet
from tests.cast import PASSWORD
from tests.factories import a_repair_order, a_session, a_vehicle
from tests.jobs.along import Crew, bring_to
from tests.jobs.reports.makings import a_report_row

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

GONE = "The server cannot be reached. What you typed is still here"
WHY = "The brackets of the Ostrel lot were booked to the wrong job"


def a_day_of(row: MonthlyReport) -> datetime:
    return datetime(row.month.year, row.month.month, 3, 12, tzinfo=UTC)


def press_without_network(one: Tablet, page: Page, button: str) -> None:
    one.forgiving = True
    page.context.set_offline(True)
    page.get_by_role("button", name=button).click()
    expect(page.get_by_text(GONE)).to_be_visible()
    page.context.set_offline(False)


def test_the_reason_of_a_revision_stays_typed_and_begins_one(
    tablet: Opener, vera: Actor, bela: Actor
) -> None:
    row = a_report_row(vera)
    with clock.at(a_day_of(row)):
        a_repair_order(bela)
    one = tablet(vera)
    page = one.go(f"/quay-street/office/reports/{row.number}/")
    page.get_by_label("Why it is revised").fill(WHY)
    press_without_network(one, page, "Make a revision")
    expect(page.get_by_label("Why it is revised")).to_have_value(WHY)
    assert not ReportMaking.objects.exists()
    page.route("**/step/", lambda route: route.fulfill(status=204))  # it stops at its first step
    page.get_by_role("button", name="Make a revision").click()
    expect(page).to_have_url(re.compile("/office/reports/making/"))
    expect(page.locator("#making q")).to_have_text(WHY)
    assert [making.because for making in ReportMaking.objects.all()] == [WHY]


def test_a_revision_without_a_reason_is_asked_for_one_in_its_place(
    tablet: Opener, vera: Actor
) -> None:
    row = a_report_row(vera)
    page = tablet(vera).go(f"/quay-street/office/reports/{row.number}/")
    page.get_by_role("button", name="Make a revision").click()
    expect(page.get_by_text("Say why; it stands on the cover.")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_count(1)
    assert not ReportMaking.objects.exists()


def test_a_form_that_leaves_its_page_waits_until_somebody_answers(
    tablet: Opener, nuri: Actor
) -> None:
    one = tablet(nuri)
    page = one.go("/quay-street/counter/suppliers/new/")
    page.get_by_label("Name", exact=True).fill("Harl Remanufacturing")
    press_without_network(one, page, "Add")
    expect(page.get_by_label("Name", exact=True)).to_have_value("Harl Remanufacturing")
    assert not Supplier.objects.exists()
    page.get_by_role("button", name="Add").dblclick()
    expect(page).to_have_url(re.compile("/counter/suppliers/$"))
    assert [supplier.name for supplier in Supplier.objects.all()] == ["Harl Remanufacturing"]


def test_a_form_that_leaves_its_page_stays_when_the_person_was_signed_out_meanwhile(
    tablet: Opener, nuri: Actor
) -> None:
    one = tablet(nuri)
    page = one.go("/quay-street/counter/suppliers/new/")
    page.get_by_label("Name", exact=True).fill("Harl Remanufacturing")
    page.context.clear_cookies()
    page.get_by_role("button", name="Add").click()
    expect(page.get_by_text("You are signed out. What you typed is still here")).to_be_visible()
    sign_in_elsewhere(one, nuri)
    page.get_by_role("button", name="Add").click()
    expect(page).to_have_url(re.compile("/counter/suppliers/$"))
    assert [supplier.name for supplier in Supplier.objects.all()] == ["Harl Remanufacturing"]


def sign_in_elsewhere(one: Tablet, who: Actor) -> None:
    """In another tab, which gives the browser another token than the page was made with."""
    tab = one.page.context.new_page()
    tab.goto(f"{one.base}/sign-in/")
    tab.get_by_label("Sign-in name").fill(who.user.username)
    tab.get_by_label("Password").fill(PASSWORD)
    tab.get_by_role("button", name="Sign in").click()
    expect(tab.get_by_text(who.user.display_name).first).to_be_visible()
    tab.close()


def test_what_became_of_a_vehicle_stays_chosen_and_is_kept_once(
    tablet: Opener, bela: Actor
) -> None:
    vehicle = a_vehicle(bela)
    one = tablet(bela)
    page = one.go(f"/quay-street/vehicles/{vehicle.pk}/gone/")
    page.get_by_role("radio").first.check()
    page.get_by_label("Since").fill(clock.today().isoformat())
    press_without_network(one, page, "Keep it")
    expect(page.get_by_role("radio").first).to_be_checked()
    page.get_by_role("button", name="Keep it").click()
    expect(page).to_have_url(re.compile(rf"/vehicles/{vehicle.pk}/$"))
    vehicle.refresh_from_db()
    assert vehicle.gone_on == clock.today()
    assert LogEntry.objects.filter(words__contains="gone").count() == 1


def test_the_sentence_goes_once_what_was_sent_again_has_arrived(tablet: Opener, crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, order, crew)
    one = tablet(crew.manager)
    page = one.go(f"/quay-street/orders/{order.number}/estimate/")
    fold = page.locator("details", has_text="Sublet work or a material").last
    fold.locator("summary").click()
    fold.get_by_label("What it is").fill("Towed in")
    fold.get_by_label("Who does or supplies it").fill("Quayside Recovery")
    fold.get_by_label("Price of one").fill("45")
    press_without_network(one, page, "Put it on the estimate")
    fold.get_by_role("button", name="Put it on the estimate").click()
    expect(page.locator("main table")).to_contain_text("Towed in")
    expect(page.get_by_text(GONE)).to_have_count(0)
    one.forgiving = False


def test_what_was_worked_out_while_the_network_was_gone_is_shown_when_it_has_gone_out(
    tablet: Opener, ines: Actor
) -> None:
    session = a_session(ines)
    one = tablet(ines)
    page = one.go(f"/quay-street/sessions/{session.pk}/worked/coil_resistance/")
    page.get_by_role("radio", name="Relay", exact=True).check()
    page.get_by_label("Resistance measured", exact=True).fill("86")
    page.get_by_label("Temperature of the coil", exact=True).fill("25")
    one.forgiving = True
    page.context.set_offline(True)
    page.get_by_role("button", name="Work it out").click()
    waiting = page.locator("#waiting .waiting__typed")
    expect(waiting).to_contain_text(
        "Relay · Resistance measured: 86 Ω · Temperature of the coil: 25 °C · Work it out"
    )
    page.context.set_offline(False)
    expect(page).to_have_url(re.compile(rf"/sessions/{session.pk}/worked/$"))
    expect(page.locator("main")).to_contain_text("86 Ω at 25 °C")
    one.forgiving = False
