"""Held parts on the pages and on their labels."""

from __future__ import annotations

import io
from datetime import timedelta
from uuid import uuid4

import pypdfium2
import pytest
import segno
from django.conf import settings
from django.urls import reverse
from pypdf import PdfReader

from jobs.models import HeldPart, StockItem, Terms
from jobs.services import serials
from shop import clock
from shop.errors import Clash
from shop.models import LogEntry
from shop.web.labels import size_word
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.jobs.along import Crew
from tests.jobs.holding import a_held_part, a_job_to_fit, close_job, fitted

POINTS = 72 / 25.4  # points in a millimetre


def at(name: str, *args: object) -> str:
    return reverse(name, args=["quay-street", *args])


def words_of(pdf: bytes) -> str:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_a_tag_is_sent_from_its_page(crew: Crew) -> None:
    held = a_held_part(crew, payer="vehicle_warranty")
    browser = client_of(crew.counter)
    page = text_of(browser.get(at("held-part", held.number)))
    assert "the payer may ask for it" in page
    sent = {"act": uuid4(), "revision": held.revision, "to": "", "parcel": "ZZ 4"}
    assert "Type to whom it is sent." in text_of(browser.post(at("held-send", held.number), sent))
    answer = browser.post(at("held-send", held.number), sent | {"to": "the warrantor"})
    assert answer.status_code == 303
    held.refresh_from_db()
    assert (held.state, held.closed_note) == (HeldPart.State.SENT, "the warrantor, ZZ 4")


def test_what_was_typed_comes_back_after_a_clash(crew: Crew) -> None:
    held = a_held_part(crew)
    HeldPart.objects.filter(pk=held.pk).update(revision=held.revision + 1)
    browser = client_of(crew.counter)
    sent = {"act": uuid4(), "revision": held.revision, "to": "Ada W."}
    page = browser.post(at("held-give", held.number), sent)
    assert "since you opened this page" in text_of(page)
    assert 'value="Ada W."' in page.content.decode()
    again = sent | {"act": uuid4(), "revision": held.revision + 1}
    assert browser.post(at("held-give", held.number), again).status_code == 303


def test_the_counter_sees_what_is_to_be_done(crew: Crew) -> None:
    core, old = a_held_part(crew, core="35.00"), a_held_part(crew)
    close_job(old, 2)
    HeldPart.objects.filter(pk=old.pk).update(hold_until=clock.today() - timedelta(days=1))
    browser = client_of(crew.counter)
    page = text_of(browser.get(at("counter")))
    assert "1 held part to be sent" in page
    assert "1 may go" in page
    for which, there, not_there in (("send", core, old), ("may-go", old, core)):
        listed = text_of(browser.get(at("held"), {"list": which}))
        assert there.number in listed
        assert not_there.number not in listed


def test_the_order_and_its_paper_name_the_tag(crew: Crew) -> None:
    held = a_held_part(crew, core="35.00")
    order = held.replacement.complaint.order
    browser = client_of(crew.manager)
    assert held.number in text_of(browser.get(at("order", order.number)))
    assert held.number in text_of(browser.get(at("fitting", order.number)))
    paper = browser.get(at("repair-order-pdf", order.number)).content
    assert f"Tag {held.number}: core" in words_of(paper)


@pytest.mark.parametrize(
    ("width", "height", "size"),
    [
        (62, 29, "small"),
        (62, 100, "narrow"),
        (80, 48, "low"),
        (100, 62, "middle"),
        (100, 150, "large"),
    ],
)
def test_a_tag_has_the_size_of_the_terms(crew: Crew, width: int, height: int, size: str) -> None:
    held = a_held_part(crew, core="35.00")
    Terms.objects.create(workshop=held.workshop, tag_width_mm=width, tag_height_mm=height)
    assert size_word(width, height) == size
    pdf = client_of(crew.counter).get(at("held-label", held.number)).content
    (page,) = PdfReader(io.BytesIO(pdf)).pages
    assert float(page.mediabox.width) / POINTS == pytest.approx(width, abs=0.1)
    assert float(page.mediabox.height) / POINTS == pytest.approx(height, abs=0.1)
    said = words_of(pdf)
    order = held.replacement.complaint.order
    for words in (held.number, "core, to send back", order.number, order.vehicle.plate, "Send by"):
        assert words in said
    assert ("Brake dust" in said) is (size != "small")


