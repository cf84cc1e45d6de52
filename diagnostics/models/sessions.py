"""What was seen, read and measured on one vehicle at one visit. Rows are append-only."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from diagnostics.models.catalogue import (
    CatalogueVersion,
    Component,
    FailureMode,
    FlagDefinition,
    Position,
    TelltaleRule,
)
from diagnostics.models.limits import Limit, Quantity
from diagnostics.models.procedures import Procedure, Step, StepOutcome
from shop.models import Owned


class Phase(models.TextChoices):
    AS_FOUND = "as_found", _("as found")
    AFTER_REPAIR = "after_repair", _("after repair")


class Session(Owned):
    """Measuring on one vehicle with one catalogue version; may exist with no repair order."""

    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.PROTECT, related_name="sessions")
    version = models.ForeignKey(
        CatalogueVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    phase = models.CharField(max_length=12, choices=Phase, default=Phase.AS_FOUND)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-opened_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.vehicle} {self.opened_at:%Y-%m-%d}"


class Recorded(models.Model):
    """Abstract: a fact of a session, by whom and when."""

    session = models.ForeignKey(Session, on_delete=models.CASCADE, related_name="%(class)ss")
    phase = models.CharField(max_length=12, choices=Phase)
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class LampCheck(Recorded):
    """One look at the lamps, with what the rules made of it then."""

    rule = models.ForeignKey(TelltaleRule, on_delete=models.PROTECT, null=True, related_name="+")
    says = models.TextField()
    first = models.TextField(blank=True)
    may_drive = models.BooleanField(null=True)  # null: too little was seen to say
    unsafe = models.BooleanField()
    normal = models.BooleanField()  # bulb check passed and every lamp dark with the engine running

    class Meta:
        ordering: ClassVar = ["session", "pk"]

    def __str__(self) -> str:
        return self.says


class TelltaleObservation(models.Model):
    check_made = models.ForeignKey(LampCheck, on_delete=models.CASCADE, related_name="observations")
    lamp = models.CharField(max_length=20)
    situation = models.CharField(max_length=16)
    shown = models.CharField(max_length=12)

    class Meta:
        ordering: ClassVar = ["check_made", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["check_made", "lamp", "situation"], name="lamp_once_per_check"
            )
        ]

    def __str__(self) -> str:
        return f"{self.lamp}, {self.situation}: {self.shown}"


class FlagRead(Recorded):
    """One reading-out of a module's memory; none stored is a result too."""

    module = models.CharField(max_length=80)
    none_stored = models.BooleanField()
    raw = models.TextField(blank=True)  # what the tester returned, as it was pasted
    availability = models.PositiveSmallIntegerField(null=True)  # status bits that mean something

    class Meta:
        ordering: ClassVar = ["session", "pk"]

    def __str__(self) -> str:
        return f"{self.module} {self.phase}"


class StoredFlag(models.Model):
    class Status(models.TextChoices):
        PRESENT_NOW = "present_now", _("present now")
        THIS_DRIVE = "this_drive", _("happened this drive")
        PENDING = "pending", _("pending")
        STORED = "stored", _("stored")
        SINCE_CLEAR = "since_clear", _("failed since clear")
        NOT_TESTED = "not_tested", _("not tested since clear")
        QUIET = "quiet", _("not failing")

    read = models.ForeignKey(FlagRead, on_delete=models.CASCADE, related_name="flags")
    code = models.CharField(max_length=5)
    failure_type = models.CharField(max_length=2, blank=True)
    symptom = models.BooleanField(default=False)  # the suffix is the tester's own, no failure type
    status = models.CharField(max_length=12, choices=Status)
    status_byte = models.PositiveSmallIntegerField(null=True)  # null when it was typed in words
    lamp_requested = models.BooleanField(default=False)
    definition = models.ForeignKey(
        FlagDefinition, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["read", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["read", "code", "failure_type"], name="flag_once_per_read"
            )
        ]

    def __str__(self) -> str:
        return self.code


class FlagClearing(Recorded):
    """The modules' memories were cleared; flags read before are not read as present after."""

    module = models.CharField(max_length=80)

    class Meta:
        ordering: ClassVar = ["session", "pk"]

    def __str__(self) -> str:
        return f"{self.module} cleared"


class ProcedureRun(Recorded):
    procedure = models.ForeignKey(Procedure, on_delete=models.PROTECT, related_name="+")
    corner = models.CharField(max_length=8, choices=Position, blank=True)  # what is suspected
    current = models.ForeignKey(Step, on_delete=models.PROTECT, null=True, related_name="+")
    finished_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["session", "pk"]

    def __str__(self) -> str:
        return str(self.procedure)


