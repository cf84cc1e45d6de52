"""The job card and the repair order as PDF: what they say, on which paper, and that they are
tagged. Sizes: ISO 216 (A4 210 x 297 mm) and ANSI/ASME Y14.1 (Letter 8.5 x 11 in) in points of
1/72 in; tags, title and language: ISO 14289-1 (PDF/UA-1), from memory.
"""

from __future__ import annotations

import re
from io import BytesIO
from itertools import product
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from pypdf import PdfReader
from pytest_django.fixtures import Settings

from jobs.models import RepairOrder
from jobs.services import release, unsafe
from jobs.stages import Stage
from shop.actor import Actor
from shop.web import pdf
from tests.asserts import counted
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import RED_AND_AMBER, Crew, bring_to, prove, take_reading

SIZES = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}
PAPERS = ("job-card", "repair-order-pdf")


def read(actor: Actor, order: RepairOrder, name: str, paper: str = "") -> PdfReader:
    url = reverse(name, args=[order.workshop.slug, order.number])
    answer = client_of(actor).get(url, {"paper": paper} if paper else {})
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/pdf"
    return PdfReader(BytesIO(answer.content))


def words_of(reader: PdfReader) -> str:
    """The text of all pages in one line; a line's end in the layout is only a space."""
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def root_of(reader: PdfReader) -> Any:
    return reader.trailer["/Root"]


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    """A job proved and ready: one assembly fitted."""
    found = a_repair_order(
        crew.manager,
        technician=crew.technician,
        complaints=[a_complaint_line(words="Lamp on after the car wash", system="")],
    )
    return bring_to(Stage.READY, found, crew)


def test_every_page_has_the_size_of_its_paper(crew: Crew, order: RepairOrder) -> None:
    for name, paper in product(PAPERS, SIZES):
        for page in read(crew.technician, order, name, paper).pages:
            size = (float(page.mediabox.width), float(page.mediabox.height))
            assert size == pytest.approx(SIZES[paper], abs=0.6)


def test_the_workshops_own_paper_is_taken_when_none_or_an_unknown_one_is_asked_for(
    crew: Crew, order: RepairOrder
) -> None:
    workshop = crew.manager.workshop
    for own in SIZES:
        type(workshop).objects.filter(pk=workshop.pk).update(paper=own)
        for asked in ("", "A0"):
            page = read(crew.manager, order, "job-card", asked).pages[0]
            assert float(page.mediabox.width) == pytest.approx(SIZES[own][0], abs=0.6)


def test_it_is_tagged_and_has_a_title_and_a_language(crew: Crew, order: RepairOrder) -> None:
    for name in PAPERS:
        reader = read(crew.manager, order, name)
        root = root_of(reader)
        assert root["/MarkInfo"]["/Marked"]
        assert "/StructTreeRoot" in root
        assert str(root["/Lang"]).startswith("en")
        assert root["/ViewerPreferences"]["/DisplayDocTitle"]
        assert reader.metadata is not None
        assert str(reader.metadata.title).endswith(order.number)
        assert "pdfuaid:part" in root["/Metadata"].get_data().decode()


def test_the_job_card_says_what_the_bay_needs(crew: Crew) -> None:
    order = a_repair_order(
        crew.manager,
        technician=crew.technician,
        complaints=[a_complaint_line(words="Lamp on after the car wash")],
        lamps=RED_AND_AMBER,
    )
    said = words_of(read(crew.technician, order, "job-card"))
    for words in (
        order.number,
        str(order.vehicle.plate),
        order.vehicle.vin,
        "Ines R.",
        "“Lamp on after the car wash”",
        "Not to be driven",
        "Red brake lamp steady with the engine running",
        "Brake dust.",
        "come first",
        "Readings by hand",
        "Notes",
    ):
        assert words in said, words


def test_the_code_on_the_card_opens_the_job_at_the_address_tablets_use(
    crew: Crew, order: RepairOrder, settings: Settings
) -> None:
    settings.BASE_URL = "http://192.168.7.20:8000"
    said = words_of(read(crew.technician, order, "job-card"))
    address = f"http://192.168.7.20:8000/quay-street/orders/{order.number}/"
    assert address in said.replace(" ", "")


