"""How a workshop bills: rates, markup, taxes, and the terms that local law sets."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Payer
from shop.models import Owned

_NOT_NEGATIVE = MinValueValidator(Decimal(0))
_UP_TO_HUNDRED = [_NOT_NEGATIVE, MaxValueValidator(Decimal(100))]


class Terms(models.Model):
    """One row per workshop; jobs.queries.terms gives the strict default where none is kept.

    `profile` names the set of jobs.jurisdictions from which the rest was filled in.
    """

    class ReturnParts(models.TextChoices):
        ON_REQUEST = "on_request", _("returned if asked for when the work is authorised")
        UNLESS_WAIVED = "unless_waived", _("returned unless the customer waives it")

    class TaxRounding(models.TextChoices):
        LINE = "line", _("on each line")
        TOTAL = "total", _("on the total")

    workshop = models.OneToOneField("shop.Workshop", on_delete=models.CASCADE, related_name="terms")
    profile = models.SlugField(max_length=20, default="strict")
    tolerance_percent = models.DecimalField(
        _("work may cost more than authorised by, percent"),
        max_digits=5,
        decimal_places=2,
        default=Decimal(0),
        validators=_UP_TO_HUNDRED,
    )
    list_condition = models.BooleanField(
        _("say of each part whether it is new, used, reconditioned or rebuilt"), default=True
    )
    list_unpaid_work = models.BooleanField(
        _("list diagnosis and warranty work on the invoice too"), default=True
    )
    return_parts = models.CharField(
        _("replaced parts"), max_length=16, choices=ReturnParts, default=ReturnParts.ON_REQUEST
    )
    keep_replaced_days = models.PositiveSmallIntegerField(
        _("keep replaced parts after delivery, days"), default=0
    )
    hold_days = models.PositiveSmallIntegerField(
        _("hold parts that a payer may ask for, days"), default=30
    )
    record_years = models.PositiveSmallIntegerField(_("keep records, years"), default=3)
    tax_rounding = models.CharField(
        _("tax is rounded"), max_length=8, choices=TaxRounding, default=TaxRounding.TOTAL
    )
    tax_number = models.CharField(_("tax or registration number"), max_length=40, blank=True)
    invoice_note = models.TextField(_("words under an invoice"), blank=True)
    tag_width_mm = models.PositiveSmallIntegerField(
        _("tag width, mm"), default=100, validators=[MinValueValidator(40), MaxValueValidator(210)]
    )
    tag_height_mm = models.PositiveSmallIntegerField(
        _("tag height, mm"), default=62, validators=[MinValueValidator(25), MaxValueValidator(297)]
    )
    service_level = models.DecimalField(
        _("demands served from the shelf at once, percent"),
        max_digits=4,
        decimal_places=1,
        default=Decimal("95.0"),
        validators=[MinValueValidator(Decimal(50)), MaxValueValidator(Decimal("99.9"))],
    )
    grace_minutes = models.PositiveSmallIntegerField(
        _("a clock may run on after the shift, minutes"), default=30
    )
    labour_cost_rate = models.DecimalField(
        _("what an hour of work costs the workshop"),
        max_digits=9,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[_NOT_NEGATIVE],
    )
    safety_office = models.CharField(
        _("who takes safety-defect complaints in this country"), max_length=120, blank=True
    )
    safety_place = models.CharField(
        _("where they are made: address or telephone"), max_length=200, blank=True
    )
    safety_failures = models.PositiveSmallIntegerField(
        _("offer a safety-defect complaint after so many like failures in twelve months"),
        default=3,
        validators=[MinValueValidator(2)],
    )
    revision = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return f"{self.workshop}: {self.profile}"


class LabourRate(Owned):
    """The hourly rate one kind of payer is charged; without a row the workshop's own holds."""

    payer = models.CharField(max_length=20, choices=Payer)
    rate = models.DecimalField(max_digits=9, decimal_places=2, validators=[_NOT_NEGATIVE])

    class Meta:
        ordering: ClassVar = ["workshop", "payer"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "payer"], name="one_rate_a_payer"),
            models.CheckConstraint(condition=models.Q(rate__gte=0), name="rate_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.payer} {self.rate}"


class MarkupBand(Owned):
    """From this cost on, a part is sold at cost plus `percent`."""

    from_cost = models.DecimalField(max_digits=10, decimal_places=2, validators=[_NOT_NEGATIVE])
    percent = models.DecimalField(max_digits=6, decimal_places=2, validators=[_NOT_NEGATIVE])

    class Meta:
        ordering: ClassVar = ["workshop", "from_cost"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "from_cost"], name="one_markup_a_cost"),
            models.CheckConstraint(
                condition=models.Q(from_cost__gte=0, percent__gte=0), name="markup_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.from_cost}: {self.percent} %"


class Tax(Owned):
    """One tax: its rate, what is taxed, and whether a payer other than the customer pays it."""

    name = models.CharField(_("name on papers"), max_length=40)
    percent = models.DecimalField(
        _("percent"), max_digits=6, decimal_places=3, validators=_UP_TO_HUNDRED
    )
    on_assemblies = models.BooleanField(_("on parts and materials"), default=True)
    on_labour = models.BooleanField(_("on labour"), default=False)
    on_sublet = models.BooleanField(_("on sublet work"), default=False)
    customer_only = models.BooleanField(_("only on what the customer pays"), default=False)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["workshop", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                condition=models.Q(retired=False),
                name="one_tax_of_a_name",
            ),
            models.CheckConstraint(
                condition=models.Q(percent__gte=0, percent__lte=100), name="tax_up_to_hundred"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.percent} %"
