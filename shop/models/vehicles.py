"""Vehicles, the platforms they are built on, and the distances they have shown."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.models.base import Owned


class Platform(models.Model):
    """A family of vehicles that share chassis systems and limits. Filled from the catalogue."""

    code = models.CharField(max_length=12, unique=True)
    make = models.CharField(max_length=40)
    model = models.CharField(max_length=40)
    body = models.CharField(max_length=40, blank=True)
    notice = models.CharField(max_length=200, blank=True)
    first_year = models.PositiveSmallIntegerField(null=True, blank=True)
    last_year = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["make", "model", "code"]

    def __str__(self) -> str:
        return " ".join(part for part in (self.make, self.model, self.body) if part)


class Vehicle(Owned):
    class Gone(models.TextChoices):
        SCRAPPED = "scrapped", _("scrapped")
        SOLD_AWAY = "sold_away", _("sold to somewhere else")

    vin = models.CharField(_("VIN"), max_length=17)
    vin_overrule_reason = models.CharField(
        _("why the check digit is overruled"), max_length=200, blank=True
    )
    plate = models.CharField(_("plate"), max_length=16, blank=True)
    plate_key = models.CharField(max_length=16, blank=True, editable=False)
    platform = models.ForeignKey(
        Platform, on_delete=models.PROTECT, null=True, blank=True, verbose_name=_("platform")
    )
    model_year = models.PositiveSmallIntegerField(_("model year"), null=True, blank=True)
    tyre_size = models.CharField(_("tyre size"), max_length=24, blank=True)
    tyre_width_mm = models.PositiveSmallIntegerField(null=True, editable=False)
    tyre_aspect = models.PositiveSmallIntegerField(null=True, editable=False)
    tyre_rim_in = models.FloatField(null=True, editable=False)
    in_service_on = models.DateField(_("in service since"), null=True, blank=True)
    customer = models.ForeignKey(
        "shop.Customer", on_delete=models.PROTECT, related_name="vehicles", verbose_name=_("owner")
    )
    # It will not be seen again: from that day on nothing is known of its units.
    gone = models.CharField(_("gone"), max_length=10, choices=Gone, blank=True)
    gone_on = models.DateField(_("gone since"), null=True, blank=True)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["workshop", "vin"], name="vehicle_vin_once_per_workshop"
            ),
            models.CheckConstraint(
                condition=models.Q(gone="", gone_on__isnull=True)
                | (~models.Q(gone="") & models.Q(gone_on__isnull=False)),
                name="vehicle_gone_has_a_day",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "plate_key"], name="vehicle_by_plate"),
        ]

    def __str__(self) -> str:
        return self.plate or self.vin


class OdometerReading(Owned):
    """A distance seen on a date. Append-only: the shop's only knowledge of exposure."""

    class Seen(models.TextChoices):
        TAKE_IN = "take_in", _("taking in")
        ROAD_TEST = "road_test", _("road test")
        RELEASE = "release", _("release")
        NOTED = "noted", _("noted")

    vehicle = models.ForeignKey(Vehicle, on_delete=models.CASCADE, related_name="odometer_readings")
    read_at = models.DateTimeField()
    distance_m = models.BigIntegerField()
    typed_value = models.CharField(max_length=16)
    typed_unit = models.CharField(max_length=2, choices=[("km", "km"), ("mi", "mi")])
    seen = models.CharField(max_length=10, choices=Seen)
    lower_than_before = models.BooleanField(default=False)
    lower_reason = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-read_at", "-pk"]
        indexes: ClassVar = [models.Index(fields=["vehicle", "-read_at"], name="odometer_latest")]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(distance_m__gte=0), name="odometer_not_negative"
            )
        ]

    def __str__(self) -> str:
        return f"{self.typed_value} {self.typed_unit}"
