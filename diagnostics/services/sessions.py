"""Opening a session, and what every record in one must first be asked."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.utils import timezone

from diagnostics.models import CatalogueVersion, Session
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Vehicle
from shop.roles import Denied, Permit
from shop.services import acts, log

# The pages for a vehicle that the catalogue does not know: nothing there has a limit.
ANY_OTHER_VEHICLE = "GEN"


@transaction.atomic
def open_session(actor: Actor, *, vehicle: Vehicle, act: UUID | None = None) -> Session:
    """Begin measuring on a vehicle with the newest pages of its platform.

    `act` is None inside another act (taking in), which has claimed its UUID already.
    """
    if act is not None:
        acts.claim(actor, act, "session", about=vehicle)
    check_permit(actor, Permit.DIAGNOSE)
    session = Session.objects.create(
        workshop=actor.workshop,
        vehicle=vehicle,
        version=_newest_pages(vehicle),
        opened_at=clock.now(),
        opened_by=actor.user,
    )
    write(actor, session, "session", f"opened a session with {session.version or 'no pages'}")
    return session


def _newest_pages(vehicle: Vehicle) -> CatalogueVersion | None:
    by_number = CatalogueVersion.objects.order_by("-number")
    own = by_number.filter(platform=vehicle.platform_id).first() if vehicle.platform_id else None
    return own or by_number.filter(platform__code=ANY_OTHER_VEHICLE).first()


def check(actor: Actor, session: Session, permit: Permit = Permit.DIAGNOSE) -> None:
    """Say why this person cannot record anything in this session now, or return in silence."""
    check_permit(actor, permit)
    if session.workshop_id != actor.workshop.pk:
        raise Refusal("This session belongs to another workshop.")
    if session.closed_at is not None:
        when = timezone.localtime(session.closed_at).strftime("%d %B %Y")
        raise Refusal(
            f"This session was closed on {when}; nothing can be added to it. "
            "Take the vehicle in again to go on."
        )


def check_permit(actor: Actor, permit: Permit) -> None:
    answer = actor.answer(permit)
    if isinstance(answer, Denied):
        raise Refusal(answer.reason)


def write(actor: Actor, session: Session, kind: str, words: str, reason: str = "") -> None:
    """One line in the session's story."""
    log.write(
        actor,
        kind=kind,
        subject_kind="session",
        subject_id=session.pk,
        words=words,
        reason=reason,
    )
