"""What a tablet does when the network, the session or the finger fails: nothing typed is lost."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, Route, expect

from diagnostics.models import Reading, Session
from shop.actor import Actor
from tests.browser.conftest import Opener
from tests.browser.tablet import Tablet
from tests.factories import a_session

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def session(ines: Actor) -> Session:
    return a_session(ines)


def free_reading(one: Tablet, session: Session) -> Page:
    """The sheet of readings, with the tread depth typed in and not sent."""
    page = one.go(f"/quay-street/sessions/{session.pk}/readings/?quantity=tread_depth")
    page.get_by_label("Reading", exact=True).fill("2.4")
    return page


def send(page: Page) -> None:
    page.get_by_role("button", name="Judge it").click()


def test_an_entry_without_network_waits_in_sight_and_goes_out_once(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    one = tablet(ines)
    page = free_reading(one, session)
    one.forgiving = True
    page.context.set_offline(True)
    send(page)
    waiting = page.locator("#waiting")
    expect(waiting).to_contain_text("1 entry waits on this tablet")
    expect(waiting).to_contain_text("2.4")
    assert not Reading.objects.exists()
    page.context.set_offline(False)
    expect(waiting).to_be_hidden()
    one.forgiving = False
    assert [reading.typed_value for reading in Reading.objects.all()] == ["2.4"]
    expect(page.locator("main")).to_contain_text("2.4")


def test_an_answer_that_was_lost_on_its_way_records_nothing_twice(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    one = tablet(ines)
    page = free_reading(one, session)
    one.forgiving = True

    lost: list[str] = []

    def recorded_but_unanswered(route: Route) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.request.url)
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route("**/readings/", recorded_but_unanswered)
    send(page)
    expect(page.locator("#waiting")).to_contain_text("1 entry waits")
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#waiting")).to_be_hidden()
    assert Reading.objects.count() == 1


def test_a_refused_entry_is_shown_with_what_was_typed_until_it_is_thrown_away(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    one = tablet(ines)
    page = free_reading(one, session)
    page.get_by_label("Reading", exact=True).fill("no number")
    one.forgiving = True
    page.context.set_offline(True)
    send(page)
    expect(page.locator("#waiting")).to_contain_text("waits")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_contain_text("Not taken:")
    expect(page.locator("#waiting")).to_contain_text("no number")
    page.reload()
    expect(page.locator("#waiting")).to_contain_text("no number")
    page.get_by_role("button", name="Throw away").click()
    page.get_by_role("button", name="Tap again").click()
    expect(page.locator("#waiting")).to_be_hidden()
    assert not Reading.objects.exists()


def test_an_entry_in_an_unlikely_unit_is_asked_about_when_it_goes_out(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    one = tablet(ines)
    where = f"/quay-street/sessions/{session.pk}/readings/"
    page = one.go(f"{where}?quantity=sensor_resistance&position=LR")
    page.get_by_label("Reading", exact=True).fill("1.4")
    page.get_by_label("Unit", exact=True).select_option("ohm")
    page.get_by_label("Part temperature").fill("20")
    one.forgiving = True
    page.context.set_offline(True)
    send(page)
    expect(page.locator("#waiting")).to_contain_text("waits")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_contain_text("Did the meter show 1.4")
    assert not Reading.objects.exists()
    one.forgiving = False
    # On the page it is asked in the same words, and a tick answers it.
    send(page)
    page.get_by_label("It really is 1.4 Ω").check()
    send(page)
    expect(page.locator("main")).to_contain_text("unit confirmed")
    assert Reading.objects.get().unit_confirmed


def test_who_was_signed_out_finds_the_entry_again_after_signing_in(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    one = tablet(ines)
    page = free_reading(one, session)
    one.expected.add(401)
    one.forgiving = True
    session_id = next(kept for kept in page.context.cookies() if kept["name"] == "sessionid")
    page.context.clear_cookies(name="sessionid")
    send(page)
    expect(page.locator("#waiting")).to_contain_text("Sign in again")
    page.context.add_cookies([{"name": "sessionid", "value": session_id["value"], "url": one.base}])
    page.reload()
    expect(page.locator("#waiting")).to_be_hidden()
    assert Reading.objects.count() == 1


def test_what_is_being_typed_survives_a_reload(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    page = free_reading(tablet(ines), session)
    page.reload()
    expect(page.get_by_label("Reading", exact=True)).to_have_value("2.4")


def test_every_shown_form_has_an_act_of_its_own_also_on_plain_http(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    one = tablet(ines)
    one.page.add_init_script("delete Crypto.prototype.randomUUID")
    page = free_reading(one, session)
    acts = [field.input_value() for field in page.locator("input[name=act]").all()]
    assert acts
    assert len(set(acts)) == len(acts)
    assert all(
        re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", act)
        for act in acts
    )


def test_two_quick_taps_record_one_answer(tablet: Opener, ines: Actor, session: Session) -> None:
    page = free_reading(tablet(ines), session)
    judge = page.get_by_role("button", name="Judge it")
    judge.evaluate("(button) => [1, 2].map(() => button.click())")
    expect(page.locator("main")).to_contain_text("2.4")
    page.wait_for_load_state("networkidle")
    assert Reading.objects.count() == 1


def test_an_answer_still_on_its_way_when_the_page_is_left_is_sent_again_and_counts_once(
    tablet: Opener, ines: Actor, session: Session
) -> None:
    one = tablet(ines)
    page = free_reading(one, session)
    one.forgiving = True
    page.route("**/readings/", lambda route: None)  # never answered
    send(page)
    page.goto(f"{one.base}/quay-street/bay/")
    page.unroute("**/readings/")
    expect(page.locator("#waiting")).to_contain_text("has been sent")
    assert Reading.objects.count() == 1
