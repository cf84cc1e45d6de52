"""Reading the log. Nothing here writes."""

from __future__ import annotations

from django.db.models import QuerySet

from shop.actor import Actor
from shop.models import LogEntry


def log_of(actor: Actor) -> QuerySet[LogEntry]:
    """Everything done in the workshop, newest first."""
    rows: QuerySet[LogEntry] = LogEntry.objects.of(actor).select_related("by")
    return rows


def story(actor: Actor, subject_kind: str, subject_id: int) -> QuerySet[LogEntry]:
    """The log lines of one thing, oldest first."""
    return (
        log_of(actor).filter(subject_kind=subject_kind, subject_id=subject_id).order_by("at", "pk")
    )
