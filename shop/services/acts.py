"""One act, once: the UUID a tablet gave it is claimed in the act's own transaction."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from uuid import UUID

from django.db import IntegrityError
from django.db.models import Model

from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import Act

LONGEST = 40  # what the column holds


def claim(
    actor: Actor,
    act: UUID,
    kind: str,
    *,
    about: Model | tuple[Model, ...] | None = None,
    sent: Iterable[object] = (),
) -> None:
    """Take the UUID for this act. Raises AlreadyDone when it was recorded before.

    about: what the act is done to; the same UUID for another thing is no second sending.
    sent: what was ticked or typed, where no one thing stands yet that the act could be about.
    Call it first inside the service's transaction: when the act is refused, the claim is undone
    with it and the same form may be sent again. AlreadyDone must leave that transaction, which
    can do nothing more.
    """
    things = about if isinstance(about, tuple) else (about,) if about else ()
    subject = " ".join(f"{thing._meta.model_name} {thing.pk}" for thing in things)
    if typed := [repr(one) for one in sent]:
        subject = f"{subject} sent {' '.join(typed)}".strip()
    if len(subject) > LONGEST:
        # Cut off, two long ones would be the same thing.
        subject = sha256(subject.encode()).hexdigest()[:LONGEST]
    try:
        Act.objects.create(
            workshop=actor.workshop, act=act, kind=kind, subject=subject, by=actor.user
        )
    except IntegrityError as error:
        raise AlreadyDone(act, kind, subject) from error
