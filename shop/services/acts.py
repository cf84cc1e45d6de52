"""One act, once: the UUID a tablet gave it is claimed in the act's own transaction."""

from __future__ import annotations

from uuid import UUID

from django.db import IntegrityError

from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import Act


def claim(actor: Actor, act: UUID, kind: str) -> None:
    """Take the UUID for this act. Raises AlreadyDone when it was recorded before.

    Call it first inside the service's transaction: when the act is refused, the claim is undone
    with it and the same form may be sent again. AlreadyDone must leave that transaction, which
    can do nothing more.
    """
    try:
        Act.objects.create(workshop=actor.workshop, act=act, kind=kind, by=actor.user)
    except IntegrityError as error:
        raise AlreadyDone(act, kind) from error