def test_the_repair_order_tells_the_whole_repair(crew: Crew, order: RepairOrder) -> None:
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    said = words_of(read(crew.manager, order, "repair-order-pdf"))
    for words in (
        "Ada W.",
        "“Lamp on after the car wash”",
        "Rear hub-and-sensor assembly, left rear:",  # cause
        "over range, outside",  # its evidence
        "Hub and sensor assembly replaced",  # correction
        "C0045",
        "none stored",
        "■ outside",
        "1.28 – 1.50 kΩ",
        "demo figure, PL2 sheet 4",
        "PL2-20-214",
        "Total before tax",
        "by telephone, 555 0123",
        "line 1 authorised",
        "8 km",
        "Technician, Ines R.",
        "Service manager, Bela K.",
        "Wheel nuts.",
    ):
        assert words in said, words
    assert "Not finished" not in said
    assert "without evidence" not in said


def test_readings_stand_side_by_side_before_and_after(crew: Crew, order: RepairOrder) -> None:
    said = words_of(read(crew.manager, order, "repair-order-pdf"))
    found = re.search(r"sensor resistance, rear hub.{0,60}left rear(.{0,60})", said)
    assert found, said
    assert re.search(r"over range ■ outside 1.39 kΩ ● within", found[1]), said


def test_an_unfinished_order_says_so(crew: Crew, order: RepairOrder) -> None:
    said = words_of(read(crew.manager, order, "repair-order-pdf"))
    assert "Not finished: this job is ready." in said


def test_a_conclusion_without_evidence_is_marked(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_AUTHORITY, order, crew)
    conclusion = order.complaints.get().conclusion
    assert conclusion is not None
    conclusion.evidence.all().delete()
    type(conclusion).objects.filter(pk=conclusion.pk).update(evidenced=False)
    said = words_of(read(crew.manager, order, "repair-order-pdf"))
    assert "Concluded without evidence" in said


def test_a_lifted_mark_and_an_overridden_release_print_with_their_reasons(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician, lamps=RED_AND_AMBER)
    bring_to(Stage.PROVING, order, crew)
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Parking brake was on")
    prove(crew, order, but_for=["reading"])
    order.refresh_from_db()
    release.release(
        crew.manager,
        order,
        act=uuid4(),
        revision=order.revision,
        override="The customer must catch a ferry",
    )
    said = words_of(read(crew.manager, order, "repair-order-pdf"))
    assert "Was marked not to be driven" in said
    assert "Lifted because: Parking brake was on" in said
    assert "Released with something missing" in said
    assert "has not been taken again" in said
    assert "reason: The customer must catch a ferry" in said


def test_what_a_customer_types_is_text_and_loads_nothing(
    crew: Crew, caplog: pytest.LogCaptureFixture
) -> None:
    words = '<img src="file:///etc/hostname"><b>bold</b> & “quoted”'
    order = a_repair_order(crew.manager, complaints=[a_complaint_line(words=words)])
    said = words_of(read(crew.manager, order, "job-card"))
    assert '<img src="file:///etc/hostname"><b>bold</b> & “quoted”' in said


@pytest.mark.parametrize(
    "url", ["file:///etc/hostname", "http://127.0.0.1:9/x.png", "https://example.org/x.css"]
)
def test_it_refuses_to_load_anything_but_what_is_in_the_page(url: str) -> None:
    with pytest.raises(ValueError, match="disallowed"):
        pdf.only_data().fetch(url)
    assert pdf.only_data().fetch("data:text/plain,here").read() == b"here"


def test_it_refuses_a_paper_that_no_printer_here_holds(crew: Crew) -> None:
    with pytest.raises(ValueError, match="A0"):
        pdf.make("print/job_card.html", {}, paper="A0")


def test_a_stranger_gets_no_paper_and_every_role_of_the_workshop_does(
    crew: Crew, order: RepairOrder, vera: Actor, pim: Actor
) -> None:
    for name in PAPERS:
        for slug in ("quay-street", "millrace"):
            url = reverse(name, args=[slug, order.number])
            assert client_of(pim).get(url).status_code == 404
        read(crew.counter, order, name)
        read(vera, order, name)


def test_the_repair_order_costs_the_same_queries_however_much_was_measured(
    crew: Crew, order: RepairOrder
) -> None:
    client = client_of(crew.manager)
    url = reverse("repair-order-pdf", args=[order.workshop.slug, order.number])

    def queries() -> int:
        with counted() as found:
            assert client.get(url).status_code == 200
        return len(found)

    queries()
    few = queries()
    for value in range(130, 150):
        take_reading(crew.technician, order, f"1.{value}")
    assert queries() == few
