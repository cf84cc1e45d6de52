"""What was recorded under an act's UUID. Nothing here writes."""

from __future__ import annotations

from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import Act


def was_this(actor: Actor, done: AlreadyDone) -> bool:
    """Whether the act found under the UUID is the same: by kind, thing, person and workshop.

    Acts recorded before their thing was kept have none, and count as the same.
    Ask it after the refused transaction has ended.
    """
    rows = Act.objects.of(actor).filter(
        act=done.act, kind=done.kind, by=actor.user, subject__in={"", done.subject}
    )
    return rows.exists()
