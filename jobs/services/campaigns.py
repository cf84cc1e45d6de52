"""Recall and campaign work of one vehicle: announced, carried out, and put back when it was not."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F

from diagnostics.models import Component
from jobs.models import Campaign
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Vehicle
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

_AHEAD = "This day is still to come."


@transaction.atomic
def announce(
    actor: Actor,
    *,
    act: UUID,
    vehicle: Vehicle,
    reference: str,
    title: str,
    announced_on: date,
    component: Component | None = None,
) -> Campaign:
    """Put down that work is announced for this vehicle."""
    acts.claim(actor, act, "announce campaign", about=vehicle, sent=[reference])
    must(actor, Permit.DECIDE_COVERAGE)
    if announced_on > clock.today():
        raise Refusal(_AHEAD, field="announced_on")
    if component and component.platform_id != vehicle.platform_id:
        raise Refusal("Choose a component of this vehicle.", field="component")
    try:
        with transaction.atomic():
            row: Campaign = Campaign.objects.create(
                workshop=actor.workshop,
                vehicle=vehicle,
                reference=reference.strip().upper(),
                title=title.strip(),
                announced_on=announced_on,
                component=component,
            )
    except IntegrityError as error:
        sentence = "A campaign of that reference is on record for this vehicle."
        raise Refusal(sentence, field="reference") from error
    _say(actor, row, f"put down the campaign {row} for {vehicle}")
    return row


@transaction.atomic
def remedied(
    actor: Actor,
    *,
    act: UUID,
    campaign: Campaign,
    revision: int,
    remedied_on: date,
    note: str = "",
) -> None:
    """It was carried out on this vehicle: it pays for that visit and for no later one."""
    acts.claim(actor, act, "campaign carried out", about=campaign)
    must(actor, Permit.DECIDE_COVERAGE)
    if campaign.remedied_on is not None:
        raise Refusal("It was put down as carried out already.")
    if remedied_on > clock.today():
        raise Refusal(_AHEAD, field="remedied_on")
    if remedied_on < campaign.announced_on:
        raise Refusal("It was announced after this day.", field="remedied_on")
    _write(campaign, revision, remedied_on=remedied_on, remedied_note=note.strip())
    _say(actor, campaign, f"put down that the campaign {campaign} was carried out", note.strip())


@transaction.atomic
def not_remedied(
    actor: Actor, *, act: UUID, campaign: Campaign, revision: int, because: str
) -> None:
    """It was put down by mistake: the campaign is open again."""
    acts.claim(actor, act, "campaign not carried out", about=campaign)
    must(actor, Permit.DECIDE_COVERAGE)
    if campaign.remedied_on is None:
        raise Refusal("It is open already.")
    if not because.strip():
        raise Refusal("Say why it was not carried out.", field="because")
    _write(campaign, revision, remedied_on=None, remedied_note="")
    _say(actor, campaign, f"put the campaign {campaign} back to open", because.strip())


def _write(campaign: Campaign, revision: int, **columns: object) -> None:
    rows = Campaign.objects.filter(pk=campaign.pk, revision=revision)
    if not rows.update(revision=F("revision") + 1, **columns):
        raise Clash("Somebody changed this campaign meanwhile. The page shows it as it is now.")


def _say(actor: Actor, campaign: Campaign, words: str, reason: str = "") -> None:
    log.write(
        actor,
        kind="coverage",
        subject_kind="vehicle",
        subject_id=campaign.vehicle_id,
        words=words,
        reason=reason,
    )
