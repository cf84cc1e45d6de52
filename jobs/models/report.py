"""The monthly report: being made step by step, and as it was issued, frozen and numbered."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from shop.models import Owned


class MonthlyReport(Owned):
    """Never changed once issued. A correction is another row that says what changed."""

    serial = models.PositiveIntegerField()
    number = models.CharField(max_length=16)
    month = models.DateField()  # its first day
    until = models.DateField()  # the last day that was counted
    revision = models.PositiveSmallIntegerField(default=0)
    revises = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="revised_by"
    )
    changed = models.TextField(blank=True)  # what changed against the one it revises, a line each
    because = models.TextField(blank=True)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, related_name="+"
    )  # None: by the command
    mailed_to = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["-serial"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "serial"], name="report_serial_once"),
            models.UniqueConstraint(
                fields=["workshop", "month", "revision"], name="report_revision_once"
            ),
        ]

    def __str__(self) -> str:
        return self.number


class MonthlyReportPaper(models.Model):
    """What was issued, byte for byte; apart, so that lists do not load it."""

    report = models.OneToOneField(
        MonthlyReport, on_delete=models.PROTECT, primary_key=True, related_name="paper"
    )
    document = models.TextField()  # JSON of jobs.reports.document.Report
    a4 = models.BinaryField()
    letter = models.BinaryField()
    a4_sha256 = models.CharField(max_length=64)
    letter_sha256 = models.CharField(max_length=64)

    def __str__(self) -> str:
        return str(self.report)


class ReportMaking(Owned):
    """A report under way: each step adds its part and is kept, so that it can go on later."""

    month = models.DateField()
    until = models.DateField()
    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, null=True, related_name="+")
    because = models.TextField(blank=True)
    step = models.PositiveSmallIntegerField(default=0)
    document = models.TextField(blank=True)  # JSON of the sections made so far
    report = models.OneToOneField(
        MonthlyReport, on_delete=models.PROTECT, null=True, related_name="making"
    )
    failed_because = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["-pk"]

    def __str__(self) -> str:
        return f"{self.month:%Y-%m}"
