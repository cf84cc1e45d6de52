"""A report is made step by step, numbered without a gap, and kept byte for byte."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from hashlib import sha256
from io import BytesIO
from uuid import uuid4

import pytest
from django.db import connection
from pypdf import PdfReader

from jobs.models import MonthlyReport, NumberSeries, ReportMaking
from jobs.reports import frozen, office
from jobs.reports.document import Section, Span
from jobs.reports.monthly import issuing, making
from jobs.reports.monthly.made import Made, from_text, to_text
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import LogEntry, Workshop
from tests.asserts import refused
from tests.cast import person
from tests.jobs.reports.makings import (
    NOVEMBER_3,
    OCTOBER,
    Office,
    begun,
    issued,
    november,
    to_the_end,
    two_sections,
)
from tests.jobs.reports.reports_made import COMEBACKS, FAILURES

__all__ = ["november", "two_sections"]
SEPTEMBER = date(2026, 9, 1)


def test_it_is_issued_numbered_and_kept(november: Actor, two_sections: Office) -> None:
    report = issued(november)
    assert (report.number, report.serial, report.revision) == ("QM1001", 1001, 0)
    assert (report.month, report.until) == (OCTOBER, date(2026, 10, 31))
    assert (report.issued_by, report.issued_at) == (november.user, NOVEMBER_3)
    kept = frozen.from_json(report.paper.document)
    assert [one.key for one in kept.sections] == ["failures", "comebacks"]
    assert kept.sections[0].title == "Failures to 31"
    assert [one.words for one in kept.findings] == ["Batch A17 fails more often."]
    for sheet in (report.paper.a4, report.paper.letter):
        assert bytes(sheet).startswith(b"%PDF-1.7")
    assert report.paper.a4_sha256 == sha256(bytes(report.paper.a4)).hexdigest()
    assert report.paper.letter_sha256 == sha256(bytes(report.paper.letter)).hexdigest()
    (line,) = LogEntry.objects.filter(kind="report")
    assert (line.by, line.subject_id) == (november.user, report.pk)
    assert line.words == "issued QM1001, the report for October 2026"


def test_what_was_made_on_the_way_is_kept_no_longer(november: Actor, two_sections: Office) -> None:
    report = issued(november)
    assert report.making.document == ""
    assert not ReportMaking.objects.filter(report__isnull=True).exists()


def test_numbers_follow_each_other_over_months_and_revisions(
    november: Actor, two_sections: Office
) -> None:
    first, second = issued(november), issued(november, SEPTEMBER)
    two_sections.failures = replace(two_sections.failures, says=("Nothing failed.",))
    third = issued(november, because="two jobs were entered late")
    assert [one.number for one in (first, second, third)] == ["QM1001", "QM1002", "QM1003"]


def test_it_can_go_on_later_where_it_stopped(november: Actor, two_sections: Office) -> None:
    row = begun(november)
    assert making.step(november, row).done == 1
    later = ReportMaking.objects.get(pk=row.pk)
    assert from_text(later.document).counted_at == NOVEMBER_3
    with clock.at(NOVEMBER_3 + timedelta(days=1)):
        assert to_the_end(november, later).finished


def test_its_figures_are_of_one_day_though_it_is_finished_on_another(
    november: Actor, two_sections: Office
) -> None:
    """Counted on the third; on the fourth, after a correction of the books, set and issued."""
    row = making.step(november, begun(november)).making
    two_sections.failures = replace(two_sections.failures, says=("Nothing failed.",))
    with clock.at(NOVEMBER_3 + timedelta(days=1)):
        report = to_the_end(november, row).making.report
    assert report is not None
    kept = frozen.from_json(report.paper.document)
    assert [one.says for one in kept.sections] == [FAILURES.says, COMEBACKS.says]
    paper = " ".join(PdfReader(BytesIO(bytes(report.paper.a4))).pages[0].extract_text().split())
    assert "as the books stood on 3 November 2026, 09:30" in paper
    assert "4 November 2026, 09:30" in paper


@pytest.mark.django_db(transaction=True)
def test_all_sections_read_the_same_state_of_the_books(
    november: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each is asked within one transaction; tests/shop/test_one_state.py tries what it sees."""
    within: list[bool] = []

    def build(actor: Actor, span: Span) -> Section:
        within.append(connection.in_atomic_block)
        return FAILURES

    parts = (office.Part("failures", build), office.Part("odd", build))
    monkeypatch.setattr(office, "PARTS", parts)
    making.step(november, begun(november))
    assert within == [True, True]


