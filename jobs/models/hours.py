"""Time: who worked on which complaint from when to when, and when people are there."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Complaint
from shop.models import Owned


class ClockEntry(Owned):
    """What the clock said (`started_at`, `ended_at`) and what counts, once it was corrected.

    `counted_from` and `counted_to` equal the clock's own until a ClockCorrection is made.
    """

    class Ended(models.TextChoices):
        PERSON = "person", _("clocked off")
        OTHER_WORK = "other_work", _("clocked on to other work")
        SHIFT = "shift", _("caught at the end of the shift")
        MANAGER = "manager", _("ended by the service manager")

    complaint = models.ForeignKey(Complaint, on_delete=models.PROTECT, related_name="clock_entries")
    user = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    ended = models.CharField(max_length=12, choices=Ended, blank=True)
    counted_from = models.DateTimeField()
    counted_to = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-started_at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["user"],
                condition=models.Q(ended_at__isnull=True),
                name="one_thing_at_a_time",
            ),
            models.CheckConstraint(
                condition=models.Q(ended_at__isnull=True, ended="", counted_to__isnull=True)
                | (
                    models.Q(ended_at__gte=models.F("started_at"))
                    & models.Q(counted_to__gte=models.F("counted_from"))
                    & ~models.Q(ended="")
                ),
                name="clock_ends_after_it_starts",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "user", "counted_from"], name="clock_by_person"),
            models.Index(fields=["workshop", "counted_from"], name="clock_by_day"),
            models.Index(fields=["complaint"], name="clock_by_complaint"),
        ]

    def __str__(self) -> str:
        return f"{self.user} {self.started_at:%Y-%m-%d %H:%M}"


class ClockCorrection(models.Model):
    """Append-only: what the manager set, and why."""

    entry = models.ForeignKey(ClockEntry, on_delete=models.CASCADE, related_name="corrections")
    counted_from = models.DateTimeField()
    counted_to = models.DateTimeField()
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    because = models.TextField()

    class Meta:
        ordering: ClassVar = ["entry", "pk"]

    def __str__(self) -> str:
        return f"{self.entry} corrected"


class WorkingHours(Owned):
    """When a person is there on one day of the week; an end before its start is next morning."""

    user = models.ForeignKey("shop.User", on_delete=models.CASCADE, related_name="+")
    weekday = models.PositiveSmallIntegerField()  # 0 is Monday, as in ISO 8601 less one
    starts = models.TimeField()
    ends = models.TimeField()
    break_minutes = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["user", "weekday"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["workshop", "user", "weekday"], name="one_shift_a_weekday"
            ),
            models.CheckConstraint(condition=models.Q(weekday__lte=6), name="weekday_is_one"),
        ]

    def __str__(self) -> str:
        return f"{self.user} {self.weekday}: {self.starts}-{self.ends}"


class Absence(Owned):
    """Days on which a person is not there, both included."""

    user = models.ForeignKey("shop.User", on_delete=models.CASCADE, related_name="+")
    first_on = models.DateField()
    last_on = models.DateField()
    because = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering: ClassVar = ["-first_on", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(last_on__gte=models.F("first_on")),
                name="absence_ends_after_it_starts",
            )
        ]
        indexes: ClassVar = [
            models.Index(fields=["workshop", "user", "first_on"], name="absence_by_person")
        ]

    def __str__(self) -> str:
        return f"{self.user} {self.first_on} to {self.last_on}"
