"""What payers paid: files as they came, their rows, and the payments that were booked."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.claim import Claim, ClaimPayer
from shop.models import Owned

_ZERO = Decimal(0)


def _money(**more: Any) -> models.DecimalField[Any, Any]:
    return models.DecimalField(max_digits=10, decimal_places=2, **more)


class PaymentFile(Owned):
    """One file of a payer. The same bytes are taken once."""

    payer = models.ForeignKey(ClaimPayer, on_delete=models.PROTECT, related_name="files")
    name = models.CharField(max_length=120)
    sha256 = models.CharField(max_length=64)
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "sha256"], name="payment_file_once")
        ]

    def __str__(self) -> str:
        return self.name


class ClaimPayment(Owned):
    """Money that came for a claim, by what it pays for; a row of the other sign takes it back."""

    class Kind(models.TextChoices):
        PAID = "paid", _("paid")
        TAKEN_BACK = "taken_back", _("taken back by the payer")

    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.PAID)
    paid_on = models.DateField(_("paid on"))
    reference = models.CharField(_("reference"), max_length=60, blank=True)
    labour = _money(default=_ZERO)
    parts = _money(default=_ZERO)
    handling = _money(default=_ZERO)
    sublet = _money(default=_ZERO)
    tax = _money(default=_ZERO)
    amount = _money()  # the sum of the five; above nought when paid, below when taken back
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["claim", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(kind="paid", amount__gt=0)
                | models.Q(kind="taken_back", amount__lt=0),
                name="payment_has_its_sign",
            )
        ]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "paid_on"], name="claim_payments_by_day")
        ]

    def __str__(self) -> str:
        return f"{self.claim}: {self.amount}"


class PaymentRow(models.Model):
    """One line of a file as it was read, and what became of it."""

    class Match(models.TextChoices):
        EXACT = "exact", _("matched")
        PROBABLE = "probable", _("probably this one")
        NONE = "none", _("no claim found")

    file = models.ForeignKey(PaymentFile, on_delete=models.PROTECT, related_name="rows")
    line = models.PositiveIntegerField()
    claim_number = models.CharField(max_length=60, blank=True)
    order_number = models.CharField(max_length=60, blank=True)
    vin = models.CharField(max_length=40, blank=True)
    reference = models.CharField(max_length=60, blank=True)
    paid_on = models.DateField()
    labour = _money(default=_ZERO)
    parts = _money(default=_ZERO)
    handling = _money(default=_ZERO)
    sublet = _money(default=_ZERO)
    tax = _money(default=_ZERO)
    amount = _money()
    match = models.CharField(max_length=10, choices=Match)
    because = models.CharField(max_length=200)
    claim = models.ForeignKey(
        Claim, on_delete=models.PROTECT, null=True, blank=True, related_name="payment_rows"
    )
    payment = models.OneToOneField(
        ClaimPayment, on_delete=models.PROTECT, null=True, blank=True, related_name="file_row"
    )
    set_aside_at = models.DateTimeField(null=True, blank=True)
    set_aside_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["file", "line"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["file", "line"], name="payment_row_once")
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["file", "line"],
                name="payment_rows_open",
                condition=models.Q(payment__isnull=True, set_aside_at__isnull=True),
            ),
            models.Index(fields=["paid_on", "amount"], name="payment_rows_alike"),
        ]

    def __str__(self) -> str:
        return f"{self.file} {self.line}"
