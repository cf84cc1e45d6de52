"""The workshop's own settings and its bays."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Bay, Workshop
from shop.ports import follower
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@dataclass(frozen=True, slots=True)
class WorkshopSettings:
    name: str
    address: str
    phone: str
    distance_unit: str
    paper: str
    currency: str
    labour_rate: Decimal
    comeback_days: int
    comeback_km: int
    brake_rule: str = ""


_WINDOW = {"comeback_days", "comeback_km"}
_FIELDS = {field.name: field for field in Workshop._meta.fields}


@transaction.atomic
def change_settings(actor: Actor, *, act: UUID, settings: WorkshopSettings) -> None:
    """Raises Refusal when another workshop has the name."""
    acts.claim(actor, act, "workshop settings")
    must(actor, Permit.MANAGE_WORKSHOP)
    workshop = actor.workshop
    if Workshop.objects.filter(name__iexact=settings.name).exclude(pk=workshop.pk).exists():
        raise Refusal("Another workshop here has this name.", field="name")
    changed = [
        field
        for field in WorkshopSettings.__slots__
        if getattr(workshop, field) != getattr(settings, field)
    ]
    if not changed:
        return
    for field in changed:
        setattr(workshop, field, getattr(settings, field))
    workshop.save(update_fields=changed)
    if _WINDOW & set(changed):
        follower().follow_rules(workshop)
    log.write(
        actor,
        kind="workshop",
        subject_kind="workshop",
        subject_id=workshop.pk,
        words="changed the workshop’s "
        + ", ".join(str(_FIELDS[field].verbose_name) for field in changed),
    )


@transaction.atomic
def add_bay(actor: Actor, *, act: UUID, name: str) -> Bay:
    """Raises Refusal when a bay of this name is there already."""
    acts.claim(actor, act, "add bay")
    must(actor, Permit.MANAGE_WORKSHOP)
    if Bay.objects.of(actor).filter(name__iexact=name).exists():
        raise Refusal("There is a bay of this name already.", field="name")
    bay: Bay = Bay.objects.create(workshop=actor.workshop, name=name)
    log.write(
        actor, kind="workshop", subject_kind="bay", subject_id=bay.pk, words=f"added bay {name}"
    )
    return bay


@transaction.atomic
def use_bay(actor: Actor, bay: Bay, *, act: UUID, in_use: bool) -> None:
    """Take a bay out of use, or back into it; jobs that name it keep it."""
    acts.claim(actor, act, "use bay", about=bay)
    must(actor, Permit.MANAGE_WORKSHOP)
    bay.in_use = in_use
    bay.save(update_fields=["in_use"])
    words = f"took bay {bay.name} {'into' if in_use else 'out of'} use"
    log.write(actor, kind="workshop", subject_kind="bay", subject_id=bay.pk, words=words)
