"""One assembly on one vehicle, from the day it was fitted or first seen to the day it left."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Position
from shop.models import Owned


class FittedUnit(Owned):
    class Entry(models.TextChoices):
        FIRST_SEEN = "first_seen", _("first seen here")
        FITTED = "fitted", _("fitted here")

    class Exit(models.TextChoices):
        FAILED = "failed", _("failed")
        OTHER = "other", _("replaced for another reason")

    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.PROTECT, related_name="units")
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, related_name="units"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    serial_number = models.CharField(max_length=60, blank=True)
    part_number = models.CharField(max_length=40, blank=True)
    supplier = models.CharField(max_length=80, blank=True)
    entry = models.CharField(max_length=12, choices=Entry)
    entered_on = models.DateField()
    entered_at_m = models.BigIntegerField()
    exit = models.CharField(max_length=12, choices=Exit, blank=True)
    left_on = models.DateField(null=True, blank=True)
    left_at_m = models.BigIntegerField(null=True, blank=True)
    failure_mode = models.ForeignKey(
        "diagnostics.FailureMode", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["vehicle", "component", "position", "entered_on"]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "component", "left_on"], name="unit_by_component")
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["vehicle", "component", "position"],
                condition=models.Q(left_on__isnull=True),
                name="one_unit_at_a_place",
            ),
            models.CheckConstraint(
                condition=models.Q(left_on__isnull=True, exit="")
                | (models.Q(left_on__isnull=False) & ~models.Q(exit="")),
                name="unit_leaves_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.component} {self.position} {self.serial_number}".strip()