def test_the_code_on_a_tag_is_the_address_of_its_page(crew: Crew) -> None:
    """Every module of the printed picture is that of the code; segno made both, so that this
    says that it was drawn whole, not that a scanner reads it."""
    held = a_held_part(crew)
    pdf = client_of(crew.counter).get(at("held-label", held.number)).content
    page = pypdfium2.PdfDocument(pdf)[0]
    dots = 8  # pixels a point
    picture = page.render(scale=dots).to_pil().convert("L")
    code = segno.make(settings.BASE_URL.rstrip("/") + at("held-part", held.number), error="q")
    # middle size: 24 mm square, 2 mm from the top and the right, two modules of white around.
    side, edge = 24 * POINTS * dots, 2 * POINTS * dots
    module = side / (len(code.matrix) + 4)
    left = picture.width - edge - side
    for row, modules in enumerate(code.matrix):
        for column, dark in enumerate(modules):
            x, y = left + (column + 2.5) * module, edge + (row + 2.5) * module
            assert (picture.getpixel((int(x), int(y))) < 128) is bool(dark), (row, column)


@pytest.mark.parametrize(("paper", "width"), [("A4", 210), ("Letter", 216)])
def test_several_tags_stand_on_one_sheet(crew: Crew, paper: str, width: int) -> None:
    tags = [a_held_part(crew).number for _ in range(3)]
    browser = client_of(crew.counter)
    pdf = browser.get(at("held-tags"), {"tag": tags, "sheet": "1", "paper": paper}).content
    (page,) = PdfReader(io.BytesIO(pdf)).pages
    assert float(page.mediabox.width) / POINTS == pytest.approx(width, abs=0.2)
    assert all(number in words_of(pdf) for number in tags)
    rolled = browser.get(at("held-tags"), {"tag": tags}).content
    assert len(PdfReader(io.BytesIO(rolled)).pages) == 3
    assert browser.get(at("held-tags")).status_code == 303


def correct(crew: Crew, held: HeldPart, **more: object) -> None:
    said: dict[str, object] = {
        "act": uuid4(),
        "replacement": held.replacement,
        "seen_off": "OFF-1",
        "seen_on": "ON-1",
        "serial_off": "OFF-1",
        "serial_on": "ON-1",
        "because": "label read again",
    }
    serials.correct(crew.manager, **(said | more))  # type: ignore[arg-type]


def test_serial_numbers_are_put_right_and_the_first_ones_stay_in_the_log(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    held = fitted(crew, row, serial_off="off-1", serial_on="on-1")
    with refused(field="because", says="How the mistake"):
        correct(crew, held, serial_on="ON-2", because=" ")
    with refused(says="on record like this already"):
        correct(crew, held)
    with refused(field="serial_on", says="both units"):
        correct(crew, held, serial_on="off-1")
    correct(crew, held, serial_on="on-2")
    row.refresh_from_db()
    assert row.unit_on is not None
    assert row.unit_on.serial_number == "ON-2"
    said = LogEntry.objects.filter(kind="serials").get()
    assert "on ON-1 is now ON-2" in said.words
    assert said.reason == "label read again"
    with pytest.raises(Clash):
        correct(crew, held, serial_on="ON-3")


def test_a_serial_number_known_elsewhere_is_refused(crew: Crew) -> None:
    fitted(crew, a_job_to_fit(crew), serial_on="ON-9")
    held = fitted(crew, a_job_to_fit(crew), serial_off="OFF-1", serial_on="ON-1")
    with refused(field="serial_on", says="on record as fitted to"):
        correct(crew, held, serial_on="ON-9")


def test_another_part_number_is_asked_about_on_the_page(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    browser, order = client_of(crew.technician), row.complaint.order
    sent = {"act": uuid4(), "serial_on": "ON-1", "part_number_on": "PL2-20-999"}
    page = browser.post(at("fit", order.number, row.pk), sent)
    assert "Ordered was PL2-20-214" in text_of(page)
    assert 'name="part_differs"' in page.content.decode()
    sure = sent | {"part_differs": "on", "part_because": "the same unit by its other number"}
    assert browser.post(at("fit", order.number, row.pk), sure).status_code == 303
    assert HeldPart.objects.filter(replacement=row).exists()


def test_a_count_is_made_on_the_page(crew: Crew) -> None:
    a_held_part(crew)
    item = StockItem.objects.get()
    browser = client_of(crew.counter)
    sent = {"act": uuid4(), "revision": item.revision, "seen": item.on_hand, "counted": 2}
    page = browser.post(at("stock-count", item.pk), sent)
    assert "The record says 0" in text_of(page)
    done = browser.post(at("stock-count", item.pk), sent | {"because": "found behind"})
    assert done.status_code == 303
    assert "found behind" in text_of(browser.get(at("stock-item", item.pk)))
