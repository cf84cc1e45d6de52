"""What was worked out stands on the papers: its verdict, its picture, where it comes from."""

from __future__ import annotations

from io import BytesIO
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from pypdf import PdfReader

from diagnostics.models import Capture, Measurement
from diagnostics.services import measurements
from jobs.models import RepairOrder
from jobs.queries.worked_papers import MOST_CHARTS, worked_papers
from shop.web import charts
from tests.asserts import counted
from tests.cast import client_of
from tests.diagnostics.worked_out import FLAT, a_run_out, dial, taken
from tests.factories import a_repair_order
from tests.jobs.along import Crew

PAPERS = ("job-card", "repair-order-pdf")


def paper(crew: Crew, order: RepairOrder, name: str = "repair-order-pdf") -> PdfReader:
    url = reverse(name, args=[order.workshop.slug, order.number])
    answer = client_of(crew.technician).get(url)
    assert answer.status_code == 200
    return PdfReader(BytesIO(answer.content))


def words_of(reader: PdfReader) -> str:
    return one_line(" ".join(page.extract_text() for page in reader.pages))


def one_line(text: str) -> str:
    """A line's end and a space that does not break are only spaces on paper."""
    return " ".join(text.split())


def figures_of(reader: PdfReader) -> list[str]:
    """The words that stand for the pictures of a tagged PDF (ISO 14289-1: a figure has them)."""
    found: list[str] = []

    def look(node: Any) -> None:
        one = node.get_object()
        if isinstance(one, dict):
            if one.get("/S") == "/Figure" and "/Alt" in one:
                found.append(str(one["/Alt"]))
            look(one.get("/K", []))
        elif isinstance(one, list):
            for child in one:
                if not isinstance(child, int):
                    look(child)

    root: Any = reader.trailer["/Root"]
    look(root["/StructTreeRoot"])
    return found


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    return a_repair_order(crew.manager, technician=crew.technician)


def test_nothing_worked_out_leaves_no_empty_heading(crew: Crew, order: RepairOrder) -> None:
    for name in PAPERS:
        assert "Measured and worked out" not in words_of(paper(crew, order, name))


def test_a_measurement_prints_with_verdict_limit_source_version_and_pictures(
    crew: Crew, order: RepairOrder
) -> None:
    row = a_run_out(crew.technician, order.session)
    (shown,) = worked_papers(order.session)
    assert shown.judged
    assert 0 < len(shown.charts) <= MOST_CHARTS
    for name in PAPERS:
        reader = paper(crew, order, name)
        said = words_of(reader)
        assert "Measured and worked out" in said
        assert one_line(row.says) in said
        assert "as found" in said
        assert "by version 1 of this computation" in said
        assert "Ines R." in said
        for figure in shown.judged:
            assert one_line(f"{figure.value} {figure.mark} {figure.word}") in said
            assert one_line(figure.source) in said
        for source in shown.sources:
            assert one_line(source) in said
        pictures = figures_of(reader)
        for chart in shown.charts:
            assert f"{chart.title}. {chart.says}" in pictures


def test_an_instruments_file_is_named_with_its_whole_checksum(
    crew: Crew, order: RepairOrder
) -> None:
    row = a_run_out(crew.technician, order.session)
    checksum = "0123456789abcdef" * 4
    capture = Capture.objects.create(
        session=order.session,
        by=crew.technician.user,
        at=row.at,
        phase=row.phase,
        name="left-front <b>.csv",
        size=10,
        sha256=checksum,
        samples=2,
        channels=1,
        seconds=1.0,
    )
    Measurement.objects.filter(pk=row.pk).update(capture=capture)
    said = words_of(paper(crew, order))
    assert "left-front <b>.csv" in said
    assert checksum in said.replace(" ", "")


def test_only_what_stands_is_printed(crew: Crew, order: RepairOrder) -> None:
    first = a_run_out(crew.technician, order.session)
    second = measurements.replace(
        crew.technician, first, act=uuid4(), taken=taken(dial(FLAT)), because="Dial had slipped"
    )
    said = words_of(paper(crew, order))
    assert one_line(second.says) in said
    assert one_line(first.says) not in said
    assert "in the place of an earlier one: Dial had slipped" in said


def test_a_paper_is_made_though_no_picture_can_be_drawn(
    crew: Crew, order: RepairOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_run_out(crew.technician, order.session)
    monkeypatch.setattr(charts, "drawn", lambda *_: None)
    said = words_of(paper(crew, order))
    assert "The picture could not be drawn" in said


def test_it_costs_the_same_queries_however_much_was_worked_out(
    crew: Crew, order: RepairOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(charts, "drawn", lambda *_: None)
    client = client_of(crew.manager)
    url = reverse("repair-order-pdf", args=[order.workshop.slug, order.number])

    def queries() -> int:
        with counted() as found:
            assert client.get(url).status_code == 200
        return len(found)

    a_run_out(crew.technician, order.session)
    queries()
    few = queries()
    for corner in ("RF", "LF", "RF"):
        a_run_out(crew.technician, order.session, FLAT, position=corner)
    assert queries() == few
