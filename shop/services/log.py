"""The one way a line enters the log."""

from __future__ import annotations

from datetime import datetime

from shop import clock
from shop.actor import Actor
from shop.models import LogEntry


def write(
    actor: Actor,
    *,
    kind: str,
    subject_kind: str,
    subject_id: int,
    words: str,
    reason: str = "",
    at: datetime | None = None,
) -> LogEntry:
    """Append who did what when. `words` reads on after the person's name, without a full stop.

    What a command did by itself has nobody's name: its actor's user is not in the database.
    """
    return LogEntry.objects.create(
        workshop=actor.workshop,
        at=at or clock.now(),
        by=actor.user if actor.user.pk else None,
        kind=kind,
        subject_kind=subject_kind,
        subject_id=subject_id,
        words=words,
        reason=reason,
    )
