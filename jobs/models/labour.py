"""Labour on a complaint: an operation from the catalogue, in tenths of an hour.

`tenths` is what the line would be sold at alone; `shared_tenths` of it are steps that another
line of the job pays for already (jobs.overlap), so that `sold_tenths` is what is charged.
"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Position
from jobs.models.complaint import Complaint


class LabourLine(models.Model):
    class Kind(models.TextChoices):
        OPERATION = "operation", _("operation")
        DIAGNOSIS = "diagnosis", _("diagnosis")
        EXTRA = "extra", _("extra time")

    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="labour")
    operation = models.ForeignKey(
        "diagnostics.LabourOperation", on_delete=models.PROTECT, null=True, related_name="+"
    )
    code = models.CharField(max_length=20, blank=True)
    text = models.CharField(max_length=200)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.OPERATION)
    position = models.CharField(max_length=8, choices=Position, blank=True)
    tenths = models.PositiveSmallIntegerField()
    allowed_tenths = models.PositiveSmallIntegerField(null=True, blank=True)  # the catalogue's
    shared_tenths = models.PositiveSmallIntegerField(default=0)
    reason = models.CharField(max_length=200, blank=True)  # for extra time
    rate = models.DecimalField(max_digits=9, decimal_places=2)
    withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["complaint", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(shared_tenths__lte=models.F("tenths")),
                name="labour_shares_at_most_itself",
            )
        ]

    def __str__(self) -> str:
        return self.text

    @property
    def sold_tenths(self) -> int:
        return self.tenths - self.shared_tenths
