"""Who did what when on a job: the order's lines and its session's, in one telling."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from jobs.models import RepairOrder
from shop.actor import Actor
from shop.models import LogEntry
from shop.queries.log import log_of


def story_of(actor: Actor, order: RepairOrder) -> QuerySet[LogEntry]:
    """Oldest first. A conclusion is told once, by the order's line with the complaint's number."""
    of_order = Q(subject_kind="order", subject_id=order.pk)
    of_session = Q(subject_kind="session", subject_id=order.session_id) & ~Q(kind="conclusion")
    return log_of(actor).filter(of_order | of_session).order_by("at", "pk")
