"""Reading the place: who is who, vehicles, customers, the log. Nothing here writes."""

from __future__ import annotations

from django.db.models import QuerySet

from shop.actor import Actor
from shop.models import LogEntry, Membership, User, Workshop
from shop.roles import Role


def workshops_of(user: User) -> QuerySet[Workshop]:
    return Workshop.objects.filter(pk__in=Membership.objects.filter(user=user).values("workshop"))


def actor_in(user: User, slug: str) -> Actor | None:
    """The person acting in that workshop, or None when they do not belong to it."""
    rows = list(
        Membership.objects.filter(user=user, workshop__slug=slug).select_related("workshop")
    )
    if not rows:
        return None
    return Actor(user, rows[0].workshop, frozenset(Role(row.role) for row in rows))


def story(actor: Actor, subject_kind: str, subject_id: int) -> QuerySet[LogEntry]:
    """The log lines of one thing, oldest first."""
    return (
        LogEntry.objects.of(actor)
        .filter(subject_kind=subject_kind, subject_id=subject_id)
        .select_related("by")
        .order_by("at", "pk")
    )