def test_a_step_sent_twice_is_done_once(november: Actor, two_sections: Office) -> None:
    row = begun(november)
    twin = ReportMaking.objects.get(pk=row.pk)
    making.step(november, row)
    assert making.step(november, twin).done == 1
    assert len(from_text(ReportMaking.objects.get(pk=row.pk).document).sections) == 2


def test_a_form_sent_twice_begins_once(november: Actor, two_sections: Office) -> None:
    act = uuid4()
    making.begin(november, act=act, month=OCTOBER)
    with pytest.raises(AlreadyDone):
        making.begin(november, act=act, month=OCTOBER)


def test_two_who_press_make_one_report(november: Actor, vera: Actor, two_sections: Office) -> None:
    first, second = begun(november), begun(vera)
    assert first == second
    to_the_end(november, first)
    assert to_the_end(vera, second).finished
    assert MonthlyReport.objects.count() == 1


def test_papers_with_yesterdays_date_are_made_anew(november: Actor, two_sections: Office) -> None:
    row = begun(november)
    while making.progress_of(row).next_words != "Number it and keep it":
        row = making.step(november, row).making
    tomorrow = NOVEMBER_3 + timedelta(days=1)
    with clock.at(tomorrow):
        report = making.step(november, row).making.report
    assert report is not None
    assert report.issued_at == tomorrow


def test_a_number_that_was_given_meanwhile_leaves_no_gap(
    november: Actor, two_sections: Office
) -> None:
    """Both papers carried 1001; the second is set anew."""
    rows = [begun(november), begun(november, SEPTEMBER)]
    for at, row in enumerate(rows):
        while making.progress_of(row).next_words != "Number it and keep it":
            row = making.step(november, row).making
        assert from_text(row.document).number == "QM1001"
        rows[at] = row
    numbers = []
    for row in rows:
        report = making.step(november, row).making.report
        assert report is not None
        numbers.append(report.number)
        assert NumberSeries.objects.get(kind=issuing.KIND).last == report.serial
    assert numbers == ["QM1001", "QM1002"]


def test_a_step_that_fails_says_so_and_can_be_tried_again(
    november: Actor, two_sections: Office, caplog: pytest.LogCaptureFixture
) -> None:
    two_sections.breaks = True
    progress = to_the_end(november, begun(november))
    assert progress.done == 0
    assert progress.making.failed_because.startswith("“Count what had happened")
    assert "no figures today" in caplog.text
    two_sections.breaks = False
    progress = to_the_end(november, progress.making)
    assert (progress.finished, progress.making.failed_because) == (True, "")


def test_given_up_it_is_gone_and_nothing_was_issued(november: Actor, two_sections: Office) -> None:
    row = begun(november)
    twin = ReportMaking.objects.get(pk=row.pk)
    making.give_up(november, act=uuid4(), making=row)
    assert not ReportMaking.objects.exists()
    with refused(says="gave this report up"):
        making.step(november, twin)
    assert not MonthlyReport.objects.exists()
    assert issued(november).number == "QM1001"


def test_an_issued_report_cannot_be_given_up(november: Actor, two_sections: Office) -> None:
    report = issued(november)
    with refused(says="issued meanwhile"):
        making.give_up(november, act=uuid4(), making=report.making)


# ------------------------------------------------------------------ which month


