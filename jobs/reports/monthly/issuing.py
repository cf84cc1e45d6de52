"""A report is issued: numbered without a gap, kept byte for byte, and never changed again."""

from __future__ import annotations

from hashlib import sha256

from django.db import transaction
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from jobs.models import MonthlyReport, MonthlyReportPaper, NumberSeries, ReportMaking
from jobs.reports import frozen
from jobs.reports.document import Report
from jobs.reports.monthly.made import Made
from jobs.reports.monthly.months import named
from jobs.services.numbers import FIRST, next_number
from shop import clock
from shop.actor import Actor
from shop.models import Workshop
from shop.services import log

LETTER = "M"
KIND = "report"


class NumberTaken(Exception):
    """Another report was issued under the number that stands on the papers; make them anew."""


def number_for(workshop: Workshop, serial: int) -> str:
    return f"{workshop.order_prefix}{LETTER}{serial}"


def coming_number(workshop: Workshop) -> str:
    """What the next report will be called, unless another is issued before it."""
    last = NumberSeries.objects.filter(workshop=workshop, kind=KIND).values_list("last", flat=True)
    return number_for(workshop, (last.first() or FIRST - 1) + 1)


def latest_of(making: ReportMaking) -> MonthlyReport | None:
    """The report of that month that this one would revise."""
    rows = MonthlyReport.objects.filter(workshop=making.workshop_id, month=making.month)
    found: MonthlyReport | None = rows.order_by("-revision").first()
    return found


@transaction.atomic
def issue(actor: Actor, making: ReportMaking, made: Made, report: Report) -> MonthlyReport | None:
    """The issued report; None when somebody else issued it in the same moment.

    The papers were made before, so that the series of numbers is held for a moment only. Raises
    NumberTaken when they carry another number than the one that is due, or yesterday's date.
    """
    row = ReportMaking.objects.select_for_update().get(pk=making.pk)
    if row.report_id is not None or row.step != making.step:
        return None
    serial = next_number(row.workshop, KIND)
    if number_for(row.workshop, serial) != made.number or _stale(made):
        raise NumberTaken
    issued = _keep(actor, row, serial, made, report)
    row.report, row.step, row.document, row.failed_because = issued, row.step + 1, "", ""
    row.save(update_fields=["report", "step", "document", "failed_because"])
    _say(actor, issued)
    return issued


def _stale(made: Made) -> bool:
    return made.at is None or localdate(made.at) != clock.today()


def _keep(
    actor: Actor, making: ReportMaking, serial: int, made: Made, report: Report
) -> MonthlyReport:
    revises = latest_of(making)
    issued: MonthlyReport = MonthlyReport.objects.create(
        workshop=making.workshop,
        serial=serial,
        number=made.number,
        month=making.month,
        until=making.until,
        revision=revises.revision + 1 if revises else 0,
        revises=revises,
        changed="\n".join(made.changed),
        because=making.because,
        issued_at=made.at or clock.now(),
        issued_by=making.begun_by,
    )
    sheets = made.by_sheet
    MonthlyReportPaper.objects.create(
        report=issued,
        document=frozen.to_json(report),
        a4=sheets["A4"],
        letter=sheets["Letter"],
        a4_sha256=sha256(sheets["A4"]).hexdigest(),
        letter_sha256=sha256(sheets["Letter"]).hexdigest(),
    )
    return issued


def _say(actor: Actor, issued: MonthlyReport) -> None:
    said = {"number": issued.number, "month": named(issued.month)}
    if issued.revises:
        said["old"] = issued.revises.number
        words = _("issued %(number)s, a revision of %(old)s for %(month)s") % said
    else:
        words = _("issued %(number)s, the report for %(month)s") % said
    log.write(
        actor,
        kind="report",
        subject_kind="report",
        subject_id=issued.pk,
        words=words,
        reason=issued.because,
        at=issued.issued_at,
    )
