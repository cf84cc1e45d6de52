"""The bill as it was issued. Nothing here ever changes; a credit note corrects it."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.db.models.expressions import CombinedExpression
from django.db.models.functions import Round
from django.db.models.lookups import Exact
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Payer
from jobs.models.order import RepairOrder
from shop.models import Owned


def _money() -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0))


def _cents(first: str, *more: str) -> Round:
    """The sum of columns, to the cent: SQLite adds decimals as binary fractions."""
    summed: models.F | CombinedExpression = models.F(first)
    for name in more:
        summed = summed + models.F(name)
    return Round(summed, 2)


class Invoice(Owned):
    """An invoice, or a credit note that `corrects` one. All amounts of both are positive.

    Who and what is written out as it stood on the day. Only `paid` and `credited` move on, with
    the payments and credit notes whose sums they are. `owed` is what the customer still has to
    pay; below zero the workshop has that much to pay back, after a credit on what was paid.
    """

    class Kind(models.TextChoices):
        INVOICE = "invoice", _("invoice")
        CREDIT = "credit", _("credit note")

    kind = models.CharField(max_length=8, choices=Kind)
    serial = models.PositiveIntegerField()
    number = models.CharField(max_length=16)
    order = models.ForeignKey(RepairOrder, on_delete=models.PROTECT, related_name="invoices")
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="credits"
    )
    because = models.TextField(blank=True)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    to_name = models.CharField(max_length=120)
    to_contact = models.CharField(max_length=300, blank=True)
    from_words = models.TextField(blank=True)  # the workshop, as it was called on the day
    currency = models.CharField(max_length=8, blank=True)
    vehicle_words = models.CharField(max_length=200)
    vin = models.CharField(max_length=17)
    plate = models.CharField(max_length=16, blank=True)
    odometer_words = models.CharField(max_length=80)
    assemblies = _money()
    labour = _money()
    sublet = _money()
    tax = _money()
    total = _money()
    customer_total = _money()
    payer_total = _money()
    authorised_total = _money()  # before tax, as the last answer left it
    authorised_words = models.TextField(blank=True)  # each answer: who, how, when, how much
    rounding = models.CharField(max_length=8, default="total")  # jobs.bill.Rounding
    parts_words = models.TextField(blank=True)  # what happens to the replaced parts
    note = models.TextField(blank=True)
    signature = models.TextField(blank=True)
    paid = _money()
    credited = _money()
    owed = _money()
    standing = models.BooleanField(default=True)  # False once credited in full

    class Meta:
        ordering: ClassVar = ["-issued_at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["workshop", "kind", "serial"], name="invoice_serial_once"
            ),
            models.UniqueConstraint(fields=["workshop", "number"], name="invoice_number_once"),
            models.UniqueConstraint(
                fields=["order"],
                condition=models.Q(kind="invoice", standing=True),
                name="one_standing_invoice",
            ),
            models.CheckConstraint(
                condition=Exact(_cents("total"), _cents("assemblies", "labour", "sublet", "tax"))
                & Exact(_cents("total"), _cents("customer_total", "payer_total")),
                name="invoice_adds_up",
            ),
            models.CheckConstraint(
                condition=models.Q(kind="invoice", corrects__isnull=True)
                | models.Q(kind="credit", corrects__isnull=False),
                name="credit_corrects_an_invoice",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "-issued_at"], name="invoice_by_day"),
            models.Index(
                fields=["workshop", "issued_at"],
                name="invoice_owed",
                condition=models.Q(owed__gt=0),
            ),
            models.Index(
                fields=["workshop", "issued_at"],
                name="invoice_borne",
                condition=models.Q(kind="invoice", standing=True, payer_total__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def over(self) -> Decimal:
        """What is to be paid back, above zero."""
        over: Decimal = max(-self.owed, Decimal("0.00"))
        return over


class InvoiceLine(models.Model):
    class Kind(models.TextChoices):
        ASSEMBLY = "assembly", _("part")
        MATERIAL = "material", _("material")
        LABOUR = "labour", _("labour")
        DIAGNOSIS = "diagnosis", _("diagnosis")
        SUBLET = "sublet", _("sublet work")

    invoice = models.ForeignKey(Invoice, on_delete=models.CASCADE, related_name="lines")
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="credits"
    )
    complaint_line = models.PositiveSmallIntegerField()
    complaint_words = models.TextField(blank=True)
    kind = models.CharField(max_length=10, choices=Kind)
    text = models.CharField(max_length=240)
    condition = models.CharField(max_length=16, blank=True)
    quantity = models.DecimalField(max_digits=8, decimal_places=2)
    unit_price = models.DecimalField(max_digits=11, decimal_places=2)
    amount = _money()
    payer = models.CharField(max_length=20, choices=Payer)
    customer_amount = _money()
    payer_amount = _money()

    class Meta:
        ordering: ClassVar = ["invoice", "complaint_line", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Exact(_cents("amount"), _cents("customer_amount", "payer_amount")),
                name="invoice_line_is_shared_out",
            )
        ]

    def __str__(self) -> str:
        return f"{self.text} {self.amount}"

    @property
    def billed(self) -> Decimal | None:
        """On a credit note, of what amount this is only a part; None where all of it comes back."""
        if self.corrects is None or self.corrects.amount == self.amount:
            return None
        whole: Decimal = self.corrects.amount
        return whole


class InvoiceTax(models.Model):
    invoice = models.ForeignKey(Invoice, on_delete=models.CASCADE, related_name="taxes")
    name = models.CharField(max_length=40)
    percent = models.DecimalField(max_digits=6, decimal_places=3)
    on = models.CharField(max_length=40, blank=True)  # groups of jobs.pricing, a space between
    customer_only = models.BooleanField(default=False)
    base = _money()
    amount = _money()
    customer_amount = _money()

    class Meta:
        ordering: ClassVar = ["invoice", "pk"]

    def __str__(self) -> str:
        return f"{self.name} {self.amount}"


class Payment(Owned):
    """Money that came in (or, below zero, was paid back). Append-only; no card data is taken."""

    class How(models.TextChoices):
        CASH = "cash", _("cash")
        CARD = "card", _("card")
        TRANSFER = "transfer", _("bank transfer")

    serial = models.PositiveIntegerField()
    number = models.CharField(max_length=16)
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="payments")
    how = models.CharField(max_length=10, choices=How)
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    reference = models.CharField(max_length=60, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "serial"], name="receipt_serial_once"),
            models.CheckConstraint(condition=~models.Q(amount=0), name="payment_is_money"),
        ]
        indexes: ClassVar = [models.Index(fields=["workshop", "-at"], name="payment_by_day")]

    def __str__(self) -> str:
        return f"{self.number} {self.amount}"
