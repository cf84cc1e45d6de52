"""One assembly on one vehicle, from the day it was fitted or first seen to the day it left.

Besides what papers say of it, a unit carries its life as the statistics count it: whole numbers,
so that a database groups a million of them alike everywhere. Days are proleptic ordinals
(1 January of year 1 is day 1), distances metres. jobs.lives says by which rules; the services keep
them (jobs.services.lives), and `manage.py lives` works them all out anew.
"""

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
        ELSEWHERE = "elsewhere", _("found fitted by somebody else")

    class Exit(models.TextChoices):
        FAILED = "failed", _("failed")
        OTHER = "other", _("replaced for another reason")
        ELSEWHERE = "elsewhere", _("replaced by somebody else")
        GONE = "gone", _("on a vehicle that was scrapped or left the district")

    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.PROTECT, related_name="units")
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, related_name="units"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    serial_number = models.CharField(max_length=60, blank=True)
    part_number = models.CharField(max_length=40, blank=True)
    supplier = models.CharField(max_length=80, blank=True)
    batch = models.CharField(_("batch on the label"), max_length=40, blank=True)
    entry = models.CharField(max_length=12, choices=Entry)
    entered_on = models.DateField()
    entered_at_m = models.BigIntegerField()
    exit = models.CharField(max_length=12, choices=Exit, blank=True)
    left_on = models.DateField(null=True, blank=True)
    left_at_m = models.BigIntegerField(null=True, blank=True)
    failure_mode = models.ForeignKey(
        "diagnostics.FailureMode", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Watched from `in_day` to `out_day`: the last contact with the vehicle, or the day it left.
    in_day = models.IntegerField(default=0, editable=False)
    out_day = models.IntegerField(default=0, editable=False)
    # At which its age is nought; None where that is not known.
    born_day = models.IntegerField(null=True, editable=False)
    # None where no sound distance is known. `out_m` is the last sound one: where `left_at_out_m` is
    # not set, the odometer had gone backwards before the unit left.
    in_m = models.BigIntegerField(null=True, editable=False)
    out_m = models.BigIntegerField(null=True, editable=False)
    born_m = models.BigIntegerField(null=True, editable=False)
    left_at_out_m = models.BooleanField(default=False, editable=False)
    # How far the vehicle goes in a day; None with less than 30 days between its readings.
    m_a_day = models.IntegerField(null=True, editable=False)
    # When it was written down that it left: a report of an earlier day knows nothing of it.
    known_day = models.IntegerField(null=True, editable=False)
    # In which stretch of the odometer between two readings that went backwards it came, from 0.
    stretch = models.IntegerField(default=0, editable=False)

    class Meta:
        ordering: ClassVar = ["vehicle", "component", "position", "entered_on"]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "component", "left_on"], name="unit_by_component"),
            models.Index(fields=["workshop", "component", "batch"], name="unit_by_batch"),
            # All that rates and ages of units are counted from, so that no row is looked up.
            models.Index(
                fields=[
                    *("workshop", "component", "position", "supplier", "batch", "exit"),
                    *("in_day", "out_day", "born_day", "in_m", "out_m", "m_a_day"),
                ],
                name="unit_counts",
            ),
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
