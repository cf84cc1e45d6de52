"""The customer's words, one line each, with the cause, the correction and the payer."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.order import RepairOrder


class Payer(models.TextChoices):
    CUSTOMER = "customer", _("customer")
    CAMPAIGN = "campaign", _("recall or campaign")
    VEHICLE_WARRANTY = "vehicle_warranty", _("vehicle warranty")
    PARTS_WARRANTY = "parts_warranty", _("parts warranty")
    SERVICE_CONTRACT = "service_contract", _("service contract")
    GOODWILL = "goodwill", _("goodwill")
    WORKSHOP = "workshop", _("workshop")


class Complaint(models.Model):
    class Decision(models.TextChoices):
        UNDECIDED = "undecided", _("not answered")
        AUTHORISED = "authorised", _("authorised")
        DECLINED = "declined", _("declined")

    order = models.ForeignKey(RepairOrder, on_delete=models.CASCADE, related_name="complaints")
    line = models.PositiveSmallIntegerField()
    words = models.TextField(_("in the customer's words"))
    system = models.ForeignKey(
        "diagnostics.ChassisSystem",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    payer = models.CharField(_("payer"), max_length=20, choices=Payer, default=Payer.CUSTOMER)
    payer_percent = models.DecimalField(
        _("of this the payer bears, percent"),
        max_digits=5,
        decimal_places=2,
        default=Decimal(100),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
    )
    deductible = models.DecimalField(
        _("the customer bears first"),
        max_digits=9,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0))],
    )
    share_because = models.CharField(_("why it is shared"), max_length=200, blank=True)
    conclusion = models.OneToOneField(
        "diagnostics.Conclusion",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="complaint",
    )
    correction = models.TextField(_("correction"), blank=True)
    decision = models.CharField(max_length=12, choices=Decision, default=Decision.UNDECIDED)
    again = models.ForeignKey(  # what was declined at an earlier visit and is taken up here
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="taken_up"
    )

    class Meta:
        ordering: ClassVar = ["order", "line"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "line"], name="complaint_line_once"),
            models.CheckConstraint(
                condition=models.Q(payer_percent__gte=0, payer_percent__lte=100),
                name="payer_bears_up_to_all",
            ),
            models.CheckConstraint(
                condition=models.Q(deductible__gte=0), name="deductible_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.words
