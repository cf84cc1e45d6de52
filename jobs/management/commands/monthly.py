"""At the month's end: the report of every workshop is issued, once, and mailed."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import QuerySet

from jobs.models import MonthlyReport
from jobs.reports.monthly import mailing, making, months
from shop.errors import Refusal
from shop.models import Workshop


class Command(BaseCommand):
    help = (
        "Issue the report of the last month that is over, for every workshop that has none of it "
        "yet, and mail it where a mail server is set. It may run as often as you like: what is "
        "issued is never issued twice, and what was not mailed is tried once more."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--month", help="another month that is over, such as 2026-10")
        parser.add_argument("--workshop", help="the short name of one workshop; without it, all")
        parser.add_argument(
            "--to",
            action="append",
            default=[],
            metavar="ADDRESS",
            help="mail it there, in place of STUBAXLE_REPORTS_TO; may be given several times",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            month = months.month_of(options["month"]) if options["month"] else None
            to = mailing.checked(options["to"])
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        workshops = _workshops(options["workshop"])
        failed = [one for one in workshops if not self._report(one, month, to)]
        if failed:
            raise CommandError(f"No report for {', '.join(str(one) for one in failed)}.")

    def _report(self, workshop: Workshop, month: date | None, to: tuple[str, ...]) -> bool:
        """Whether there is one now, or need be none."""
        wanted = month or months.last_whole_month()
        report = _issued(workshop, wanted)
        if report is not None:
            self._say(workshop, f"{months.named(wanted)} was issued already, as {report.number}.")
        else:
            try:
                report = _made(workshop, wanted)
            except Refusal as refusal:
                # A workshop that opened last week has nothing to report, which is no failure.
                self._say(workshop, refusal.sentence)
                return month is None and not months.not_issued_yet(workshop)
            self._say(workshop, f"issued {report.number}.")
        self._mail(workshop, report, to)
        return True

    def _mail(self, workshop: Workshop, report: MonthlyReport, to: tuple[str, ...]) -> None:
        if report.mailed_to and not to:
            return
        said = mailing.mail(report, to)
        self._say(workshop, said or f"mailed {report.number} to {report.mailed_to}.")

    def _say(self, workshop: Workshop, words: str) -> None:
        self.stdout.write(f"{workshop}: {words}")


def _workshops(slug: str | None) -> QuerySet[Workshop]:
    found = Workshop.objects.all()
    if slug is None:
        return found
    if not found.filter(slug=slug).exists():
        raise CommandError(f"There is no workshop with the short name “{slug}”.")
    return found.filter(slug=slug)


def _issued(workshop: Workshop, month: date) -> MonthlyReport | None:
    rows = MonthlyReport.objects.filter(workshop=workshop, month=month).order_by("-revision")
    found: MonthlyReport | None = rows.first()
    return found


def _made(workshop: Workshop, month: date) -> MonthlyReport:
    """All steps up to the issue. Raises Refusal when one fails; what was made before is kept."""
    actor = making.by_itself(workshop)
    progress = making.progress_of(making.begin_by_itself(workshop, month))
    while progress.making.report is None:
        before = progress.done
        progress = making.step(actor, progress.making)
        if progress.done == before:
            raise Refusal(progress.making.failed_because)
    return progress.making.report
