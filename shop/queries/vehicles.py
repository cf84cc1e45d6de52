"""Finding vehicles and customers. Nothing here writes."""

from __future__ import annotations

from django.db.models import OuterRef, Q, QuerySet, Subquery

from shop.actor import Actor
from shop.models import Customer, OdometerReading, Vehicle
from shop.search_keys import name_key, plate_key
from shop.vin import normal_vin


def vehicles_of(actor: Actor) -> QuerySet[Vehicle]:
    """The workshop's vehicles with platform and owner, newest first."""
    rows: QuerySet[Vehicle] = Vehicle.objects.of(actor).select_related("platform", "customer")
    return rows


def with_distance(rows: QuerySet[Vehicle]) -> QuerySet[Vehicle]:
    """Each vehicle with the last distance seen, as `last_value`, `last_unit` and `last_seen_at`."""
    last = OdometerReading.objects.filter(vehicle=OuterRef("pk")).order_by("-read_at", "-pk")
    return rows.annotate(
        last_value=Subquery(last.values("typed_value")[:1]),
        last_unit=Subquery(last.values("typed_unit")[:1]),
        last_seen_at=Subquery(last.values("read_at")[:1]),
    )


def find_vehicles(actor: Actor, text: str) -> QuerySet[Vehicle]:
    """Vehicles by any part of VIN, plate or owner's name; all of them for an empty text."""
    rows = with_distance(vehicles_of(actor))
    words = text.split()
    if not words:
        return rows
    matches = Q(customer__name_key__contains=name_key(text))
    letters = plate_key(text)
    if letters:
        matches |= Q(plate_key__contains=letters) | Q(vin__contains=normal_vin(text))
    return rows.filter(matches)


def customers_of(actor: Actor) -> QuerySet[Customer]:
    rows: QuerySet[Customer] = Customer.objects.of(actor)
    return rows


def find_customers(actor: Actor, text: str) -> QuerySet[Customer]:
    """Customers by any part of their name; none for an empty text."""
    key = name_key(text)
    return customers_of(actor).filter(name_key__contains=key) if key else customers_of(actor).none()


def same_vin(actor: Actor, vin: str) -> Vehicle | None:
    """The vehicle of the workshop that has exactly this VIN."""
    return vehicles_of(actor).filter(vin=normal_vin(vin)).first() if vin.strip() else None
