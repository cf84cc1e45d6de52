"""The repair order: one visit of one vehicle."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.stages import CLOSED, Stage
from shop.models import Owned

_CLOSED = sorted(stage.value for stage in CLOSED)


class NumberSeries(Owned):
    """The last number given, per workshop and kind of paper; locked while the next is taken."""

    kind = models.CharField(max_length=20)
    last = models.PositiveIntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "kind"], name="number_series_once")
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.last}"


class RepairOrder(Owned):
    class PartsWanted(models.TextChoices):
        WANTED = "wanted", _("the customer wants the replaced parts back")
        NOT_WANTED = "not_wanted", _("the customer does not want the replaced parts")

    serial = models.PositiveIntegerField()
    number = models.CharField(max_length=16)
    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.PROTECT, related_name="orders")
    customer = models.ForeignKey("shop.Customer", on_delete=models.PROTECT, related_name="orders")
    session = models.OneToOneField(
        "diagnostics.Session", on_delete=models.PROTECT, related_name="order"
    )
    odometer_in = models.ForeignKey(
        "shop.OdometerReading", on_delete=models.PROTECT, related_name="+"
    )
    stage = models.CharField(max_length=20, choices=[(s.value, s.words) for s in Stage])
    stage_since = models.DateTimeField()
    revision = models.PositiveIntegerField(default=0)
    promised_at = models.DateTimeField(_("promised for"), null=True, blank=True)
    bay = models.ForeignKey("shop.Bay", on_delete=models.PROTECT, null=True, blank=True)
    technician = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, blank=True, related_name="orders"
    )
    taken_in_at = models.DateTimeField()
    taken_in_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    unsafe = models.BooleanField(default=False)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Whether an invoice of it stands: what is still to be billed must be found without reading all
    # that ever was. Kept by the services that issue and credit, in their transactions.
    invoiced = models.BooleanField(default=False)
    parts_wanted = models.CharField(
        _("replaced parts"), max_length=10, choices=PartsWanted, blank=True
    )
    override_reason = models.TextField(blank=True)
    override_missing = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["-serial"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "number"], name="order_number_once"),
            models.UniqueConstraint(fields=["workshop", "serial"], name="order_serial_once"),
            models.CheckConstraint(
                condition=models.Q(stage__in=_CLOSED, closed_at__isnull=False)
                | (~models.Q(stage__in=_CLOSED) & models.Q(closed_at__isnull=True)),
                name="order_closed_has_a_date",
            ),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["workshop", "promised_at"],
                name="order_open",
                condition=models.Q(closed_at__isnull=True),
            ),
            models.Index(fields=["vehicle", "-taken_in_at"], name="order_by_vehicle"),
            models.Index(fields=["workshop", "-closed_at"], name="order_closed"),
            models.Index(
                fields=["workshop", "closed_at"],
                name="order_to_invoice",
                condition=models.Q(invoiced=False),
            ),
        ]

    def __str__(self) -> str:
        return self.number


class StageMove(models.Model):
    """Append-only: from where to where, by whom, why."""

    order = models.ForeignKey(RepairOrder, on_delete=models.CASCADE, related_name="moves")
    move = models.CharField(max_length=20)
    source = models.CharField(max_length=20)
    target = models.CharField(max_length=20)
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    reason = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["order", "pk"]

    def __str__(self) -> str:
        return f"{self.source} → {self.target}"


class UnsafeMark(models.Model):
    """Not to be driven: raised by the lamps or by hand, lifted only by the manager."""

    order = models.ForeignKey(RepairOrder, on_delete=models.CASCADE, related_name="unsafe_marks")
    raised_at = models.DateTimeField()
    raised_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    because = models.TextField()
    lifted_at = models.DateTimeField(null=True)
    lifted_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, related_name="+"
    )
    lifted_because = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["order", "pk"]

    def __str__(self) -> str:
        return self.because
