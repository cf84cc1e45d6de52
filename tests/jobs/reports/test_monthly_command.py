"""The command at the month's end: issued once for each workshop, and mailed where one can."""

from __future__ import annotations

from datetime import date, datetime
from io import StringIO
from smtplib import SMTPServerDisconnected
from uuid import uuid4

import pytest
from django.core import mail
from django.core.mail.backends import locmem
from django.core.management import CommandError, call_command
from django.utils import timezone
from pytest_django.fixtures import Settings

from jobs.models import MonthlyReport, ReportMaking
from jobs.reports.monthly import mailing
from shop import clock
from shop.actor import Actor
from shop.models import LogEntry, Workshop
from tests.asserts import refused
from tests.jobs.reports.makings import (
    OCTOBER,
    Office,
    begun,
    issued,
    november,
    to_the_end,
    two_sections,
)

__all__ = ["november", "two_sections"]


def run(*args: str) -> str:
    out = StringIO()
    call_command("monthly", *args, stdout=out)
    return out.getvalue()


@pytest.fixture
def server(settings: Settings) -> Settings:
    """A mail server, and Vera's address for Quay Street alone."""
    settings.EMAIL_HOST = "mail.example"
    settings.REPORTS_TO = ["quay-street=vera@example.com", "millrace=pim@example.com"]
    return settings


def test_the_last_whole_month_is_issued_once(november: Actor, two_sections: Office) -> None:
    said = run()
    assert "Quay Street: issued QM1001." in said
    assert "Not mailed: no mail server is set." in said
    report = MonthlyReport.objects.get()
    assert (report.month, report.issued_by) == (OCTOBER, None)
    again = run()
    assert "October 2026 was issued already, as QM1001." in again
    assert MonthlyReport.objects.count() == 1
    (line,) = LogEntry.objects.filter(kind="report")
    assert line.by is None


def test_another_month_and_one_workshop_can_be_asked_for(
    november: Actor, two_sections: Office
) -> None:
    run("--month", "2026-09", "--workshop", "quay-street")
    assert MonthlyReport.objects.get().month == date(2026, 9, 1)


def test_a_workshop_that_has_nothing_yet_stops_no_other(
    millrace: Workshop, november: Actor, two_sections: Office
) -> None:
    said = run()
    assert "Millrace: No vehicle was taken in yet, so there is nothing to report." in said
    assert "Quay Street: issued QM1001." in said


def test_it_goes_on_with_what_somebody_began(november: Actor, two_sections: Office) -> None:
    begun(november)
    run()
    report = MonthlyReport.objects.get()
    assert report.issued_by == november.user
    assert ReportMaking.objects.get().report == report


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--month", "2026-13"), "Write the month as 2026-10"),
        (("--month", "October"), "Write the month as 2026-10"),
        (("--month", "2026-1-1"), "Write the month as 2026-10"),
        (("--month", "2026-11"), "No report for Quay Street"),
        (("--month", "2020-01"), "No report for Quay Street"),
        (("--workshop", "nowhere"), "no workshop with the short name “nowhere”"),
        (("--to", "vera at home"), "“vera at home” is no e-mail address"),
    ],
)
def test_nonsense_is_answered_and_issues_nothing(
    november: Actor, args: tuple[str, ...], says: str
) -> None:
    with pytest.raises(CommandError, match=says):
        run(*args)
    assert not MonthlyReport.objects.exists()


def test_a_step_that_fails_is_an_error_of_the_command(
    november: Actor, two_sections: Office
) -> None:
    two_sections.breaks = True
    out = StringIO()
    with pytest.raises(CommandError, match="No report for Quay Street"):
        call_command("monthly", "--month", "2026-10", stdout=out)
    assert "“Count what had happened by the month’s last day” failed" in out.getvalue()
    two_sections.breaks = False
    assert "issued QM1001" in run()


