"""A vehicle that will not be seen again, and one that is back after all."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from jobs.models import RepairOrder
from jobs.queries.units import last_contact
from jobs.services import lives, repairs
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Vehicle
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def say(
    actor: Actor, vehicle: Vehicle, *, act: UUID, revision: int, gone: str, gone_on: date
) -> None:
    """The vehicle is gone since a day, in one of the ways of Vehicle.Gone.

    `revision` is the one the person saw: Clash when somebody changed the vehicle since. Raises
    Refusal while it is here, and for a day that is still to come or lies before the last contact.
    """
    acts.claim(actor, act, "vehicle gone", about=vehicle)
    must(actor, Permit.EDIT_VEHICLE)
    if gone not in Vehicle.Gone.values:
        raise Refusal(_("Choose whether it was scrapped or sold."), field="gone")
    _check_day(vehicle, gone_on)
    _write(actor, vehicle, revision, gone, gone_on)
    words = f"{vehicle} is gone since {gone_on.day} {gone_on:%b %Y}: {Vehicle.Gone(gone).label}"
    _keep(actor, vehicle, f"wrote down that {words}")


@transaction.atomic
def undo(actor: Actor, vehicle: Vehicle, *, act: UUID, revision: int) -> None:
    """It was a mistake: the vehicle is not gone, and its units never were. Raises as above."""
    acts.claim(actor, act, "vehicle not gone", about=vehicle)
    must(actor, Permit.EDIT_VEHICLE)
    if not vehicle.gone:
        raise Refusal(_("This vehicle is not down as gone."))
    _write(actor, vehicle, revision, "", None)
    _keep(actor, vehicle, f"took back that {vehicle} is gone")


def undo_when_here(actor: Actor, vehicle: Vehicle) -> None:
    """Within the act that takes it in: it cannot have gone today or later."""
    if vehicle.gone_on is not None and vehicle.gone_on >= clock.today():
        _write(actor, vehicle, vehicle.revision, "", None)
        _keep(actor, vehicle, f"took back that {vehicle} is gone: it was taken in")


def _check_day(vehicle: Vehicle, day: date) -> None:
    here = RepairOrder.objects.filter(vehicle=vehicle, closed_at__isnull=True).first()
    if here is not None:
        raise Refusal(_("It is here on %(order)s: close that first.") % {"order": here.number})
    if day > clock.today():
        raise Refusal(
            _("This day is still to come. Write since when it is gone, or come back after it."),
            field="gone_on",
        )
    last = last_contact(vehicle)
    if last is not None and day < last:
        raise Refusal(
            _("It was last seen on %(day)s: it can only have gone then or later.")
            % {"day": f"{last.day} {last:%B %Y}"},
            field="gone_on",
        )


def _write(actor: Actor, vehicle: Vehicle, revision: int, gone: str, on: date | None) -> None:
    rows = Vehicle.objects.of(actor).filter(pk=vehicle.pk, revision=revision)
    if not rows.update(revision=F("revision") + 1, gone=gone, gone_on=on):
        raise Clash(_("Somebody changed this vehicle meanwhile. The page now shows how it stands."))
    vehicle.refresh_from_db(fields=["gone", "gone_on", "revision"])


def _keep(actor: Actor, vehicle: Vehicle, words: str) -> None:
    log.write(actor, kind="vehicle", subject_kind="vehicle", subject_id=vehicle.pk, words=words)
    lives.refresh(vehicle)
    repairs.refresh(vehicle)
