"""Reports made quickly in tests: of two made-up sections, or whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from uuid import uuid4

import pytest
from django.utils import timezone

from jobs.models import MonthlyReport, MonthlyReportPaper, ReportMaking
from jobs.reports import frozen, office
from jobs.reports.document import Section, Span
from jobs.reports.monthly import issuing, making, months
from shop import clock
from shop.actor import Actor
from tests.factories import a_repair_order
from tests.jobs.reports.reports_made import COMEBACKS, FAILURES, a_report

OCTOBER = date(2026, 10, 1)
NOVEMBER_3 = timezone.make_aware(datetime(2026, 11, 3, 9, 30))  # noqa: DTZ001


class Office:
    """What the sections say; a test may change it as a correction would."""

    def __init__(self) -> None:
        self.failures: Section = FAILURES
        self.breaks = False

    def first(self, actor: Actor, span: Span) -> Section:
        if self.breaks:
            raise RuntimeError("no figures today")
        return replace(self.failures, title=f"{self.failures.title} to {span.until.day}")

    def second(self, actor: Actor, span: Span) -> Section:
        return COMEBACKS


@pytest.fixture
def two_sections(monkeypatch: pytest.MonkeyPatch) -> Office:
    said = Office()
    parts = (office.Part("failures", said.first), office.Part("odd", said.second))
    monkeypatch.setattr(office, "PARTS", parts)
    return said


@pytest.fixture
def november(bela: Actor) -> Iterator[Actor]:
    """The third of November in a workshop that took its first vehicle in on 20 September."""
    with clock.at(timezone.make_aware(datetime(2026, 9, 20, 8))):  # noqa: DTZ001
        a_repair_order(bela)
    with clock.at(NOVEMBER_3):
        yield bela


def a_report_row(actor: Actor, month: date = OCTOBER, serial: int = 1001) -> MonthlyReport:
    """An issued report without its making; its papers are no papers."""
    row: MonthlyReport = MonthlyReport.objects.create(
        workshop=actor.workshop,
        serial=serial,
        number=issuing.number_for(actor.workshop, serial),
        month=month,
        until=months.whole(month).until,
        issued_at=clock.now(),
        issued_by=actor.user,
    )
    MonthlyReportPaper.objects.create(
        report=row,
        document=frozen.to_json(a_report(months.whole(month))),
        a4=b"%PDF-1.7",
        letter=b"%PDF-1.7",
        a4_sha256="0" * 64,
        letter_sha256="0" * 64,
    )
    return row


def a_making_row(actor: Actor, month: date = OCTOBER) -> ReportMaking:
    """One that was begun and not gone on with."""
    row: ReportMaking = ReportMaking.objects.create(
        workshop=actor.workshop,
        month=month,
        until=months.whole(month).until,
        begun_at=clock.now(),
        begun_by=actor.user,
    )
    return row


def a_month_later(actor: Actor) -> None:
    """One more issued report, and one more under way, each of a month of its own."""
    count = MonthlyReport.objects.filter(workshop=actor.workshop).count()
    a_report_row(actor, date(2001 + count, 1, 1), 1001 + count)
    a_making_row(actor, date(2001 + count, 2, 1))


def begun(actor: Actor, month: date = OCTOBER, because: str = "") -> ReportMaking:
    return making.begin(actor, act=uuid4(), month=month, because=because)


def to_the_end(actor: Actor, row: ReportMaking) -> making.Progress:
    """All steps; stops where one fails."""
    progress = making.progress_of(row)
    while not progress.finished:
        before = progress.done
        progress = making.step(actor, progress.making)
        if progress.done == before:
            break
    return progress


def issued(actor: Actor, month: date = OCTOBER, because: str = "") -> MonthlyReport:
    done = to_the_end(actor, begun(actor, month, because)).making
    assert done.report is not None, done.failed_because
    return done.report