def test_a_failure_in_the_plain_run_is_an_error_too(november: Actor, two_sections: Office) -> None:
    two_sections.breaks = True
    with pytest.raises(CommandError, match="No report for Quay Street"):
        run()


# ------------------------------------------------------------------ mail


def test_it_is_mailed_to_the_addresses_of_its_workshop(
    november: Actor, two_sections: Office, server: Settings
) -> None:
    assert "mailed QM1001 to vera@example.com." in run()
    (sent,) = mail.outbox
    assert sent.to == ["vera@example.com"]
    assert sent.subject == "Quay Street: report for October 2026 (QM1001)"
    assert "- Batch A17 fails more often." in str(sent.body)
    report = MonthlyReport.objects.get()
    (attachment,) = sent.attachments
    assert tuple(attachment) == ("QM1001.pdf", bytes(report.paper.a4), "application/pdf")
    assert report.mailed_to == "vera@example.com"
    run()
    assert len(mail.outbox) == 1


def test_the_workshops_own_paper_is_mailed(
    november: Actor, two_sections: Office, server: Settings
) -> None:
    Workshop.objects.filter(pk=november.workshop.pk).update(paper="Letter")
    run()
    report = MonthlyReport.objects.get()
    assert tuple(mail.outbox[0].attachments[0])[1] == bytes(report.paper.letter)


def test_addresses_of_the_command_come_before_those_of_the_settings(
    november: Actor, two_sections: Office, server: Settings
) -> None:
    run("--to", "a@example.com", "--to", "b@example.com")
    assert [sent.to for sent in mail.outbox] == [["a@example.com", "b@example.com"]]


def test_a_server_without_addresses_says_so(
    november: Actor, two_sections: Office, settings: Settings
) -> None:
    settings.EMAIL_HOST, settings.REPORTS_TO = "mail.example", []
    assert "no address is set for the reports of this workshop" in run()
    assert not mail.outbox


def test_a_server_that_fails_does_not_undo_the_issue_and_is_tried_again(
    november: Actor, two_sections: Office, server: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(self: object, messages: object) -> int:
        raise SMTPServerDisconnected("gone")

    with monkeypatch.context() as patch:
        patch.setattr(locmem.EmailBackend, "send_messages", gone)
        assert "Not mailed: the mail server did not take it." in run()
    report = MonthlyReport.objects.get()
    assert (report.number, report.mailed_to) == ("QM1001", "")
    assert "mailed QM1001 to vera@example.com." in run()


def test_a_report_made_by_a_person_is_mailed_as_its_last_step(
    november: Actor, two_sections: Office, server: Settings
) -> None:
    progress = to_the_end(november, begun(november))
    assert progress.finished
    assert progress.steps[-1] == "Mail it"
    assert len(mail.outbox) == 1


def test_a_revision_says_in_its_mail_what_it_revises(
    november: Actor, two_sections: Office, server: Settings
) -> None:
    issued(november)
    two_sections.failures = two_sections.failures.__class__("failures", "Failures", ("None.",))
    issued(november, because="entered late")
    assert str(mail.outbox[1].body).startswith("This revises QM1001: entered late")


def test_mailing_once_more_is_for_those_who_may_issue(
    november: Actor, ines: Actor, two_sections: Office, server: Settings
) -> None:
    report = issued(november)
    with refused(says="owner or the service manager"):
        mailing.mail_again(ines, act=uuid4(), report=report)
    assert mailing.mail_again(november, act=uuid4(), report=report) == ""
    assert len(mail.outbox) == 2


def test_on_the_last_day_of_a_month_it_is_not_over_and_on_the_first_it_is(
    november: Actor, two_sections: Office
) -> None:
    for day, expected in ((30, OCTOBER), (1, date(2026, 11, 1))):
        month = 11 if day == 30 else 12
        with clock.at(timezone.make_aware(datetime(2026, month, day, 23, 59))):  # noqa: DTZ001
            run()
        assert MonthlyReport.objects.first().month == expected  # type: ignore[union-attr]
