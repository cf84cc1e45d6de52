from shop.models.base import Owned, WorkshopQuerySet
from shop.models.customers import Customer
from shop.models.log import Act, LogEntry
from shop.models.people import Bay, Membership, User, Workshop
from shop.models.vehicles import OdometerReading, Platform, Vehicle

__all__ = [
    "Act",
    "Bay",
    "Customer",
    "LogEntry",
    "Membership",
    "OdometerReading",
    "Owned",
    "Platform",
    "User",
    "Vehicle",
    "Workshop",
    "WorkshopQuerySet",
]
