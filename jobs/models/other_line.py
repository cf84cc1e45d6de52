"""What is neither an assembly nor our own labour: sublet work, and materials by quantity."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Complaint


class OtherLine(models.Model):
    class Kind(models.TextChoices):
        SUBLET = "sublet", _("sublet work")
        MATERIAL = "material", _("material")

    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="other_lines")
    kind = models.CharField(max_length=10, choices=Kind)
    text = models.CharField(max_length=200)
    supplier = models.CharField(max_length=80, blank=True)
    quantity = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(1))
    unit_price = models.DecimalField(max_digits=10, decimal_places=2)
    cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["complaint", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0, unit_price__gte=0), name="other_line_sound"
            )
        ]

    def __str__(self) -> str:
        return self.text
