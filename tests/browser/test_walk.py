"""The job of the README, by four people at four tablets, from the kerb to the key."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from io import BytesIO

import pytest
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from shop import clock
from shop.actor import Actor
from tests.browser.conftest import Opener
from tests.browser.tablet import Tablet
from tests.cast import PASSWORD
from tests.factories import the_pages
from tests.jobs.along import Crew

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WORDS = "Yellow light came on after the car wash and won't go off"
VIN = "9ZZPL2A04M1003318"


@dataclass
class Walk:
    """The four tablets, and the number the job was given."""

    manager: Tablet
    technician: Tablet
    counter: Tablet
    number: str = ""


def test_a_job_goes_from_the_kerb_to_the_key(tablet: Opener, crew: Crew) -> None:
    the_pages("PL2")
    walk = Walk(tablet(), tablet(), tablet())
    for who, one in (
        (crew.manager, walk.manager),
        (crew.technician, walk.technician),
        (crew.counter, walk.counter),
    ):
        sign_in(one, who)
    take_in(walk)
    record_flags(walk)
    work_through_the_circuit(walk)
    conclude(walk)
    ask_for_authority(walk)
    give_and_record(walk)
    order_receive_hand_over(walk)
    fit(walk)
    prove_but_for_the_reading(walk)
    release_is_refused(walk)
    take_the_failed_reading_again(walk)
    release(walk)
    read_the_papers(walk)


def sign_in(one: Tablet, who: Actor) -> None:
    page = one.go("/")
    page.get_by_label("Sign-in name").fill(who.user.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_text(who.user.display_name).first.wait_for()


def main_of(page: Page) -> Locator:
    return page.locator("main")


def press(page: Page, name: str) -> None:
    """Press a button or follow a link of the page itself, not of the bar above it."""
    found = main_of(page).get_by_role("button", name=name, exact=True)
    found = found.or_(main_of(page).get_by_role("link", name=name, exact=True))
    found.first.click()


def sheet_of(one: Tablet, label: str) -> Page:
    """Another sheet of the job that is open, once the answer to the last act is on the page."""
    expect(one.page.locator("[aria-busy='true'], .htmx-request")).to_have_count(0)
    one.page.wait_for_load_state("networkidle")
    one.page.get_by_role("navigation", name="Sheets of this job").get_by_role(
        "link", name=label, exact=True
    ).click()
    return one.page


def take_in(walk: Walk) -> None:
    """The vehicle is not known: its VIN is checked as it is typed, the lamps are written down."""
    page = walk.manager.page
    expect(page).to_have_url(re.compile("/quay-street/desk/$"))
    page.get_by_role("link", name="Take in a vehicle").first.click()
    look = page.get_by_label("Any part of VIN, plate or owner’s name")
    look.press_sequentially("7KD 3318")
    expect(main_of(page)).to_contain_text("Nothing known here fits")
    press(page, "Take in a vehicle not known yet")
    vin = page.get_by_label("VIN", exact=True)
    says = page.locator("#vin-says")
    vin.press_sequentially(VIN[:10])
    expect(says).to_contain_text("10 / 17")
    vin.press_sequentially("O")
    expect(says).to_contain_text("O")
    vin.fill(VIN.replace("04M", "05M"))
    expect(page.get_by_label("Why this VIN is right all the same")).to_be_visible()
    vin.fill(VIN)
    expect(says).to_contain_text("the check digit agrees")
    expect(page.get_by_label("Plate")).to_have_value("7KD 3318")
    page.get_by_label("Platform").select_option(label="Corvane Pell hatchback (PL2)")
    page.get_by_label("Tyre size").fill("185/65 R15 88T")
    page.get_by_label("Customer", exact=True).fill("Ada W.")
    page.get_by_label("Telephone").fill("555 0123")
    page.get_by_label("Odometer", exact=True).fill("84120")
    page.get_by_label("In the customer’s words").fill(WORDS)
    lamp(page, "Amber anti-lock lamp, at key-on", "steady")
    lamp(page, "Amber anti-lock lamp, with the engine running", "steady")
    lamp(page, "Red brake lamp, with the engine running", "dark")
    page.get_by_label("Technician").select_option(label="Ines R.")
    page.get_by_label(re.compile("^Bay")).select_option(label="Bay 2")
    press(page, "Take it in")
    expect(page).to_have_url(re.compile("/orders/Q"))
    walk.number = page.url.rstrip("/").rpartition("/")[2]
    expect(main_of(page)).to_contain_text(WORDS)


def lamp(page: Page, where: str, shown: str) -> None:
    page.get_by_role("group", name=where).get_by_role("radio", name=shown).check()


def record_flags(walk: Walk) -> None:
    """The technician finds the job at the Bay, begins, and writes down what the tester shows."""
    page = walk.technician.page
    expect(page).to_have_url(re.compile("/quay-street/bay/$"))
    page.reload()
    expect(main_of(page)).to_contain_text(WORDS)
    main_of(page).get_by_role("listitem").filter(has_text=WORDS).get_by_role("link").click()
    press(page, "Begin diagnosis")
    expect(main_of(page)).to_contain_text("diagnosing")
    sheet_of(walk.technician, "Lamps and flags")
    expect(main_of(page)).to_contain_text("base brakes work")
    press(page, "Flags")
    page.get_by_label("Code").first.fill("C0045")
    expect(page.locator("#meaning-1")).to_contain_text("Left rear")
    press(page, "Keep what was read")
    expect(main_of(page).get_by_text("C0045").first).to_be_visible()


def work_through_the_circuit(walk: Walk) -> None:
    """Caution, then the checklist: good at rest, open when the harness is moved."""
    page = sheet_of(walk.technician, "Checklist")
    step = page.locator("#step")
    begin = step.locator(".next, .proposal").filter(has_text="Wheel-speed circuit of one corner")
    begin.get_by_role("button").click()
    expect(step).to_contain_text("Raise and secure the car")
    press(page, "I have read it and work so")
    measure(page, "Sensor resistance at its connector, left rear", "1.39", temperature="20")
    expect(step.locator(".judgement")).to_contain_text("Within")
    press(page, "Go on")
    at_step(page, "The same while the harness is moved, left rear")
    expect(step).to_contain_text(re.compile(r"1\.28.+1\.50"))
    press(page, "The meter shows OL")
    expect(step.locator(".judgement")).to_contain_text("Outside")
    expect(step.locator(".judgement")).to_contain_text("the wire is broken inside its cover")
    press(page, "Go on")
    at_step(page, "Clip on the arm, left rear")
    press(page, "Kinked or stretched at the clip")
    expect(step).to_contain_text("with slack and a new clip")
    press(page, "Go on")
    measure(page, "The other side of the axle, right rear", "1.38", temperature="20")


def at_step(page: Page, title: str) -> None:
    expect(page.get_by_role("heading", level=1, name=title)).to_be_visible()


def measure(page: Page, title: str, value: str, *, temperature: str = "") -> None:
    at_step(page, title)
    page.get_by_label("Reading", exact=True).fill(value)
    if temperature:
        page.get_by_label("Part temperature").fill(temperature)
    press(page, "Judge it")


def conclude(walk: Walk) -> None:
    """The left rear hub-and-sensor, with what was recorded as its evidence."""
    page = sheet_of(walk.technician, "Job")
    press(page, "Conclude")
    page.get_by_role("radio", name=re.compile("hub-and-sensor assembly, left rear")).check()
    page.get_by_label("How it failed").select_option(label="Sensor harness opens when moved")
    shows = page.get_by_role("group", name="What shows it")
    shows.get_by_role("checkbox", name=re.compile("over range, outside")).check()
    shows.get_by_role("checkbox", name=re.compile("C0045")).check()
    press(page, "Conclude")
    expect(main_of(page)).to_contain_text("Concluded by Ines R.")


def ask_for_authority(walk: Walk) -> None:
    page = sheet_of(walk.technician, "Estimate")
    press(page, "Put it on the estimate")
    expect(main_of(page)).to_contain_text("PL2-20-214")
    press(page, "Ask for authority")
    expect(main_of(page)).to_contain_text("Waits for the answer to the estimate")


def give_and_record(walk: Walk) -> None:
    """The Desk shows that it is the manager's move; the customer is told and answers."""
    page = walk.manager.page
    page.get_by_role("link", name="Desk", exact=True).click()
    mine = page.locator(".group--mine")
    expect(mine).to_contain_text("Your move")
    mine.get_by_role("link", name=walk.number).click()
    press(page, "Give the estimate")
    press(page, "Record as given")
    expect(main_of(page)).to_contain_text("was given to Ada W.")
    page.get_by_role("radio", name="authorised", exact=True).check()
    press(page, "Record the answer")
    expect(main_of(page)).to_contain_text("Order 1 assembly")


