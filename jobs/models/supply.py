"""What was ordered from whom, what came, in which state, and what goes back."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.models import Owned


class Supplier(Owned):
    name = models.CharField(_("name"), max_length=80)
    account = models.CharField(_("our account with them"), max_length=40, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    address = models.TextField(_("address"), blank=True)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "name"], name="supplier_name_once")
        ]

    def __str__(self) -> str:
        return self.name


class SupplyOrder(Owned):
    """One order to one supplier. Its number stays with it, void or not."""

    serial = models.PositiveIntegerField()
    number = models.CharField(max_length=16)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    their_reference = models.CharField(max_length=60, blank=True)
    expected_on = models.DateField()
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    note = models.TextField(blank=True)
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    voided_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["-serial"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "serial"], name="supply_serial_once"),
            models.UniqueConstraint(fields=["workshop", "number"], name="supply_number_once"),
        ]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "supplier", "-serial"], name="supply_by_supplier")
        ]

    def __str__(self) -> str:
        return self.number


class SupplyLine(Owned):
    """One part number on an order. `awaited` is what has neither come nor been cancelled.

    The jobs that wait for it point here (Replacement.supply_line); what they do not take goes
    onto the shelf. A piece that came wrong or damaged is not received: it is still awaited, or
    cancelled when the supplier gives credit instead.
    """

    order = models.ForeignKey(SupplyOrder, on_delete=models.CASCADE, related_name="lines")
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    part_number = models.CharField(max_length=40)
    part_key = models.CharField(max_length=40)
    text = models.CharField(max_length=160)
    quantity = models.PositiveIntegerField()
    unit_cost = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))
    received = models.PositiveIntegerField(default=0)
    cancelled = models.PositiveIntegerField(default=0)
    awaited = models.PositiveIntegerField()
    expected_on = models.DateField()
    late_because = models.CharField(max_length=200, blank=True)  # back-ordered: their words
    revision = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["order", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(
                    awaited=models.F("quantity") - models.F("received") - models.F("cancelled")
                ),
                name="supply_awaited_is_the_rest",
            ),
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0, unit_cost__gte=0), name="supply_line_sound"
            ),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["workshop", "expected_on"],
                name="supply_awaited",
                condition=models.Q(awaited__gt=0),
            ),
            models.Index(fields=["workshop", "part_key"], name="supply_by_part"),
            models.Index(fields=["workshop", "awaited"], name="supply_by_rest"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.part_number}"


class SupplyReceipt(Owned):
    """Append-only: what came on one line at one time, good or not."""

    class Found(models.TextChoices):
        GOOD = "good", _("good")
        WRONG = "wrong", _("wrong part")
        DAMAGED = "damaged", _("damaged")

    line = models.ForeignKey(SupplyLine, on_delete=models.CASCADE, related_name="receipts")
    found = models.CharField(max_length=8, choices=Found)
    quantity = models.PositiveIntegerField()
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    delivery_note = models.CharField(max_length=60, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["line", "pk"]

    def __str__(self) -> str:
        return f"{self.quantity} {self.found}"


class SupplyReturn(Owned):
    """Pieces that go back to a supplier, and the credit that is expected for them."""

    class Why(models.TextChoices):
        WRONG = "wrong", _("wrong part")
        DAMAGED = "damaged", _("damaged")
        NOT_NEEDED = "not_needed", _("not needed")

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="returns")
    line = models.ForeignKey(
        SupplyLine, on_delete=models.PROTECT, null=True, blank=True, related_name="returns"
    )
    part_number = models.CharField(max_length=40)
    text = models.CharField(max_length=160)
    quantity = models.PositiveIntegerField()
    why = models.CharField(max_length=12, choices=Why)
    because = models.CharField(max_length=200, blank=True)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_reference = models.CharField(max_length=60, blank=True)
    credit_expected = models.DecimalField(max_digits=11, decimal_places=2, default=Decimal(0))
    credit_received = models.DecimalField(max_digits=11, decimal_places=2, null=True, blank=True)
    credited_at = models.DateTimeField(null=True, blank=True)
    credit_note = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering: ClassVar = ["-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0, credit_expected__gte=0),
                name="supply_return_sound",
            )
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["workshop", "opened_at"],
                name="supply_return_open",
                condition=models.Q(credited_at__isnull=True),
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.part_number} back"
