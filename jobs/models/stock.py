"""What lies on the shelf: a part number with its count, and every movement that made it."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.part import Replacement
from jobs.models.supply import Supplier, SupplyLine
from shop.models import Owned


class StockItem(Owned):
    """`on_hand` is the sum of its movements, kept here so that no list adds up the past.

    `reserved` of them lie here for a job that has not been handed its assembly yet.
    """

    part_number = models.CharField(_("part number"), max_length=40)
    part_key = models.CharField(max_length=40, editable=False)
    text = models.CharField(_("what it is"), max_length=160)
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="items"
    )
    place = models.CharField(_("place"), max_length=40, blank=True)
    unit_cost = models.DecimalField(
        _("cost of one"), max_digits=10, decimal_places=2, default=Decimal(0)
    )
    on_hand = models.PositiveIntegerField(default=0)
    reserved = models.PositiveIntegerField(default=0)
    target = models.PositiveSmallIntegerField(_("to keep on the shelf"), default=0)
    counted_at = models.DateTimeField(null=True, blank=True)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["part_key"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "part_key"], name="stock_part_once"),
            models.CheckConstraint(
                condition=models.Q(on_hand__gte=models.F("reserved")),
                name="stock_covers_what_is_reserved",
            ),
            models.CheckConstraint(condition=models.Q(unit_cost__gte=0), name="stock_cost_sound"),
        ]

    def __str__(self) -> str:
        return self.part_number

    @property
    def free(self) -> int:
        return self.on_hand - self.reserved


class StockMovement(Owned):
    """Append-only. `quantity` is signed; `balance` is what lay there after it."""

    class Kind(models.TextChoices):
        RECEIVED = "received", _("received from the supplier")
        HANDED = "handed", _("handed to a job")
        BACK = "back", _("back from a job")
        RETURNED = "returned", _("returned to the supplier")
        COUNTED = "counted", _("counted")

    item = models.ForeignKey(StockItem, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind)
    quantity = models.IntegerField()
    balance = models.PositiveIntegerField()
    unit_cost = models.DecimalField(max_digits=10, decimal_places=2)
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    because = models.CharField(max_length=200, blank=True)
    replacement = models.ForeignKey(
        Replacement, on_delete=models.PROTECT, null=True, blank=True, related_name="movements"
    )
    line = models.ForeignKey(
        SupplyLine, on_delete=models.PROTECT, null=True, blank=True, related_name="movements"
    )

    class Meta:
        ordering: ClassVar = ["-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~models.Q(quantity=0), name="movement_moves")
        ]
        indexes: ClassVar = [
            models.Index(fields=["item", "-id"], name="movement_by_item"),
            models.Index(fields=["workshop", "at"], name="movement_by_day"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity:+d} {self.item}"
