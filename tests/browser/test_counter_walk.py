"""Two assemblies from two suppliers, one of which comes wrong, on to the money and the core."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pytest
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from diagnostics.models import Component
from jobs.models import HeldPart, Invoice, RepairOrder, Replacement, StockItem, SupplyOrder
from jobs.services import estimate, moves
from jobs.stages import Move, Stage
from shop import clock
from shop.money import format_amount
from tests.browser.conftest import Opener
from tests.browser.tablet import Tablet
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew, answer, bring_to, give_estimate, prove

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

HUB, MODULATOR = "PL2-20-214", "PL2-40-510"
CORE_CREDIT = Decimal("120.00")  # of the shipped demo pages


@dataclass
class Walk:
    """Three tablets, and the job that they work on."""

    manager: Tablet
    technician: Tablet
    counter: Tablet
    order: RepairOrder

    @property
    def number(self) -> str:
        return self.order.number


def test_two_orders_a_wrong_part_a_bill_and_a_core(tablet: Opener, crew: Crew) -> None:
    order = authorised(crew)
    walk = Walk(tablet(crew.manager), tablet(crew.technician), tablet(crew.counter), order)
    order_from_both_suppliers(walk)
    one_comes_wrong(walk)
    the_right_one_comes_and_is_handed_over(walk)
    fit_by_the_clock(walk)
    proved(walk, crew)
    release(walk)
    invoice_and_payment(walk)
    send_the_core(walk)
    read_the_papers(walk)


def authorised(crew: Crew) -> RepairOrder:
    """A job whose customer has agreed to a hub and a modulator; neither lies on the shelf."""
    vehicle = a_vehicle(crew.manager, plate="7KD 3318")
    order = a_repair_order(crew.manager, vehicle=vehicle, technician=crew.technician)
    bring_to(Stage.AWAITING_AUTHORITY, order, crew)
    modulator = Component.objects.get(platform=vehicle.platform_id, key="pressure_modulator")
    estimate.add_assembly(
        crew.manager, act=uuid4(), complaint=order.complaints.get(), component=modulator
    )
    give_estimate(crew, order)
    answer(crew, order)
    order.refresh_from_db()
    assert order.stage == Stage.AWAITING_ASSEMBLY
    return order


def main_of(page: Page) -> Locator:
    return page.locator("main")


def press(page: Page, name: str) -> None:
    """Press a button or follow a link of the page itself, not of the bar above it."""
    found = main_of(page).get_by_role("button", name=name, exact=True)
    found.or_(main_of(page).get_by_role("link", name=name, exact=True)).first.click()


def order_from_both_suppliers(walk: Walk) -> None:
    for supplier, number in (("Ostrel", HUB), ("Harl", MODULATOR)):
        page = walk.counter.go("/quay-street/counter/")
        expect(main_of(page)).to_contain_text(number)
        press(page, f"Order {supplier}")
        expect(page.get_by_label(f"Pieces of {number}")).to_have_value("1")
        page.get_by_label("Expected on").fill((clock.today() + timedelta(days=1)).isoformat())
        press(page, "Place the order")
        expect(main_of(page)).to_contain_text("Book in what came")


def supply_of(number: str) -> SupplyOrder:
    found: SupplyOrder = SupplyOrder.objects.get(lines__part_number=number)
    return found


def one_comes_wrong(walk: Walk) -> None:
    """The hub is good and stays at the Counter; in the modulator's carton lies something else."""
    page = walk.counter.go(f"/quay-street/counter/orders/{supply_of(HUB).number}/")
    press(page, "All of it came, and is good")
    expect(main_of(page)).not_to_contain_text("Book in what came")
    page = walk.counter.go(f"/quay-street/counter/orders/{supply_of(MODULATOR).number}/")
    page.get_by_label(re.compile(f"rong.*{MODULATOR}|{MODULATOR}.*wrong")).fill("1")
    page.get_by_label("What is wrong or damaged").fill("Two plugs where this one has three")
    press(page, "Book in")
    expect(main_of(page)).to_contain_text("Two plugs where this one has three")
    kept = Replacement.objects.get(part_number=HUB)
    assert (kept.state, kept.handed_at) == ("received", None)
    walk.order.refresh_from_db()
    assert walk.order.stage == Stage.AWAITING_ASSEMBLY