class Readings(models.QuerySet["Reading"]):
    def standing(self) -> Readings:
        """Those that nothing has replaced: neither a reading nor the measurement they came from."""
        worked_out_anew = models.Q(measurement__replaced_by__isnull=False)
        return self.filter(replaced_by=None).exclude(worked_out_anew)


class Reading(Recorded):
    """One measured value with the verdict and the limit it was judged by. Never edited."""

    quantity = models.ForeignKey(Quantity, on_delete=models.PROTECT, related_name="+")
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    typed_value = models.CharField(max_length=24)
    typed_unit = models.CharField(max_length=12)
    value = models.FloatField(null=True)  # SI; null when the instrument showed over range
    over_range = models.BooleanField(default=False)
    uncertainty = models.FloatField(null=True, blank=True)  # SI, of the tool really used
    unit_confirmed = models.BooleanField(default=False)  # asked whether the unit is right
    temperature_k = models.FloatField(null=True, blank=True)
    pressure_pa = models.FloatField(null=True, blank=True)
    engine = models.CharField(max_length=8, choices=Limit.Engine, blank=True)
    conditions = models.CharField(max_length=200, blank=True)
    judged_value = models.FloatField(null=True)  # SI, after correction to the limit's conditions
    verdict = models.CharField(max_length=12)
    reason = models.TextField()
    limit = models.ForeignKey(Limit, on_delete=models.PROTECT, null=True, related_name="+")
    limit_low = models.FloatField(null=True)
    limit_high = models.FloatField(null=True)
    limit_unit = models.CharField(max_length=12, blank=True)
    limit_conditions = models.CharField(max_length=200, blank=True)
    limit_source = models.CharField(max_length=200, blank=True)
    measurement = models.ForeignKey(
        "diagnostics.Measurement",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="readings",
    )  # the figures it was worked out from, when it was not read off an instrument
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    replaced_because = models.CharField(max_length=200, blank=True)

    objects = Readings.as_manager()

    class Meta:
        ordering: ClassVar = ["session", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(value__isnull=True, over_range=True)
                | models.Q(value__isnull=False, over_range=False),
                name="reading_has_a_value_or_is_over_range",
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.position} {self.typed_value} {self.typed_unit}"


class StepResult(Recorded):
    """What was answered at a step; a later result at the same step of a run stands in its place."""

    run = models.ForeignKey(ProcedureRun, on_delete=models.CASCADE, related_name="results")
    step = models.ForeignKey(Step, on_delete=models.PROTECT, related_name="+")
    outcome = models.ForeignKey(StepOutcome, on_delete=models.PROTECT, null=True, related_name="+")
    acknowledged = models.BooleanField(default=False)
    note = models.TextField(blank=True)
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, null=True, related_name="+")
    skipped_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["run", "pk"]

    def __str__(self) -> str:
        return f"{self.step}: {self.outcome or self.note}"


class Conclusion(Recorded):
    """What is at fault and how, or that nothing was found. A later one replaces, never edits."""

    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    failure_mode = models.ForeignKey(
        FailureMode, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    no_fault_found = models.BooleanField(default=False)
    words = models.TextField(blank=True)
    evidenced = models.BooleanField()
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )

    class Meta:
        ordering: ClassVar = ["session", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(no_fault_found=True, component__isnull=True)
                | models.Q(no_fault_found=False, component__isnull=False),
                name="conclusion_names_a_component_or_no_fault",
            )
        ]

    def __str__(self) -> str:
        if self.no_fault_found:
            return str(_("No fault found"))
        where = f"{self.component} {self.position}".strip()
        return f"{where}: {self.failure_mode}" if self.failure_mode else where


class Evidence(models.Model):
    """One recorded fact chosen to carry a conclusion."""

    conclusion = models.ForeignKey(Conclusion, on_delete=models.CASCADE, related_name="evidence")
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, null=True, related_name="+")
    flag = models.ForeignKey(StoredFlag, on_delete=models.PROTECT, null=True, related_name="+")
    step_result = models.ForeignKey(
        StepResult, on_delete=models.PROTECT, null=True, related_name="+"
    )
    lamp_check = models.ForeignKey(LampCheck, on_delete=models.PROTECT, null=True, related_name="+")
    flag_read = models.ForeignKey(FlagRead, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar = ["conclusion", "pk"]

    def __str__(self) -> str:
        chosen = self.reading or self.flag or self.step_result or self.lamp_check or self.flag_read
        return str(chosen)
