"""What the maker of a vehicle, or who sold a unit, promises: terms of a platform's pages."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from diagnostics.models.catalogue import CatalogueVersion, ChassisSystem, Component, FailureMode


class CoverageTerm(models.Model):
    """Months and distance, whichever first; blank is no limit.

    A term of the vehicle runs from the in-service date, one of a unit from its fitting. Without
    components and systems it speaks of the whole chassis.
    """

    class Kind(models.TextChoices):
        VEHICLE_WARRANTY = "vehicle_warranty", _("vehicle warranty")
        PARTS_WARRANTY = "parts_warranty", _("parts warranty")

    version = models.ForeignKey(
        CatalogueVersion, on_delete=models.CASCADE, related_name="coverage_terms"
    )
    key = models.SlugField(max_length=60)
    order = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=20, choices=Kind)
    name = models.CharField(max_length=120)
    months = models.PositiveSmallIntegerField(null=True, blank=True)
    distance_m = models.BigIntegerField(null=True, blank=True)
    percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(100))
    first_year = models.PositiveSmallIntegerField(null=True, blank=True)
    last_year = models.PositiveSmallIntegerField(null=True, blank=True)
    supplier = models.CharField(max_length=80, blank=True)  # of a unit's term; blank: any
    source = models.CharField(max_length=200)
    components = models.ManyToManyField(Component, related_name="+")
    systems = models.ManyToManyField(ChassisSystem, related_name="+")
    left_out = models.ManyToManyField(Component, related_name="+")
    failure_modes = models.ManyToManyField(FailureMode, related_name="+")

    class Meta:
        ordering: ClassVar = ["version", "order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["version", "key"], name="coverage_term_once"),
            models.CheckConstraint(
                condition=models.Q(percent__gt=0, percent__lte=100), name="term_bears_up_to_all"
            ),
            models.CheckConstraint(
                condition=models.Q(distance_m__isnull=True) | models.Q(distance_m__gt=0),
                name="term_of_some_distance",
            ),
        ]

    def __str__(self) -> str:
        return self.name
