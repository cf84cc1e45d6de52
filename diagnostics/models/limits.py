"""What can be measured, and what it may be."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from diagnostics.models.catalogue import CatalogueVersion, Component, Position


class Quantity(models.Model):
    """A measurable quantity; `kind` is one of shop.units' kinds, `unit` the one usually typed."""

    key = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=20)
    unit = models.CharField(max_length=12)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class Limit(models.Model):
    """Allowed low and high, with conditions and source. Values in SI, with the unit as written."""

    class Engine(models.TextChoices):
        ANY = "", "any"
        RUNNING = "running", "engine running"
        OFF = "off", "engine off"

    version = models.ForeignKey(CatalogueVersion, on_delete=models.CASCADE, related_name="limits")
    quantity = models.ForeignKey(Quantity, on_delete=models.PROTECT, related_name="+")
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=12)
    conditions = models.CharField(max_length=200, blank=True)
    reference_k = models.FloatField(null=True, blank=True)
    corrects_for_copper = models.BooleanField(default=False)
    engine = models.CharField(max_length=8, choices=Engine, blank=True)
    pressure_low = models.FloatField(null=True, blank=True)  # Pa, under which the limit holds
    pressure_high = models.FloatField(null=True, blank=True)
    pressure_unit = models.CharField(max_length=12, blank=True)
    uncertainty = models.FloatField(null=True, blank=True)
    near_margin = models.FloatField(null=True, blank=True)
    source = models.CharField(max_length=200)

    class Meta:
        ordering: ClassVar = ["version", "quantity", "component", "position"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["version", "quantity", "component", "position"],
                name="limit_once_per_place",
            ),
            models.UniqueConstraint(
                fields=["version", "quantity", "position"],
                condition=models.Q(component__isnull=True),
                name="limit_once_without_component",
            ),
            models.CheckConstraint(
                condition=models.Q(low__isnull=False) | models.Q(high__isnull=False),
                name="limit_has_a_side",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity}: {self.low} to {self.high} ({self.unit})"
