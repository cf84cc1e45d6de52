"""What is known of a platform before anything is measured: single figures, and curves."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from diagnostics.models.catalogue import CatalogueVersion, Component, Position
from diagnostics.models.limits import Quantity


class Figure(models.Model):
    """A fact about the platform that a computation needs: tooth count, sense resistor, diameter.

    `key` is one of diagnostics.catalogue.figure_keys. A number is SI-coherent, with the unit as
    written; a choice stands in `words`, and then `value` is None.
    """

    version = models.ForeignKey(CatalogueVersion, on_delete=models.CASCADE, related_name="figures")
    key = models.SlugField(max_length=40)
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    value = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=12, blank=True)
    words = models.CharField(max_length=40, blank=True)
    source = models.CharField(max_length=200)

    class Meta:
        ordering: ClassVar = ["version", "key", "component", "position"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["version", "key", "component", "position"], name="figure_once_per_place"
            ),
            models.UniqueConstraint(
                fields=["version", "key", "position"],
                condition=models.Q(component__isnull=True),
                name="figure_once_without_component",
            ),
            models.CheckConstraint(
                condition=models.Q(value__isnull=False, words="")
                | (models.Q(value__isnull=True) & ~models.Q(words="")),
                name="figure_is_number_or_words",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key}: {self.words or f'{self.value} ({self.unit})'}"


class Curve(models.Model):
    """What a quantity should be against another, such as flow against road speed.

    `against` is one of diagnostics.catalogue.figure_keys.AGAINST. `tolerance` is SI, to either
    side; the units are those written.
    """

    version = models.ForeignKey(CatalogueVersion, on_delete=models.CASCADE, related_name="curves")
    quantity = models.ForeignKey(Quantity, on_delete=models.PROTECT, related_name="+")
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    against = models.SlugField(max_length=40)
    unit = models.CharField(max_length=12)
    against_unit = models.CharField(max_length=12)
    tolerance = models.FloatField()
    source = models.CharField(max_length=200)

    class Meta:
        ordering: ClassVar = ["version", "quantity", "component", "against"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["version", "quantity", "component", "against"], name="curve_once_per_place"
            ),
            models.UniqueConstraint(
                fields=["version", "quantity", "against"],
                condition=models.Q(component__isnull=True),
                name="curve_once_without_component",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} against {self.against}"


class CurvePoint(models.Model):
    """One corner of a curve; straight lines lie between. SI-coherent."""

    curve = models.ForeignKey(Curve, on_delete=models.CASCADE, related_name="points")
    x = models.FloatField()
    y = models.FloatField()

    class Meta:
        ordering: ClassVar = ["curve", "x"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["curve", "x"], name="curve_point_once")
        ]

    def __str__(self) -> str:
        return f"{self.x}: {self.y}"
