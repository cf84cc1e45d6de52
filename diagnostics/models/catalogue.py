"""What a platform's chassis is made of: stable identities, and the versions that speak of them.

Components and part numbers keep one row for ever, so that lives of units can be counted
across versions. Everything a verdict rests on belongs to a CatalogueVersion and is never edited.
"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.models import Platform


class Position(models.TextChoices):
    LF = "LF", _("left front")
    RF = "RF", _("right front")
    LR = "LR", _("left rear")
    RR = "RR", _("right rear")
    FRONT = "front", _("front axle")
    REAR = "rear", _("rear axle")
    NONE = "", _("no position")


class ChassisSystem(models.Model):
    """Brake control, power steering, base brakes, wheel ends."""

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["order", "key"]

    def __str__(self) -> str:
        return self.name


class Component(models.Model):
    """A kind of unit serviced as an assembly."""

    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="components")
    key = models.SlugField(max_length=60)
    name = models.CharField(max_length=120)
    system = models.ForeignKey(ChassisSystem, on_delete=models.PROTECT, related_name="components")
    positions = models.CharField(max_length=40, blank=True)  # "LR RR"; empty: one per vehicle
    description = models.TextField(blank=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["platform", "system__order", "name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["platform", "key"], name="component_key_once")
        ]

    def __str__(self) -> str:
        return self.name


class PartNumber(models.Model):
    """A number under which a component is ordered; superseded numbers point at the next one."""

    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="part_numbers")
    position = models.CharField(max_length=8, choices=Position, blank=True)
    number = models.CharField(max_length=40)
    superseded_by = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="supersedes"
    )
    supplier = models.CharField(max_length=80, blank=True)
    price = models.DecimalField(max_digits=10, decimal_places=2)
    cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    core_credit = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    condition = models.CharField(max_length=16, blank=True)  # rebuilt, ...; empty: new
    retired = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["component", "position", "number"], name="part_number_once_per_place"
            )
        ]
        indexes: ClassVar = [models.Index(fields=["number"], name="part_by_number")]

    def __str__(self) -> str:
        return self.number


class FailureMode(models.Model):
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="failure_modes")
    key = models.SlugField(max_length=60)
    words = models.CharField(max_length=160)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["component", "words"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["component", "key"], name="failure_mode_once")
        ]

    def __str__(self) -> str:
        return self.words


class CatalogueVersion(models.Model):
    """One state of one platform's pages; a job keeps the version it was done with."""

    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    title = models.CharField(max_length=160)
    loaded_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["platform", "-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["platform", "number"], name="catalogue_number_once"),
        ]
        get_latest_by = "number"

    def __str__(self) -> str:
        return f"{self.platform.code} v{self.number}"


class FlagDefinition(models.Model):
    """What a stored code means on this platform, its lamp, and what it points at."""

    version = models.ForeignKey(CatalogueVersion, on_delete=models.CASCADE, related_name="flags")
    code = models.CharField(max_length=5)
    failure_type = models.CharField(max_length=2, blank=True)
    text = models.CharField(max_length=200)
    system = models.ForeignKey(ChassisSystem, on_delete=models.PROTECT, related_name="+")
    position = models.CharField(max_length=8, choices=Position, blank=True)
    lamp = models.CharField(max_length=120, blank=True)
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["code", "failure_type"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["version", "code", "failure_type"], name="flag_once_per_version"
            )
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.text}"


class FlagPointer(models.Model):
    """A component that a flag points at, nearest suspect first."""

    flag = models.ForeignKey(FlagDefinition, on_delete=models.CASCADE, related_name="pointers")
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="+")
    position = models.CharField(max_length=8, choices=Position, blank=True)
    order = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar = ["flag", "order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["flag", "order"], name="flag_pointer_order_once")
        ]

    def __str__(self) -> str:
        return f"{self.order}. {self.component} {self.position}".strip()


class TelltaleRule(models.Model):
    """What a pattern of lamps means; read by diagnostics.telltales."""

    version = models.ForeignKey(
        CatalogueVersion, on_delete=models.CASCADE, related_name="telltale_rules"
    )
    key = models.SlugField(max_length=60)
    order = models.PositiveSmallIntegerField()
    says = models.TextField()
    first = models.TextField(blank=True)
    may_drive = models.BooleanField()
    unsafe = models.BooleanField(default=False)
    bulb_finding = models.BooleanField(default=False)
    only_alone = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["version", "order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["version", "key"], name="telltale_rule_once")
        ]

    def __str__(self) -> str:
        return self.key


class TelltalePattern(models.Model):
    """One lamp in one situation, shown one of several ways ("flashing steady")."""

    rule = models.ForeignKey(TelltaleRule, on_delete=models.CASCADE, related_name="patterns")
    lamp = models.CharField(max_length=20)
    situation = models.CharField(max_length=16)
    shown = models.CharField(max_length=32)

    class Meta:
        ordering: ClassVar = ["rule", "pk"]

    def __str__(self) -> str:
        return f"{self.lamp} {self.situation}: {self.shown}"


class LabourOperation(models.Model):
    """An allowance, in whole tenths of an hour."""

    version = models.ForeignKey(
        CatalogueVersion, on_delete=models.CASCADE, related_name="operations"
    )
    code = models.CharField(max_length=20)
    text = models.CharField(max_length=200)
    system = models.ForeignKey(ChassisSystem, on_delete=models.PROTECT, related_name="+")
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    tenths = models.PositiveSmallIntegerField()
    diagnosis = models.BooleanField(default=False)  # stands on its own line

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["version", "code"], name="operation_once_per_version")
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.text}"


class SharedStep(models.Model):
    """A step that several operations contain; done together it is paid once.

    With `each_place` only at one position: a wheel that is off on the left is not off on the
    right.
    """

    version = models.ForeignKey(
        CatalogueVersion, on_delete=models.CASCADE, related_name="shared_steps"
    )
    key = models.SlugField(max_length=40)
    words = models.CharField(max_length=120)
    tenths = models.PositiveSmallIntegerField()
    each_place = models.BooleanField(default=False)
    operations = models.ManyToManyField(LabourOperation, related_name="shared_steps")

    class Meta:
        ordering: ClassVar = ["version", "key"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["version", "key"], name="shared_step_once")
        ]

    def __str__(self) -> str:
        return self.words


class ProvingRule(models.Model):
    """How far and how fast a road test must go for the module's self-test to have run."""

    version = models.OneToOneField(
        CatalogueVersion, on_delete=models.CASCADE, related_name="proving_rule"
    )
    self_test_speed_mps = models.FloatField()
    min_distance_m = models.FloatField()
    source = models.CharField(max_length=200)

    def __str__(self) -> str:
        return f"{self.version}: {self.min_distance_m} m"