def the_right_one_comes_and_is_handed_over(walk: Walk) -> None:
    page = walk.counter.go(f"/quay-street/counter/orders/{supply_of(MODULATOR).number}/")
    page.get_by_label("Hand over to the Bay each job that is complete").uncheck()
    press(page, "All of it came, and is good")
    expect(main_of(page)).not_to_contain_text("Book in what came")
    page = walk.counter.go("/quay-street/counter/")
    press(page, f"Hand over {walk.number}")
    expect(main_of(page).get_by_role("button", name=f"Hand over {walk.number}")).to_have_count(0)
    walk.order.refresh_from_db()
    assert walk.order.stage == Stage.REPAIRING
    items = StockItem.objects.values_list("part_number", "on_hand", "reserved")
    assert set(items) == {(HUB, 0, 0), (MODULATOR, 0, 0)}


def fit_by_the_clock(walk: Walk) -> None:
    """On, both assemblies, off. What comes off gets its tag in the same act."""
    page = walk.technician.go(f"/quay-street/orders/{walk.number}/")
    press(page, f"Clock on {walk.number}, complaint 1")
    off = main_of(page).get_by_role("button", name=f"Clock off {walk.number}, complaint 1")
    expect(off.first).to_be_visible()
    page = walk.technician.go(f"/quay-street/orders/{walk.number}/fitting/")
    press(page, "I have read them")
    for number, came_off, went_on in ((HUB, "HS-20931", "HS-55120"), (MODULATOR, "M-1", "M-2")):
        part = Replacement.objects.get(part_number=number)
        section = page.locator(f"#fit-{part.pk}")
        section.get_by_label("Serial number of the unit taken off").fill(came_off)
        section.get_by_label("Serial number of the unit put on").fill(went_on)
        section.get_by_role("button", name="Record as fitted").click()
        expect(page.locator(f"#fit-{part.pk}")).to_contain_text("Tag of the unit off")
    page = walk.technician.go(f"/quay-street/orders/{walk.number}/")
    press(page, f"Clock off {walk.number}, complaint 1")
    on = main_of(page).get_by_role("button", name=f"Clock on {walk.number}, complaint 1")
    expect(on.first).to_be_visible()
    assert HeldPart.objects.count() == 2


def proved(walk: Walk, crew: Crew) -> None:
    """The walk of the README drives and measures on screen; here the services do."""
    order = walk.order
    for move in (Move.ALL_FITTED, Move.PROVED):
        if move is Move.PROVED:
            prove(crew, order)
        order.refresh_from_db()
        moves.move(crew.technician, order, move, act=uuid4(), revision=order.revision)


def release(walk: Walk) -> None:
    page = walk.manager.go(f"/quay-street/orders/{walk.number}/proving/")
    press(page, "Release the vehicle")
    expect(main_of(page)).to_contain_text("released")


def invoice_and_payment(walk: Walk) -> None:
    page = walk.manager.go(f"/quay-street/orders/{walk.number}/bill/")
    press(page, "Issue the invoice")
    expect(main_of(page)).to_contain_text("Take a payment")
    owed = Invoice.objects.get().owed
    assert owed > 0
    page.get_by_label("Amount").fill("100.00")
    page.get_by_role("radio", name="cash").check()
    press(page, "Record the payment")
    expect(main_of(page)).to_contain_text("QR1001")
    invoice = Invoice.objects.get()
    assert (invoice.paid, invoice.owed) == (Decimal("100.00"), owed - 100)


def send_the_core(walk: Walk) -> None:
    core = HeldPart.objects.get(why="core")
    assert core.credit_expected == CORE_CREDIT
    page = walk.counter.go(f"/quay-street/held/{core.number}/")
    page.get_by_text("It is sent", exact=True).click()
    page.get_by_label("Parcel or delivery note").fill("P-77")
    press(page, "Record it as sent")
    expect(main_of(page)).to_contain_text("P-77")
    core.refresh_from_db()
    assert core.state == "sent"


def read_the_papers(walk: Walk) -> None:
    """Tag, supplier order and invoice, as the browser fetches them."""
    core, invoice = HeldPart.objects.get(why="core"), Invoice.objects.get()
    tag = paper(walk.counter, f"held/{core.number}/tag.pdf")
    for said in (core.number, walk.number, "M-1"):
        assert said in tag
    supply = supply_of(MODULATOR)
    order = paper(walk.counter, f"counter/orders/{supply.number}/order.pdf")
    for said in (supply.number, "Harl", MODULATOR):
        assert said in order
    bill = paper(walk.manager, f"invoices/{invoice.number}/paper.pdf")
    for said in (invoice.number, walk.number, HUB, MODULATOR, format_amount(invoice.total, "$")):
        assert said in bill


def paper(one: Tablet, path: str) -> str:
    answer = one.page.request.get(f"{one.base}/quay-street/{path}")
    assert answer.status == 200
    assert answer.headers["content-type"] == "application/pdf"
    pages = PdfReader(BytesIO(answer.body())).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)
