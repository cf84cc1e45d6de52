"""The keyboard alone, no scripts at all, and two tablets on one job."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from playwright.sync_api import Page, expect

from diagnostics.models import Procedure, ProcedureRun, Reading, Session, StepResult
from diagnostics.services import runs
from jobs.models import RepairOrder
from jobs.stages import Move, Stage
from shop.actor import Actor
from tests.browser.conftest import Opener
from tests.browser.tablet import PHONE
from tests.cast import PASSWORD
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew, bring_to, go

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    """A job in diagnosis, its technician at the first step of the wheel-speed circuit."""
    order = a_repair_order(crew.manager, technician=crew.technician)
    return bring_to(Stage.DIAGNOSING, order, crew)


@pytest.fixture
def run(crew: Crew, order: RepairOrder) -> ProcedureRun:
    """Waiting for the resistance of the left rear sensor."""
    circuit = Procedure.objects.get(version=order.session.version, key="wheel_speed_circuit")
    who = crew.technician
    run = runs.begin(who, order.session, act=uuid4(), procedure=circuit, corner="LR")
    assert run.current
    runs.acknowledge(who, run, act=uuid4(), revision=run.revision, step=run.current)
    return run


def sheet_of(session: Session) -> str:
    return f"/quay-street/sessions/{session.pk}/"


def type_reading(page: Page, value: str) -> None:
    page.get_by_label("Reading", exact=True).fill(value)
    page.get_by_label("Part temperature").fill("20")


def judge(page: Page) -> None:
    page.get_by_role("button", name="Judge it").click()


# ---------------------------------------------------------------- the keyboard


def test_the_keyboard_alone_signs_in_and_answers_a_step(
    tablet: Opener, crew: Crew, run: ProcedureRun
) -> None:
    page = tablet().go("/")
    keys = page.keyboard
    tab_to(page, "input[name=username]")
    keys.type("ines")
    keys.press("Tab")
    keys.type(PASSWORD)
    keys.press("Enter")
    expect(page).to_have_url(re.compile("/bay/$"))
    keys.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    expect(page.locator(".skip")).to_be_in_viewport()
    keys.press("Enter")
    expect(page.locator("#main")).to_be_focused()
    tab_to(page, ".job__way")
    keys.press("Enter")
    expect(page.locator("#step-title")).to_contain_text("Sensor resistance")
    tab_to(page, "#value")
    keys.type("1,39")
    tab_to(page, "#temperature")
    keys.type("20")
    keys.press("Enter")
    expect(page.locator(".judgement")).to_contain_text("Within")
    # The cursor goes on from the verdict, and the trail that follows by itself leaves it there.
    page.wait_for_load_state("networkidle")
    expect(page.locator("#step :focus")).to_have_count(1)


# The ring may stand around the element, or around the card that its link is spread over.
_SHOWS = """() => [document.activeElement, document.activeElement.closest("li")].some((one) => {
  const style = one && getComputedStyle(one);
  return style && (style.outlineStyle !== "none" || style.boxShadow !== "none");
})"""


def tab_to(page: Page, selector: str) -> None:
    """Tab until the element has the cursor, which must show where it is."""
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("(wanted) => document.activeElement.matches(wanted)", selector):
            assert page.evaluate(_SHOWS), f"nothing shows that {selector} has the cursor"
            return
    raise AssertionError(f"{selector} cannot be reached with the Tab key")


# ---------------------------------------------------------------- no scripts


def test_without_scripts_a_vehicle_is_taken_in(tablet: Opener, crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    page = tablet(crew.manager, java_script_enabled=False).go("/quay-street/take-in/")
    page.get_by_label("Any part of VIN, plate or owner’s name").fill(vehicle.plate)
    page.get_by_role("button", name="Look").click()
    page.locator("#found").get_by_role("link", name=vehicle.plate).click()
    page.get_by_label("In the customer’s words").fill("Pulls to the left")
    page.get_by_role("button", name="Take it in").last.click()
    expect(page.locator("main")).to_contain_text("Write what the odometer shows")
    expect(page.get_by_label("In the customer’s words")).to_have_value("Pulls to the left")
    page.get_by_label("Odometer", exact=True).fill("84120")
    page.get_by_role("button", name="Take it in").last.click()
    expect(page).to_have_url(re.compile("/orders/Q"))
    assert RepairOrder.objects.get().complaints.get().words == "Pulls to the left"


def test_without_scripts_a_step_is_answered_and_a_job_is_moved(
    tablet: Opener, crew: Crew, run: ProcedureRun
) -> None:
    one = tablet(crew.technician, java_script_enabled=False)
    page = one.go(sheet_of(run.session))
    type_reading(page, "OL")
    judge(page)
    expect(page.locator(".judgement")).to_contain_text("Outside")
    page.get_by_role("link", name="Go on").click()
    expect(page.locator("#step-title")).to_contain_text("Clip on the arm")
    waiting = a_repair_order(crew.manager, technician=crew.technician)
    page = one.go(f"/quay-street/orders/{waiting.number}/")
    page.get_by_role("button", name="Begin diagnosis").click()
    waiting.refresh_from_db()
    assert waiting.stage == Stage.DIAGNOSING


# ---------------------------------------------------------------- two tablets, one finger too many


def test_a_second_tablet_that_moves_the_same_job_is_told(tablet: Opener, crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    page = tablet(crew.technician).go(f"/quay-street/orders/{order.number}/")
    go(crew.manager, order, Move.BEGIN)
    page.get_by_role("button", name="Begin diagnosis").click()
    told = page.locator(".form-errors, .message--error").first
    expect(told).to_contain_text(
        "The job is diagnosing now; “Begin diagnosis” does not apply there"
    )
    expect(page.locator("main")).to_contain_text("diagnosing")
    assert order.moves.filter(move=Move.BEGIN).count() == 1


def test_a_second_tablet_at_the_same_step_is_told_and_keeps_what_was_typed(
    tablet: Opener, crew: Crew, tomas: Actor, run: ProcedureRun
) -> None:
    first, second = tablet(crew.technician, size=PHONE), tablet(tomas)
    pages = [one.go(sheet_of(run.session)) for one in (first, second)]
    for page, value in zip(pages, ("1.39", "1.41"), strict=True):
        type_reading(page, value)
    judge(pages[0])
    expect(pages[0].locator(".judgement")).to_contain_text("Within")
    judge(pages[1])
    expect(pages[1].locator(".form-errors")).to_contain_text("Somebody went on with this list")
    expect(pages[1].get_by_label("Reading", exact=True)).to_have_value("1.41")
    assert [reading.typed_value for reading in Reading.objects.all()] == ["1.39"]


def test_what_cannot_be_read_is_said_beside_the_field_and_stays_in_it(
    tablet: Opener, crew: Crew, run: ProcedureRun
) -> None:
    page = tablet(crew.technician).go(sheet_of(run.session))
    type_reading(page, "one and a half")
    judge(page)
    field = page.get_by_label("Reading", exact=True)
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_value("one and a half")
    expect(field).to_be_focused()
    expect(page.get_by_label("Part temperature")).to_have_value("20")
    assert not Reading.objects.exists()


# ---------------------------------------------------------------- without network


def test_steps_answered_without_network_go_out_in_the_order_they_were_answered(
    tablet: Opener, crew: Crew, order: RepairOrder, run: ProcedureRun
) -> None:
    """A value at the checklist, then a value on the sheet of readings left open in another tab."""
    one = tablet(crew.technician)
    page = one.go(sheet_of(run.session))
    type_reading(page, "1.39")
    one.forgiving = True
    page.context.set_offline(True)
    judge(page)
    expect(page.locator("#waiting")).to_contain_text("1 entry waits on this tablet")
    skip = page.get_by_text("Leave this step out")
    skip.click()
    page.get_by_label("Why it is left out").fill("Connector seized")
    page.get_by_role("button", name="Leave it out").click()
    expect(page.locator("#waiting")).to_contain_text("2 entries wait on this tablet")
    assert not StepResult.objects.filter(step=run.current).exists()
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_contain_text("Not taken:")
    one.forgiving = False
    kept = StepResult.objects.filter(run=run, acknowledged=False)
    assert [row.reading.typed_value for row in kept if row.reading] == ["1.39"]
    assert not kept.exclude(skipped_because="").exists(), "the second went out before the first"
    expect(page.locator("#waiting")).to_contain_text("Connector seized")


def test_an_answer_by_button_waits_with_its_answer(
    tablet: Opener, crew: Crew, run: ProcedureRun
) -> None:
    """“The meter shows OL” is said by the button alone."""
    one = tablet(crew.technician)
    page = one.go(sheet_of(run.session))
    one.forgiving = True
    page.context.set_offline(True)
    page.get_by_role("button", name="The meter shows OL").click()
    expect(page.locator("#waiting")).to_contain_text("1 entry waits on this tablet")
    expect(page.locator("#waiting")).to_contain_text("OL")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()
    assert Reading.objects.get().over_range
