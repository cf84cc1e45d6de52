"""The report on paper: what it says, its sizes, its tags, and the pages its contents name.

Sizes: ISO 216 (A4 210 x 297 mm) and ANSI/ASME Y14.1 (Letter 8.5 x 11 in) in points of 1/72 in;
tags, title and language: ISO 14289-1 (PDF/UA-1), from memory.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from jobs.reports.document import Report, ReportTable, Shown
from jobs.reports.monthly import measured
from jobs.reports.monthly.laid_out import tables_on_paper
from jobs.reports.monthly.paper import MOST_ON_THE_COVER, Paper, draw, pdf_of
from jobs.reports.queries import follow_up
from jobs.reports.stats.measured_limits import MEASURED
from shop.models import Workshop
from shop.tables import Column, Reads
from tests.jobs.reports.makings import NOVEMBER_3, a_report_row
from tests.jobs.reports.reports_made import RATES, a_report

SIZES = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}


def read(workshop: Workshop, report: Report, *, sheet: str = "A4", **more: Any) -> PdfReader:
    said: dict[str, Any] = {
        "issued_as": "QM1001",
        "at": NOVEMBER_3,
        "counted_at": NOVEMBER_3 - timedelta(hours=15, minutes=25),
        "by": "Vera S.",
    }
    paper = Paper(report, **said | more)
    return PdfReader(BytesIO(pdf_of(workshop, paper, sheet=sheet)))


def pages_of(reader: PdfReader) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in reader.pages]


@pytest.mark.parametrize("sheet", SIZES)
def test_every_page_has_the_size_of_its_paper(quay_street: Workshop, sheet: str) -> None:
    for page in read(quay_street, a_report(), sheet=sheet).pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(SIZES[sheet], abs=0.6)


def test_it_is_tagged_and_has_a_title_and_a_language(quay_street: Workshop) -> None:
    reader = read(quay_street, a_report())
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert str(root["/Lang"]).startswith("en")
    assert reader.metadata is not None
    assert reader.metadata.title == "Report for October 2026, QM1001"
    assert "pdfuaid:part" in root["/Metadata"].get_data().decode()


def test_pictures_say_in_words_what_is_to_be_seen(quay_street: Workshop) -> None:
    root: Any = read(quay_street, a_report()).trailer["/Root"]
    said = _alternatives(root["/StructTreeRoot"])
    assert any("Of a hundred that reach 12 months, about 91 reach 24." in one for one in said)
    assert any("Workmanship was decided twice" in one for one in said)


def test_the_cover_says_what_matters_and_what_it_is(quay_street: Workshop) -> None:
    cover = pages_of(read(quay_street, a_report()))[0]
    for words in (
        "QM1001",
        "October 2026",
        "31 October 2026",
        "3 November 2026, 09:30",
        "Vera S.",
        "Batch A17 fails more often.",
        "what had happened by 31 October 2026, as the books stood on 2 November 2026, 18:05",
        "Figures advise; a qualified person looks at the jobs, decides and signs.",
    ):
        assert words in cover, words
    assert "draft" not in cover.casefold()


def test_issued_by_the_command_says_so(quay_street: Workshop) -> None:
    assert "by itself, at the month’s end" in pages_of(read(quay_street, a_report(), by=""))[0]


def test_contents_name_the_pages_on_which_the_sections_stand(quay_street: Workshop) -> None:
    reader = read(quay_street, a_report())
    cover = pages_of(reader)[0]
    stands = dict(_outline(reader, reader.outline))
    numbers = []
    for title in ("Failures", "Comebacks", "How the figures are worked out"):
        after = cover.split(f"{title} . ", 1)[1]
        numbers.append(int(after.replace(".", "").split()[0]))
        assert numbers[-1] == stands[title], title
    assert numbers[0] == 2  # the cover is a page of its own
    assert numbers == sorted(numbers)
    assert numbers[-1] > numbers[-2]  # and so is the method


def test_every_page_carries_its_number_and_the_reports(quay_street: Workshop) -> None:
    pages = pages_of(read(quay_street, a_report()))
    assert len(pages) >= 4
    for number, page in enumerate(pages, 1):
        assert "Quay Street · QM1001" in page
        assert f"{number} / {len(pages)}" in page


def test_a_section_prints_its_tables_and_its_limits_beside_them(quay_street: Workshop) -> None:
    page = pages_of(read(quay_street, a_report()))[1]
    for words in (
        "Of 412 hubs 11 failed: 1.05 to 3.76 per 1000",
        "Failures by component",
        "2.10 (1.05 to 3.76)",
        "too few to judge",
        "Failures repaired elsewhere are not seen.",
        "Below ten at risk no line is drawn.",
        "Limits are exact (Garwood), 95 %.",
        "Units seen: How many were looked at",
    ):
        assert words in page, words


def test_a_table_of_many_columns_stays_on_its_sheet(quay_street: Workshop) -> None:
    """Thirteen amounts are set in two, across the stub: every cell ends left of the margin."""
    sums = (Column(f"Sum {at}", "What it cost", Reads.AMOUNT) for at in range(13))
    columns = (Column("Component", "What failed"), *sums)
    row = (Shown("Motor-driven pressure modulator"), *(Shown("$12\u202f345.67"),) * 13)
    table = ReportTable("wide", "By component", columns, (row,) * 5, "In the order of names.")
    section = replace(a_report().sections[1], tables=(table,))
    for sheet, (width, _height) in SIZES.items():
        reader = read(quay_street, a_report(sections=(section,)), sheet=sheet)
        cells: list[float] = []

        def look(words: str, cm: Any, tm: Any, *rest: Any, into: list[float] = cells) -> None:
            if words.strip().startswith("$"):
                into.append(tm[4] * cm[0] + tm[5] * cm[2] + cm[4])

        reader.pages[1].extract_text(visitor_text=look)
        assert len(cells) == 5 * 13
        room = (13 + 8) * 72 / 25.4  # the margin, and an amount of ten characters
        assert 0 < min(cells) < max(cells) < width - room, (sheet, cells)
    first, second = tables_on_paper([table])
    assert "counted--wide" in first.looks.split()
    assert [len(one.table.columns) for one in (first, second)] == [8, 7]
    names = [column.name for one in (first, second) for column in one.table.columns[1:]]
    assert names == [column.name for column in columns[1:]]
    assert (first.table.note, second.table.note) == ("", "In the order of names.")


def test_no_sentence_stands_twice_wherever_the_pages_break(quay_street: Workshop) -> None:
    """What floats in the stub beside a table goes to the next page with it, and its end would be
    left on the page before: so what is noted of a table stands beneath it."""
    [told, section] = a_report().sections[:2]
    columns = (Column("Component", "What failed"), Column("Price", "Of them", Reads.AMOUNT))
    rows = tuple((Shown(f"Hub {at}"), Shown("$1.00")) for at in range(9))
    note = " ".join(f"Rule {at} of this note is told in so many words." for at in range(12))
    table = ReportTable("prices", "By component", columns, rows, note)
    for lines in range(20, 44, 4):
        says = tuple(f"Sentence {at}." for at in range(lines))
        moved = replace(section, says=says, tables=(table,), figures=())
        text = " ".join(pages_of(read(quay_street, a_report(sections=(told, moved)))))
        assert [text.count(f"Rule {at} of this note") for at in range(12)] == [1] * 12, lines


def test_what_a_column_means_is_told_once_in_a_section() -> None:
    twice = tables_on_paper([RATES, replace(RATES, key="again")])
    assert [one.name for one in twice[0].told] == [column.name for column in RATES.columns]
    assert twice[1].told == ()


def test_the_method_is_told_in_plain_words(quay_street: Workshop) -> None:
    text = " ".join(pages_of(read(quay_street, a_report())))
    for words in (
        "Failures found at the first visit",
        "How long a vehicle is followed",
        "p is the chance of a split",
        "Until then it counts",
        "They advise.",
        "Garwood, Biometrika 28 (1936)",
    ):
        assert words in text, words


def test_a_draft_says_on_every_page_that_it_is_one(quay_street: Workshop) -> None:
    pages = pages_of(read(quay_street, a_report(), issued_as="", at=None, by=""))
    assert "A draft. Its month may still change it" in pages[0]
    assert all("Quay Street · draft" in page for page in pages)
    assert not any("Issued" in page for page in pages[:1])


def test_a_revision_says_on_its_cover_what_changed_and_why(vera: Any) -> None:
    old = a_report_row(vera)
    changed = tuple(f"Failures, Hub {number}: 12, was 11" for number in range(30))
    more: dict[str, Any] = {
        "revises": old,
        "because": "two jobs were entered late",
        "changed": changed,
    }
    reader = read(vera.workshop, a_report(), issued_as="QM1002", **more)
    pages = pages_of(reader)
    assert "What changed against QM1001" in pages[0]
    assert "“two jobs were entered late”" in pages[0]
    assert "Failures, Hub 0: 12, was 11" in pages[0]
    assert f"And {30 - MOST_ON_THE_COVER} lines more" in pages[0]
    (at,) = [page for page in pages if page.startswith("All that changed")]
    assert "Failures, Hub 29: 12, was 11" in at


def test_words_that_look_like_markup_are_words(quay_street: Workshop) -> None:
    whole = a_report()
    odd = replace(whole.findings[0], words="<b>10</b> & more failed.")
    assert (
        "<b>10</b> & more failed."
        in pages_of(read(quay_street, replace(whole, findings=(odd,))))[0]
    )


def test_a_report_of_nothing_is_a_paper_all_the_same(quay_street: Workshop) -> None:
    pages = pages_of(read(quay_street, a_report(findings=(), sections=())))
    assert "October 2026" in pages[0]


def test_all_charts_are_drawn_once_before() -> None:
    assert draw(a_report()) == 2


def _outline(reader: PdfReader, marks: Any) -> list[tuple[str, int]]:
    """Every bookmark with the number of its page."""
    found = []
    for one in marks:
        if isinstance(one, list):
            found += _outline(reader, one)
        else:
            found.append((str(one.title), 1 + (reader.get_destination_page_number(one) or 0)))
    return found


def _alternatives(node: Any, depth: int = 0) -> list[str]:
    """Every alternative text of the tree of tags."""
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        return [said for one in node for said in _alternatives(one, depth)]
    if not isinstance(node, dict):
        return []
    found = [str(node["/Alt"])] if "/Alt" in node else []
    return found + (_alternatives(node["/K"], depth + 1) if "/K" in node else [])


def test_what_was_measured_of_the_limits_is_quoted_as_it_was_measured() -> None:
    """The page says what the report does: all are followed as long as customers would have come."""
    assert (measured.FOLLOWED == "level") == ("followed_for" in vars(follow_up))
    used = [one for one in MEASURED if one.follow == measured.FOLLOWED and not one.case]
    shares = [100 * one for row in used for one in (row.rate, row.young, row.old) if one]
    low, high = (f"{one:.1f}".removesuffix(".0") for one in (min(shares), max(shares)))
    assert f"in {low} to {high} % of them" in measured.said()
    rows = measured.table().rows
    assert [row[4].words for row in rows if row[1].words == "as in this report"] == [
        f"{100 * one.rate:.1f}".removesuffix(".0")
        for one in MEASURED
        if one.follow == measured.FOLLOWED and one.rate and "more than another" not in one.case
    ]
