"""The estimate as given, and the answer as received. Both are append-only."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Complaint, Payer
from jobs.models.order import RepairOrder
from jobs.models.terms import Terms


class How(models.TextChoices):
    PHONE = "phone", _("by telephone")
    IN_PERSON = "in_person", _("in person")
    EMAIL = "email", _("by e-mail")
    MESSAGE = "message", _("by text message")
    PAYER = "payer", _("from the payer")


class Estimate(models.Model):
    """`total` is before tax; what customer and payer would pay includes it.

    `tolerance_percent` and `return_parts` are the terms as they stood when it was given.
    """

    order = models.ForeignKey(RepairOrder, on_delete=models.CASCADE, related_name="estimates")
    number = models.PositiveSmallIntegerField()
    total = models.DecimalField(max_digits=11, decimal_places=2)
    given_at = models.DateTimeField()
    given_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    given_to = models.CharField(max_length=120)
    how = models.CharField(max_length=12, choices=How)
    contact = models.CharField(max_length=120, blank=True)
    tax = models.DecimalField(max_digits=11, decimal_places=2, default=Decimal(0))
    customer_total = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0))
    payer_total = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0))
    tolerance_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    return_parts = models.CharField(
        max_length=16, choices=Terms.ReturnParts, default=Terms.ReturnParts.ON_REQUEST
    )

    class Meta:
        ordering: ClassVar = ["order", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "number"], name="estimate_number_once")
        ]

    def __str__(self) -> str:
        return f"{self.order} estimate {self.number}: {self.total}"


class EstimateLine(models.Model):
    """What the estimate said, kept as it was said, with who was to bear how much of it and why.

    `condition` stays empty where the terms did not ask for it.
    """

    estimate = models.ForeignKey(Estimate, on_delete=models.CASCADE, related_name="lines")
    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="+")
    row = models.CharField(max_length=24, blank=True)  # which of the job's rows it was
    text = models.CharField(max_length=240)
    amount = models.DecimalField(max_digits=11, decimal_places=2)
    kind = models.CharField(max_length=10, blank=True)  # jobs.pricing.LineKind
    quantity = models.DecimalField(max_digits=8, decimal_places=2, default=Decimal(1))
    unit_price = models.DecimalField(max_digits=11, decimal_places=2, default=Decimal(0))
    condition = models.CharField(max_length=16, blank=True)
    customer_amount = models.DecimalField(max_digits=11, decimal_places=2, default=Decimal(0))
    payer = models.CharField(max_length=20, choices=Payer, default=Payer.CUSTOMER)
    payer_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(100))
    share_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["estimate", "pk"]

    def __str__(self) -> str:
        return f"{self.text} {self.amount}"


class EstimateTax(models.Model):
    estimate = models.ForeignKey(Estimate, on_delete=models.CASCADE, related_name="taxes")
    name = models.CharField(max_length=40)
    percent = models.DecimalField(max_digits=6, decimal_places=3)
    base = models.DecimalField(max_digits=12, decimal_places=2)
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    customer_amount = models.DecimalField(max_digits=12, decimal_places=2)

    class Meta:
        ordering: ClassVar = ["estimate", "pk"]

    def __str__(self) -> str:
        return f"{self.name} {self.amount}"


class Authority(models.Model):
    estimate = models.ForeignKey(Estimate, on_delete=models.PROTECT, related_name="answers")
    who = models.CharField(max_length=120)
    how = models.CharField(max_length=12, choices=How)
    contact = models.CharField(max_length=120, blank=True)
    answered_at = models.DateTimeField()
    recorded_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    amount = models.DecimalField(max_digits=11, decimal_places=2)
    total_after = models.DecimalField(max_digits=11, decimal_places=2)
    total_with_tax = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0))
    customer_after = models.DecimalField(  # before tax; None where nobody worked it out then
        max_digits=12, decimal_places=2, null=True
    )
    parts_wanted = models.CharField(
        max_length=10, choices=RepairOrder.PartsWanted, blank=True
    )  # as said in this answer
    note = models.TextField(blank=True)
    signature = models.TextField(blank=True)  # strokes, see jobs.signature

    class Meta:
        ordering: ClassVar = ["estimate", "pk"]

    def __str__(self) -> str:
        return f"{self.who}: {self.amount}"


class AuthorityLine(models.Model):
    authority = models.ForeignKey(Authority, on_delete=models.CASCADE, related_name="lines")
    complaint = models.ForeignKey(
        Complaint, on_delete=models.CASCADE, related_name="authority_lines"
    )
    decision = models.CharField(max_length=12, choices=Complaint.Decision)

    class Meta:
        ordering: ClassVar = ["authority", "complaint"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["authority", "complaint"], name="one_answer_a_line")
        ]

    def __str__(self) -> str:
        return f"{self.complaint}: {self.decision}"
