"""Whom a demo workshop asks to pay, and what was promised to the vehicles of its customers."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import uuid4

from diagnostics.models import ChassisSystem, Component
from jobs.demo.cover_data import Cover
from jobs.demo.people import House
from jobs.models import Campaign, ServiceContract
from jobs.services import claim_payers
from shop.models import Vehicle
from shop.roles import Role

_KM = 1000


def payers(house: House, cover: Cover) -> None:
    """On the day the workshop opened."""
    owner = house.holder(Role.OWNER)
    for row in cover.payers:
        claim_payers.add(owner, act=uuid4(), given=row.model_dump())


def promises(house: House, cover: Cover, now: datetime) -> None:
    """Contracts and campaigns, each from the day it began."""
    for row in cover.contracts:
        contract = ServiceContract.objects.create(
            workshop=house.workshop,
            vehicle=_vehicle(house, row.plate),
            provider=row.provider,
            number=row.number,
            starts_on=(now - timedelta(days=row.began)).date(),
            starts_at_m=row.at_km * _KM,
            months=row.months,
            distance_m=_metres(row.km),
            waiting_days=row.waiting_days,
            waiting_m=row.waiting_km * _KM,
            deductible=row.deductible,
        )
        contract.systems.set(ChassisSystem.objects.filter(key__in=row.systems))
    for news in cover.campaigns:
        vehicle = _vehicle(house, news.plate)
        Campaign.objects.create(
            workshop=house.workshop,
            vehicle=vehicle,
            reference=news.reference,
            title=news.title,
            component=Component.objects.get(platform=vehicle.platform_id, key=news.component),
            announced_on=(now - timedelta(days=news.ago)).date(),
        )


def _vehicle(house: House, plate: str) -> Vehicle:
    found: Vehicle = Vehicle.objects.get(workshop=house.workshop, plate=plate)
    return found


def _metres(km: int | None) -> int | None:
    return None if km is None else km * _KM
