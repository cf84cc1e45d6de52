"""Labour on a complaint: an operation from the catalogue, in tenths of an hour."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from jobs.models.complaint import Complaint


class LabourLine(models.Model):
    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="labour")
    operation = models.ForeignKey(
        "diagnostics.LabourOperation", on_delete=models.PROTECT, null=True, related_name="+"
    )
    code = models.CharField(max_length=20, blank=True)
    text = models.CharField(max_length=200)
    tenths = models.PositiveSmallIntegerField()
    rate = models.DecimalField(max_digits=9, decimal_places=2)
    withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["complaint", "pk"]

    def __str__(self) -> str:
        return self.text
