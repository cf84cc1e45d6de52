"""Who else may pay: contracts and campaigns of a vehicle, objections, and what was decided."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Complaint, Payer
from shop.models import Owned

_NOT_NEGATIVE = MinValueValidator(Decimal(0))


class ServiceContract(Owned):
    """Bought later, with a start, a deductible and a waiting period of its own."""

    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.CASCADE, related_name="contracts")
    provider = models.CharField(_("who promised it"), max_length=80)
    number = models.CharField(_("contract number"), max_length=40)
    starts_on = models.DateField(_("starts on"))
    starts_at_m = models.BigIntegerField(null=True, blank=True)
    months = models.PositiveSmallIntegerField(_("months"), null=True, blank=True)
    distance_m = models.BigIntegerField(null=True, blank=True)
    waiting_days = models.PositiveSmallIntegerField(_("waiting period, days"), default=0)
    waiting_m = models.BigIntegerField(default=0)
    deductible = models.DecimalField(
        _("deductible a visit"),
        max_digits=9,
        decimal_places=2,
        default=Decimal(0),
        validators=[_NOT_NEGATIVE],
    )
    percent = models.DecimalField(
        _("bears, percent"),
        max_digits=5,
        decimal_places=2,
        default=Decimal(100),
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(Decimal(100))],
    )
    systems = models.ManyToManyField("diagnostics.ChassisSystem", related_name="+", blank=True)
    left_out = models.ManyToManyField("diagnostics.Component", related_name="+", blank=True)
    ended_on = models.DateField(_("ended early on"), null=True, blank=True)
    ended_because = models.CharField(_("why it ended"), max_length=200, blank=True)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["vehicle", "starts_on", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["workshop", "vehicle", "provider", "number"], name="contract_once"
            ),
            models.CheckConstraint(
                condition=models.Q(percent__gt=0, percent__lte=100, deductible__gte=0),
                name="contract_bears_up_to_all",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.provider} {self.number}"


class Campaign(Owned):
    """Recall or campaign work announced for one vehicle, and the day it was carried out."""

    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.CASCADE, related_name="campaigns")
    reference = models.CharField(_("reference"), max_length=40)
    title = models.CharField(_("what is to be done"), max_length=160)
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    announced_on = models.DateField(_("announced on"))
    remedied_on = models.DateField(_("carried out on"), null=True, blank=True)
    remedied_note = models.CharField(_("where, on which order"), max_length=120, blank=True)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["vehicle", "announced_on", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["workshop", "vehicle", "reference"], name="campaign_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.reference} {self.title}"


class Objection(Owned):
    """Why a payer might refuse although its term runs; it counts once a cause is shown."""

    class Reason(models.TextChoices):
        DAMAGE = "damage", _("damage from outside")
        MODIFICATION = "modification", _("a change to the vehicle")
        NEGLECT = "neglect", _("missed maintenance")
        OTHER_BRAND = "other_brand", _("a part or service of another make")

    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="objections")
    reason = models.CharField(_("what is objected"), max_length=16, choices=Reason)
    words = models.CharField(_("what was seen"), max_length=200)
    shown = models.CharField(_("what shows that it caused the failure"), max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["complaint", "pk"]

    def __str__(self) -> str:
        return f"{self.get_reason_display()}: {self.words}"


class CoverageDecision(Owned):
    """What the rules said of one complaint, with the facts they saw, and what a person chose.

    Append-only: the last row of a complaint stands, the others tell what was thought before.
    """

    class Outcome(models.TextChoices):
        COVERED = "covered", _("covered")
        NOT_COVERED = "not_covered", _("not covered")
        NEEDS_PERSON = "needs_person", _("needs a person")

    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="coverage")
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    rules = models.PositiveSmallIntegerField()
    outcome = models.CharField(max_length=16, choices=Outcome)
    because = models.TextField()
    # the facts as they were seen
    seen_on = models.DateField()
    seen_at_m = models.BigIntegerField(null=True, blank=True)
    in_service_on = models.DateField(null=True, blank=True)
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    component_name = models.CharField(max_length=120, blank=True)
    system_name = models.CharField(max_length=80, blank=True)
    failure_words = models.CharField(max_length=160, blank=True)
    no_fault_found = models.BooleanField(default=False)
    unit_words = models.CharField(max_length=200, blank=True)  # the unit that failed, its fitting
    objection_words = models.TextField(blank=True)
    # what a person made of it
    payer = models.CharField(max_length=20, choices=Payer)
    percent = models.DecimalField(max_digits=5, decimal_places=2)
    deductible = models.DecimalField(max_digits=9, decimal_places=2, default=Decimal(0))
    otherwise_because = models.CharField(max_length=200, blank=True)  # not what the rules said

    class Meta:
        ordering: ClassVar = ["complaint", "pk"]

    def __str__(self) -> str:
        return self.because


class CoverageJudgement(models.Model):
    """One term as it was judged then, in the order of asking."""

    decision = models.ForeignKey(
        CoverageDecision, on_delete=models.CASCADE, related_name="judgements"
    )
    order = models.PositiveSmallIntegerField()
    decided = models.BooleanField(default=False)
    kind = models.CharField(max_length=20)
    name = models.CharField(max_length=160)
    source = models.CharField(max_length=200, blank=True)
    outcome = models.CharField(max_length=16, choices=CoverageDecision.Outcome)
    because = models.TextField()
    starts_on = models.DateField(null=True, blank=True)
    last_day = models.DateField(null=True, blank=True)
    days_left = models.IntegerField(null=True, blank=True)
    distance_left_m = models.BigIntegerField(null=True, blank=True)
    percent = models.DecimalField(max_digits=5, decimal_places=2)
    deductible = models.DecimalField(max_digits=9, decimal_places=2)
    missing = models.TextField(blank=True)  # sentences, a line each

    class Meta:
        ordering: ClassVar = ["decision", "order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["decision", "order"], name="judgement_order_once")
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.because}"
