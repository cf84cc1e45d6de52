"""One search for everything in the workshop. Nothing here writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from django.db.models import F, Q, QuerySet

from diagnostics.models import StoredFlag
from jobs.models import RepairOrder, Replacement
from jobs.queries.orders import orders_of
from shop.actor import Actor
from shop.models import Customer, Vehicle
from shop.queries.vehicles import find_customers, find_vehicles
from shop.search_keys import name_key, plate_key
from shop.vin import normal_vin

FEWEST_LETTERS = 2


def the_order(actor: Actor, text: str) -> RepairOrder | None:
    """The order whose number this is exactly: then there is nothing to choose."""
    number = text.replace(" ", "")
    return orders_of(actor).filter(number__iexact=number).first() if number else None


def orders(actor: Actor, text: str) -> QuerySet[RepairOrder]:
    """By any part of number, plate, VIN or name; those still here first, then newest first."""
    matches = Q(number__icontains=text.replace(" ", "")) | Q(
        customer__name_key__contains=name_key(text)
    )
    if letters := plate_key(text):
        matches |= Q(vehicle__plate_key__contains=letters)
        matches |= Q(vehicle__vin__contains=normal_vin(text))
    return (
        orders_of(actor)
        .filter(matches)
        .prefetch_related("complaints")
        .order_by(F("closed_at").desc(nulls_first=True), "-serial")
    )


def vehicles(actor: Actor, text: str) -> QuerySet[Vehicle]:
    return find_vehicles(actor, text)


def customers(actor: Actor, text: str) -> QuerySet[Customer]:
    """By any part of the name or of the telephone number."""
    digits = text.replace(" ", "")
    found = find_customers(actor, text)
    if digits.isdigit():
        found = find_customers(actor, text) | Customer.objects.of(actor).filter(
            phone__contains=text.strip()
        )
    return found.prefetch_related("vehicles")


def parts(actor: Actor, text: str) -> QuerySet[Replacement]:
    """Assemblies proposed, ordered or fitted, by any part of number or name; newest first."""
    rows: QuerySet[Replacement] = Replacement.objects.of(actor)
    return (
        rows.filter(
            Q(part_number__icontains=text)
            | Q(component__name__icontains=text)
            | Q(order_reference__icontains=text)
            | Q(unit_on__serial_number__icontains=text)
        )
        .select_related("component", "complaint__order__vehicle")
        .order_by("-pk")
    )


def flags(actor: Actor, text: str) -> QuerySet[StoredFlag]:
    """Flags as they were read, by any part of the code or of what it means; newest first."""
    code = text.upper().replace(" ", "").split("-")[0]
    return (
        StoredFlag.objects.filter(read__session__workshop=actor.workshop)
        .filter(Q(code__contains=code) | Q(definition__text__icontains=text))
        .select_related("definition", "read__session__vehicle", "read__session__order")
        .order_by("-pk")
    )


SEARCHES: Mapping[str, Callable[[Actor, str], QuerySet[Any]]] = MappingProxyType(
    {
        "orders": orders,
        "vehicles": vehicles,
        "customers": customers,
        "parts": parts,
        "flags": flags,
    }
)
