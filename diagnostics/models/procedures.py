"""Versioned lists of things to check, and where each answer leads."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from diagnostics.models.catalogue import CatalogueVersion, ChassisSystem, Component
from diagnostics.models.limits import Quantity


class Procedure(models.Model):
    class Use(models.TextChoices):
        FIRST = "first", "before anything else"
        FINDING = "finding", "finding the fault"
        PROVING = "proving", "proving the repair"

    version = models.ForeignKey(
        CatalogueVersion, on_delete=models.CASCADE, related_name="procedures"
    )
    key = models.SlugField(max_length=60)
    title = models.CharField(max_length=160)
    system = models.ForeignKey(
        ChassisSystem, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    purpose = models.TextField()
    use = models.CharField(max_length=8, choices=Use, default=Use.FINDING)
    order = models.PositiveSmallIntegerField()
    for_flags = models.CharField(max_length=400, blank=True)  # "C0035 C0040"

    class Meta:
        ordering: ClassVar = ["version", "order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["version", "key"], name="procedure_once_per_version")
        ]

    def __str__(self) -> str:
        return self.title


class Step(models.Model):
    class Kind(models.TextChoices):
        CAUTION = "caution", "caution"
        LOOK = "look", "look"
        QUESTION = "question", "question"
        MEASUREMENT = "measurement", "measurement"
        CALCULATION = "calculation", "calculation"

    class Place(models.TextChoices):
        """A fixed position, or one relative to the corner that the flag or complaint points at."""

        LF = "LF", _("left front")
        RF = "RF", _("right front")
        LR = "LR", _("left rear")
        RR = "RR", _("right rear")
        FRONT = "front", _("front axle")
        REAR = "rear", _("rear axle")
        SUSPECT = "suspect", _("the suspected corner")
        OPPOSITE = "opposite", _("the other wheel of the same axle")
        NONE = "", _("no position")

    procedure = models.ForeignKey(Procedure, on_delete=models.CASCADE, related_name="steps")
    number = models.PositiveSmallIntegerField()
    key = models.SlugField(max_length=60)
    kind = models.CharField(max_length=12, choices=Kind)
    title = models.CharField(max_length=160)
    text = models.TextField()
    purpose = models.TextField(blank=True)
    caution = models.TextField(blank=True)
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    position = models.CharField(max_length=8, choices=Place, blank=True)
    quantity = models.ForeignKey(
        Quantity, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Key of a measurement kind whose figure answers the step; "" when the value is typed.
    works_out = models.CharField(max_length=40, blank=True)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["procedure", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["procedure", "number"], name="step_number_once"),
            models.UniqueConstraint(fields=["procedure", "key"], name="step_key_once"),
        ]

    def __str__(self) -> str:
        return f"{self.number}. {self.title}"


class StepOutcome(models.Model):
    """An answer that a look or question may have, or a verdict that a measurement may get."""

    class Judged(models.TextChoices):
        GOOD = "good", "as it should be"
        BAD = "bad", "not as it should be"
        UNKNOWN = "unknown", "not settled"

    step = models.ForeignKey(Step, on_delete=models.CASCADE, related_name="outcomes")
    order = models.PositiveSmallIntegerField()
    key = models.SlugField(max_length=40)
    label = models.CharField(max_length=120)
    judged = models.CharField(max_length=8, choices=Judged)
    says = models.TextField(blank=True)
    goto = models.ForeignKey(
        Step, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    ends = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["step", "order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["step", "key"], name="outcome_key_once")
        ]

    def __str__(self) -> str:
        return self.label