def test_a_month_under_way_is_not_issued(november: Actor) -> None:
    with refused(field="month", says="from 1 December 2026 on"):
        begun(november, date(2026, 11, 1))


def test_a_month_to_come_is_refused(november: Actor) -> None:
    with refused(field="month", says="December 2026 has not begun"):
        begun(november, date(2026, 12, 1))


def test_a_month_before_the_first_vehicle_is_refused(november: Actor) -> None:
    with refused(field="month", says="nothing to report of August 2026"):
        begun(november, date(2026, 8, 1))


def test_the_month_of_the_first_vehicle_is_issued(november: Actor, two_sections: Office) -> None:
    assert issued(november, SEPTEMBER).until == date(2026, 9, 30)


def test_a_workshop_without_a_vehicle_has_nothing_to_report(vera: Actor) -> None:
    with refused(says="No vehicle was taken in yet"):
        begun(vera)


def test_a_technician_makes_no_report(november: Actor, ines: Actor) -> None:
    with refused(says="owner or the service manager"):
        begun(ines)


# ------------------------------------------------------------------ revisions


def test_a_month_that_was_issued_is_revised_with_a_reason(
    november: Actor, two_sections: Office
) -> None:
    first = issued(november)
    with refused(field="because", says="as QM1001"):
        begun(november)
    with refused(field="because", says="At most 1000"):
        begun(november, because="x" * 1001)
    two_sections.failures = replace(two_sections.failures, says=("Nothing failed.",), limits=())
    second = issued(november, because="  two jobs were entered late ")
    assert (second.revision, second.revises, second.because) == (
        1,
        first,
        "two jobs were entered late",
    )
    assert second.changed.splitlines() == [
        "Failures to 31: now it says “Nothing failed.”",
        f"Failures to 31: it no longer says “{FAILURES.says[0]}”",
        "Failures to 31: it no longer says “Failures repaired elsewhere are not seen.”",
    ]
    assert first.revised_by == second
    first.refresh_from_db()
    assert "Of 412 hubs" in first.paper.document


def test_the_reason_of_a_second_who_revises_meanwhile_is_not_lost_in_silence(
    november: Actor, two_sections: Office
) -> None:
    issued(november)
    first = begun(november, because="two jobs were entered late")
    with refused(field="because", says="because: “two jobs were entered late”"):
        begun(november, because="a batch was typed wrong")
    assert begun(november, because=" two jobs were entered late ") == first
    first.refresh_from_db()
    assert first.because == "two jobs were entered late"


def test_a_revision_of_a_revision_is_held_against_the_last(
    november: Actor, two_sections: Office
) -> None:
    issued(november)
    for says in ("One failed.", "Two failed."):
        two_sections.failures = replace(two_sections.failures, says=(says,))
        last = issued(november, because="found in the books")
    assert last.revision == 2
    assert last.changed.splitlines() == [
        "Failures to 31: now it says “Two failed.”",
        "Failures to 31: it no longer says “One failed.”",
    ]


def test_a_revision_that_changes_nothing_is_refused_and_ended(
    november: Actor, two_sections: Office
) -> None:
    issued(november)
    row = begun(november, because="to be sure")
    with refused(says="Nothing has changed since QM1001"):
        to_the_end(november, row)
    assert MonthlyReport.objects.count() == 1
    assert not ReportMaking.objects.filter(report__isnull=True).exists()


def test_another_workshop_counts_on_its_own(
    november: Actor, millrace: Workshop, two_sections: Office
) -> None:
    issued(november)
    stranger = person(millrace, "Pim D.", *november.roles)
    with refused(says="No vehicle was taken in"):
        begun(stranger)


def test_what_is_made_so_far_is_kept_exactly() -> None:
    made = Made((), NOVEMBER_3, ("a, was b",), "QM1001", NOVEMBER_3, (("A4", b"%PDF\x00\xff"),))
    assert from_text(to_text(made)) == made
    with pytest.raises(frozen.FrozenError):
        from_text('{"sections": ""}')
