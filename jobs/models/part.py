"""An assembly to fit: its order state, the unit taken off and the unit put on."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Position
from jobs.models.complaint import Complaint
from jobs.models.supply import SupplyLine
from jobs.models.unit import FittedUnit
from shop.models import Owned


class Replacement(Owned):
    class State(models.TextChoices):
        PROPOSED = "proposed", _("proposed")
        TO_ORDER = "to_order", _("to order")
        ORDERED = "ordered", _("ordered")
        RECEIVED = "received", _("received")
        FITTED = "fitted", _("fitted")
        CANCELLED = "cancelled", _("cancelled")

    class Condition(models.TextChoices):
        NEW = "new", _("new")
        REBUILT = "rebuilt", _("rebuilt")
        RECONDITIONED = "reconditioned", _("reconditioned")
        USED = "used", _("used")

    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="replacements")
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, related_name="+"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    part_number = models.CharField(max_length=40)
    price = models.DecimalField(max_digits=10, decimal_places=2)
    cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    condition = models.CharField(max_length=16, choices=Condition, default=Condition.NEW)
    state = models.CharField(max_length=10, choices=State, default=State.PROPOSED)
    state_since = models.DateTimeField()
    supplier = models.CharField(max_length=80, blank=True)
    order_reference = models.CharField(max_length=60, blank=True)
    ordered_at = models.DateTimeField(null=True, blank=True)
    expected_on = models.DateField(null=True, blank=True)
    supply_line = models.ForeignKey(
        SupplyLine, on_delete=models.PROTECT, null=True, blank=True, related_name="replacements"
    )
    received_at = models.DateTimeField(null=True, blank=True)
    handed_at = models.DateTimeField(null=True, blank=True)
    handed_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    fitted_at = models.DateTimeField(null=True, blank=True)
    fitted_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    unit_off = models.OneToOneField(
        FittedUnit, on_delete=models.PROTECT, null=True, blank=True, related_name="taken_off_by"
    )
    unit_on = models.OneToOneField(
        FittedUnit, on_delete=models.PROTECT, null=True, blank=True, related_name="put_on_by"
    )
    cancelled_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["complaint", "pk"]
        indexes: ClassVar = [
            models.Index(
                fields=["workshop", "state", "supplier"],
                name="replacement_open",
                condition=models.Q(state__in=["ordered", "received", "to_order"]),
            ),
            models.Index(fields=["workshop", "part_number"], name="replacement_by_part"),
            # SQLite does not see that a bound list of states is the one of the index above.
            models.Index(fields=["workshop", "state"], name="replacement_by_state"),
        ]

    def __str__(self) -> str:
        return f"{self.part_number} {self.component}"
