"""The pages of monthly reports: making one with and without JavaScript, reading it, its files."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import uuid4

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader
from pytest_django.fixtures import Settings

from jobs.models import MonthlyReport, ReportMaking
from jobs.reports import frozen
from jobs.reports.document import Shown
from shop.actor import Actor
from tests.asserts import text_of
from tests.cast import client_of
from tests.jobs.reports.makings import (
    OCTOBER,
    Office,
    a_report_row,
    begun,
    issued,
    november,
    two_sections,
)
from tests.jobs.reports.reports_made import a_report, with_cell

__all__ = ["november", "two_sections"]


def at(actor: Actor, name: str, *args: object) -> str:
    return reverse(name, args=[actor.workshop.slug, *args])


@pytest.fixture
def desk(november: Actor) -> Client:
    return client_of(november)


def test_without_javascript_each_press_does_a_step(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    fields: dict[str, Any] = {"act": uuid4(), "month": "2026-10"}
    answer = desk.post(at(november, "report-make"), fields)
    assert answer.status_code == 303
    url = answer.headers["Location"]
    for _press in range(10):
        row = ReportMaking.objects.get()
        if row.report_id:
            break
        page = text_of(desk.get(url))
        assert f"{row.step} of 6 steps are done." in page
        answer = desk.post(at(november, "report-step", row.pk), {"seen": row.step})
        url = answer.headers["Location"]
    report = MonthlyReport.objects.get()
    assert url == at(november, "report", report.number)
    page = text_of(desk.get(url))
    assert "Issued. The report is kept as it is now." in page
    assert "Batch A17 fails more often." in page


def test_with_javascript_the_part_asks_for_the_next_step(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    row = begun(november)
    page = desk.get(at(november, "report-making", row.pk)).content.decode()
    assert "load delay" not in page
    page = desk.get(at(november, "report-making", row.pk), {"go": "on"}).content.decode()
    assert 'hx-trigger="load delay:50ms, submit"' in page
    part = desk.post(
        at(november, "report-step", row.pk), {"seen": 0}, headers={"HX-Request": "true"}
    ).content.decode()
    assert "<html" not in part
    assert '<progress max="6" value="1"' in part
    assert "load delay" in part
    seen = 1
    for seen in range(1, 6):
        answer = desk.post(
            at(november, "report-step", row.pk), {"seen": seen}, headers={"HX-Request": "true"}
        )
    assert answer.headers["HX-Redirect"] == at(november, "report", "QM1001")


def test_a_step_pressed_twice_is_done_once(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    row = begun(november)
    for _press in range(2):
        desk.post(at(november, "report-step", row.pk), {"seen": 0})
    row.refresh_from_db()
    assert row.step == 1


def test_a_step_that_fails_says_so_and_asks_before_it_goes_on(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    two_sections.breaks = True
    row = begun(november)
    part = desk.post(
        at(november, "report-step", row.pk), {"seen": 0}, headers={"HX-Request": "true"}
    )
    assert "failed; the server’s log says why" in text_of(part)
    assert "Try it again" in text_of(part)
    assert "load delay" not in part.content.decode()


def test_given_up_it_leaves_the_list(november: Actor, desk: Client) -> None:
    row = begun(november)
    assert "October 2026 is being made" in text_of(desk.get(at(november, "reports")))
    desk.post(at(november, "report-give-up", row.pk), {"act": uuid4()})
    page = text_of(desk.get(at(november, "reports")))
    assert "is being made" not in page
    assert "Given up. Nothing was issued." in page


@pytest.mark.parametrize("month", ["", "2026-11", "2026-12", "2020-01", "nonsense", "2026-10-01"])
def test_a_month_that_cannot_be_issued_is_refused_beside_its_field(
    november: Actor, desk: Client, month: str
) -> None:
    answer = desk.post(at(november, "report-make"), {"act": uuid4(), "month": month})
    assert answer.status_code == 200
    page = text_of(answer)
    assert "That month cannot be issued" in page or "Choose a month." in page
    assert not ReportMaking.objects.exists()


def test_only_months_that_can_be_issued_are_offered(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    issued(november)
    page = desk.get(at(november, "reports")).content.decode()
    assert 'value="2026-09"' in page
    assert 'value="2026-10"' not in page


def test_a_workshop_that_opened_today_says_when_the_first_report_is(vera: Actor) -> None:
    page = text_of(client_of(vera).get(at(vera, "reports")))
    assert "No report yet" in page


def test_papers_are_given_out_byte_for_byte(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    report = issued(november)
    for sheet, kept in (("A4", report.paper.a4), ("Letter", report.paper.letter)):
        answer = desk.get(at(november, "report-pdf", report.number), {"paper": sheet})
        assert answer.content == bytes(kept)
        assert f"QM1001-{sheet}.pdf" in answer.headers["Content-Disposition"]
    plain = desk.get(at(november, "report-pdf", report.number.lower()))
    assert plain.content == bytes(report.paper.a4)


def test_files_are_made_of_what_was_kept(november: Actor, desk: Client) -> None:
    row = a_report_row(november)
    answer: Any = desk.get(at(november, "report-csv", row.number, "failure-rates"))
    lines = list(csv.reader(io.StringIO(answer.getvalue().decode("utf-8-sig"))))
    assert lines[1][0] == "Hub and sensor"
    assert desk.get(at(november, "report-csv", row.number, "nothing")).status_code == 404
    answer = desk.get(at(november, "report-book", row.number))
    book = openpyxl.load_workbook(io.BytesIO(answer.getvalue()))
    assert "Failures by component" in book.sheetnames
    answer = desk.get(at(november, "report-json", row.number))
    assert frozen.from_json(answer.content.decode()) == a_report()


def test_the_page_shows_what_was_kept_and_leads_to_the_jobs(november: Actor, desk: Client) -> None:
    row = a_report_row(november)
    page = desk.get(at(november, "report", row.number)).content.decode()
    assert "Of 412 hubs 11 failed" in page
    assert "Failures repaired elsewhere are not seen." in page
    assert "/office/fitted/7/?exit=failed" in page


def test_a_revision_is_made_from_the_page_and_both_point_at_each_other(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    first = issued(november)
    answer = desk.post(at(november, "report-revise", first.number), {"act": uuid4(), "because": ""})
    assert "Say why; it stands on the cover." in text_of(answer)
    other = with_cell(a_report(), "failure-rates", 0, 3, Shown("12", 12))
    two_sections.failures = other.sections[0]
    fields = {"act": uuid4(), "because": "a job was entered late"}
    desk.post(at(november, "report-revise", first.number), fields)
    row = ReportMaking.objects.get(report__isnull=True)
    for seen in range(7):
        desk.post(at(november, "report-step", row.pk), {"seen": seen})
    old = text_of(desk.get(at(november, "report", "QM1001")))
    assert "Revised by QM1002" in old
    assert "Make a revision" not in old
    new = text_of(desk.get(at(november, "report", "QM1002")))
    assert "What changed against QM1001" in new
    assert "Failures by component, Hub and sensor, Failures: 12, was 11" in new
    paper = PdfReader(io.BytesIO(bytes(MonthlyReport.objects.get(revision=1).paper.a4)))
    cover = " ".join(paper.pages[0].extract_text().split())
    assert "Failures by component, Hub and sensor, Failures: 12, was 11" in cover


def test_a_revision_that_changes_nothing_ends_with_a_sentence(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    first = issued(november)
    fields = {"act": uuid4(), "because": "to be sure"}
    desk.post(at(november, "report-revise", first.number), fields)
    row = ReportMaking.objects.get(report__isnull=True)
    for seen in range(2):
        answer = desk.post(at(november, "report-step", row.pk), {"seen": seen})
    assert answer.headers["Location"] == at(november, "reports")
    assert "Nothing has changed since QM1001" in text_of(desk.get(at(november, "reports")))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_month_under_way_is_a_draft(
    november: Actor, desk: Client, two_sections: Office, paper: str
) -> None:
    answer = desk.get(at(november, "report-draft", "2026-11"), {"paper": paper})
    pages = PdfReader(io.BytesIO(answer.content)).pages
    assert "A draft." in pages[0].extract_text()
    assert "Failures to 3" in " ".join(page.extract_text() for page in pages)
    assert not MonthlyReport.objects.exists()


@pytest.mark.parametrize("month", ["2026-12", "2020-01", "2026-00", "x", "9999-12", "0001-01"])
def test_a_draft_of_no_month_leads_back_with_a_sentence(
    november: Actor, desk: Client, month: str
) -> None:
    answer = desk.get(at(november, "report-draft", month), follow=True)
    assert answer.redirect_chain == [(at(november, "reports"), 303)]
    page = text_of(answer)
    assert any(
        words in page for words in ("has not begun yet", "nothing to report", "Write the month as")
    )


def test_it_is_mailed_once_more_by_a_button(
    november: Actor, desk: Client, settings: Settings, mailoutbox: list[Any]
) -> None:
    row = a_report_row(november)
    assert "Mail it" not in text_of(desk.get(at(november, "report", row.number)))
    settings.EMAIL_HOST, settings.REPORTS_TO = "mail.example", ["vera@example.com"]
    act = uuid4()
    for _sending in range(2):
        desk.post(at(november, "report-mail", row.number), {"act": act})
    assert len(mailoutbox) == 1
    assert "Mailed to vera@example.com." in text_of(desk.get(at(november, "report", row.number)))


def test_strangers_find_no_report(november: Actor, pim: Actor) -> None:
    row = a_report_row(november)
    stranger = client_of(pim)
    assert stranger.get(at(november, "report", row.number)).status_code == 404
    assert stranger.get(at(pim, "report", row.number)).status_code == 404
    assert stranger.get(at(pim, "report-making", begun(november, date(2026, 9, 1)).pk)).status_code
    answer = stranger.get(at(pim, "report-making", ReportMaking.objects.get().pk))
    assert answer.status_code == 404


def test_a_kept_report_that_cannot_be_read_says_no_falsehood(november: Actor, desk: Client) -> None:
    """Something is wrong with the database itself: the page breaks, its papers are still there."""
    row = a_report_row(november, OCTOBER)
    type(row.paper).objects.filter(report=row).update(document="{}")
    with pytest.raises(frozen.FrozenError):
        desk.get(at(november, "report", row.number))
    assert desk.get(at(november, "report-pdf", row.number)).status_code == 200


def test_the_same_words_in_another_order_of_rows_are_no_revision(
    november: Actor, desk: Client, two_sections: Office
) -> None:
    issued(november)
    (table,) = two_sections.failures.tables
    turned = replace(table, rows=table.rows[::-1])
    two_sections.failures = replace(two_sections.failures, tables=(turned,))
    row = begun(november, because="sorted anew")
    for seen in range(3):
        desk.post(at(november, "report-step", row.pk), {"seen": seen})
    assert not ReportMaking.objects.filter(pk=row.pk).exists()
