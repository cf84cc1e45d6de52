"""Who did what when. Both tables are append-only."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from shop.models.base import Owned


class Act(Owned):
    """One thing a person did, by the UUID their tablet gave it: sent twice, done once."""

    act = models.UUIDField(unique=True)
    kind = models.CharField(max_length=40)
    subject = models.CharField(max_length=40, blank=True)  # what it was done to: "session 12"
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.kind} {self.act}"


class LogEntry(Owned):
    """A line of the story. `subject` is (kind, id) text, shown and filtered, never joined."""

    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+", null=True)
    kind = models.CharField(max_length=40)
    subject_kind = models.CharField(max_length=12)
    subject_id = models.BigIntegerField()
    words = models.TextField()
    reason = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        indexes: ClassVar = [
            models.Index(fields=["subject_kind", "subject_id", "at"], name="log_by_subject"),
            models.Index(fields=["workshop", "kind", "-at"], name="log_by_kind"),
        ]

    def __str__(self) -> str:
        return self.words
