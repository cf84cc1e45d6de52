"""Whom a demo workshop asks to pay, and what was promised to the vehicles of its customers."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from uuid import uuid4

from diagnostics.models import ChassisSystem, Component
from jobs.demo.cover_data import Cover
from jobs.demo.people import House
from jobs.services import campaigns, claim_payers, contracts
from shop import clock
from shop.models import Vehicle
from shop.roles import Role

_KM = 1000


def payers(house: House, cover: Cover) -> None:
    """On the day the workshop opened."""
    owner = house.holder(Role.OWNER)
    for row in cover.payers:
        claim_payers.add(owner, act=uuid4(), given=row.model_dump())


def promises(house: House, cover: Cover, now: datetime) -> None:
    """Contracts and campaigns, each put down on the day it began."""
    desk = house.holder(Role.MANAGER)
    for row in cover.contracts:
        began = now - timedelta(days=row.began)
        given = {
            "provider": row.provider,
            "number": row.number,
            "starts_on": began.date(),
            "starts_at_m": row.at_km * _KM,
            "months": row.months,
            "distance_m": None if row.km is None else row.km * _KM,
            "waiting_days": row.waiting_days,
            "waiting_m": row.waiting_km * _KM,
            "deductible": row.deductible,
            "percent": Decimal(100),
            "systems": ChassisSystem.objects.filter(key__in=row.systems),
        }
        vehicle = _vehicle(house, row.plate)
        with clock.at(began):
            contracts.add(desk, act=uuid4(), vehicle=vehicle, given=given, sure=True)
    for news in cover.campaigns:
        announced = now - timedelta(days=news.ago)
        vehicle = _vehicle(house, news.plate)
        with clock.at(announced):
            campaigns.announce(
                desk,
                act=uuid4(),
                vehicle=vehicle,
                reference=news.reference,
                title=news.title,
                announced_on=announced.date(),
                component=Component.objects.get(platform=vehicle.platform_id, key=news.component),
            )


def _vehicle(house: House, plate: str) -> Vehicle:
    found: Vehicle = Vehicle.objects.get(workshop=house.workshop, plate=plate)
    return found
