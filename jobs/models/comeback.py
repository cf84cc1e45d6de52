"""Repairs that were handed over, and the returns that may be their comebacks."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Complaint
from shop.models import Owned


class CauseClass(models.TextChoices):
    """Why a vehicle came back, as the service manager decided. The last two do not count."""

    WORKMANSHIP = "workmanship", _("workmanship")
    PART = "part", _("the part")
    WRONG_DIAGNOSIS = "wrong_diagnosis", _("wrong diagnosis")
    NOT_FOUND = "not_found", _("intermittent, not found")
    NOT_OURS = "not_ours", _("not ours")
    UNRELATED = "unrelated", _("unrelated")


class Repair(Owned):
    """A complaint that was answered and handed over: the clock of its comebacks.

    Days are ordinals as in FittedUnit. Kept by jobs.services.repairs; `manage.py lives` works them
    all out anew. `back_day`: the first return that counts, one that is not decided yet among them.
    """

    complaint = models.OneToOneField(
        Complaint, on_delete=models.CASCADE, primary_key=True, related_name="repair"
    )
    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.PROTECT, related_name="repairs")
    system = models.ForeignKey(
        "diagnostics.ChassisSystem", on_delete=models.PROTECT, null=True, related_name="+"
    )
    component = models.ForeignKey(
        "diagnostics.Component", on_delete=models.PROTECT, null=True, related_name="+"
    )
    technician = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, related_name="+"
    )
    supplier = models.CharField(max_length=80, blank=True)
    batch = models.CharField(max_length=40, blank=True)
    no_fault_found = models.BooleanField(default=False)
    handed_day = models.IntegerField()
    handed_m = models.BigIntegerField(null=True)
    seen_day = models.IntegerField()  # the last contact with the vehicle, not before `handed_day`
    back_day = models.IntegerField(null=True)

    class Meta:
        ordering: ClassVar = ["-handed_day", "-pk"]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "handed_day"], name="repair_by_day"),
            models.Index(fields=["vehicle", "-handed_day"], name="repair_by_vehicle"),
        ]

    def __str__(self) -> str:
        return str(self.complaint)


class Comeback(Owned):
    """A complaint that may be the return of an earlier repair: proposed by the rule or by hand.

    `cause` empty: the service manager has not decided yet.
    """

    class Because(models.TextChoices):
        COMPONENT = "component", _("the same component")
        SYSTEM = "system", _("the same system")
        BY_HAND = "by_hand", _("put in by hand")

    complaint = models.OneToOneField(
        Complaint, on_delete=models.CASCADE, primary_key=True, related_name="comeback"
    )
    repair = models.ForeignKey(Repair, on_delete=models.PROTECT, related_name="comebacks")
    because = models.CharField(max_length=10, choices=Because)
    days = models.PositiveIntegerField()
    metres = models.BigIntegerField(null=True)
    proposed_at = models.DateTimeField()
    cause = models.CharField(max_length=16, choices=CauseClass, blank=True)
    reason = models.TextField(_("what it rests on"), blank=True)
    decided_at = models.DateTimeField(null=True)
    decided_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, related_name="+"
    )
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["-proposed_at", "-pk"]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "cause", "-proposed_at"], name="comeback_by_cause"),
            models.Index(fields=["repair"], name="comeback_of_repair"),
        ]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(cause="", decided_at__isnull=True)
                | (~models.Q(cause="") & models.Q(decided_at__isnull=False)),
                name="comeback_decided_has_a_cause",
            )
        ]

    def __str__(self) -> str:
        return f"{self.complaint}: {self.get_cause_display() or _('not decided')}"