def order_receive_hand_over(walk: Walk) -> None:
    page = walk.counter.page
    page.get_by_role("link", name="Counter", exact=True).click()
    expect(main_of(page)).to_contain_text("PL2-20-214")
    press(page, "Order Ostrel")
    page.get_by_label("Expected on").fill((clock.today() + timedelta(days=1)).isoformat())
    press(page, "Place the order")
    expect(main_of(page)).to_contain_text("Book in what came")
    page.get_by_label("Hand over to the Bay each job that is complete").uncheck()
    press(page, "All of it came, and is good")
    expect(main_of(page)).not_to_contain_text("Book in what came")
    page.get_by_role("link", name="Counter", exact=True).first.click()
    press(page, f"Hand over {walk.number}")
    expect(main_of(page)).to_contain_text("Nothing to order, nothing on its way")


def fit(walk: Walk) -> None:
    page = sheet_of(walk.technician, "Fitting")
    press(page, "I have read them")
    page.get_by_label("Serial number of the unit taken off").fill("HS-20931")
    page.get_by_label("Serial number of the unit put on").fill("HS-55120")
    press(page, "Record as fitted")
    expect(main_of(page)).to_contain_text("HS-55120")
    press(page, "Repaired: begin proving")


def prove_but_for_the_reading(walk: Walk) -> None:
    one, page = walk.technician, walk.technician.page
    after = page.locator(".memory").filter(has_text="After the repair")
    sheet_of(one, "Lamps and flags")
    press(page, "Flags")
    cleared = page.locator("form").filter(has_text="They are cleared")
    cleared.get_by_text("Brake control", exact=True).click()
    press(page, "They are cleared")
    expect(after).to_contain_text("Cleared")
    sheet_of(one, "Proving")
    page.get_by_label("Distance driven").fill("8.4")
    page.get_by_label("Top speed").fill("72")
    page.get_by_label("Odometer after it").fill("84129")
    press(page, "Record the road test")
    expect(main_of(page)).to_contain_text("8.4 km, 72 km/h")
    sheet_of(one, "Lamps and flags")
    lamp(page, "Amber anti-lock lamp, at key-on", "steady")
    lamp(page, "Amber anti-lock lamp, with the engine running", "dark")
    lamp(page, "Red brake lamp, with the engine running", "dark")
    press(page, "Say what it means")
    expect(page.locator(".judgement, .triage").first).to_contain_text("othing")
    press(page, "Flags")
    page.get_by_label("None stored").check()
    press(page, "Keep what was read")
    expect(after).to_contain_text("None stored")
    sheet_of(one, "Job")
    press(page, "Write the correction")
    main_of(page).get_by_role("textbox").fill("Left rear hub and sensor replaced, harness clipped.")
    press(page, "Keep the correction")
    expect(main_of(page)).to_contain_text("harness clipped")


def release_is_refused(walk: Walk) -> None:
    """Without a reason the manager cannot release either, and is told what is missing."""
    page = walk.manager.page
    page.reload()
    sheet_of(walk.manager, "Proving")
    main_of(page).get_by_text("Release without full proof").first.click()
    press(page, "Release without full proof")
    expect(page.locator(".form-errors, .errorlist").first).to_contain_text(
        "Wheel-speed sensor resistance, left rear was outside "
        "(over range, “The same while the harness is moved”) and has not been taken"
    )


def take_the_failed_reading_again(walk: Walk) -> None:
    """The reading that condemned the unit, at the same place, after the repair."""
    one, page = walk.technician, walk.technician.page
    sheet_of(one, "Proving")
    press(page, "Take it again")
    expect(page).to_have_url(re.compile("/readings/"))
    page.get_by_label("Reading", exact=True).fill("1.40")
    page.get_by_label("Part temperature").fill("20")
    press(page, "Judge it")
    expect(main_of(page)).to_contain_text("1.40")
    sheet_of(one, "Proving")
    press(page, "Proved: ready for release")
    expect(main_of(page)).to_contain_text("Waits for the Desk")


def release(walk: Walk) -> None:
    page = walk.manager.page
    page.get_by_role("link", name="Desk", exact=True).click()
    page.locator(".group--mine").get_by_role("link", name=walk.number).click()
    sheet_of(walk.manager, "Proving")
    press(page, "Release the vehicle")
    expect(main_of(page)).to_contain_text("released")


def read_the_papers(walk: Walk) -> None:
    """Both PDFs, as the browser fetches them."""
    card = paper(walk.manager, walk.number, "job-card")
    assert walk.number in card
    assert "7KD 3318" in card
    order = paper(walk.manager, walk.number, "repair-order")
    for said in (walk.number, "HS-20931", "HS-55120", "PL2-20-214", "harness clipped", "Ada W."):
        assert said in order


def paper(one: Tablet, number: str, name: str) -> str:
    answer = one.page.request.get(f"{one.base}/quay-street/orders/{number}/{name}.pdf")
    assert answer.status == 200
    assert answer.headers["content-type"] == "application/pdf"
    pages = PdfReader(BytesIO(answer.body())).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)
