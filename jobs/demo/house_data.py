"""What fixtures/demo/houses.yaml says of how a workshop bills, buys and keeps."""

from __future__ import annotations

from datetime import time
from decimal import Decimal
from typing import Literal

from pydantic import BaseModel, ConfigDict


class Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class TaxRow(Entry):
    name: str
    percent: Decimal
    laid_on: tuple[Literal["assemblies", "labour", "sublet"], ...]
    customer_only: bool = False


class ShiftRow(Entry):
    """One shift for everybody, on five days; the pause in minutes."""

    starts: time
    ends: time
    pause: int


class Away(Entry):
    who: str
    from_days: int
    days: int
    because: str


class SupplierRow(Entry):
    name: str
    account: str
    email: str
    phone: str
    address: str


class ShelfRow(Entry):
    number: str
    counted: int
    keep: int
    place: str


class CameRow(Entry):
    ago: int
    number: str
    good: int = 0
    wrong: int = 0
    damaged: int = 0
    again: bool = True
    because: str = ""


class PutOff(Entry):
    """`days` is the new day, in working days from now."""

    ago: int
    number: str
    days: int
    because: str


class Cancelled(Entry):
    ago: int
    number: str
    pieces: int
    because: str


class Voided(Entry):
    ago: int
    because: str


class SupplyRow(Entry):
    """An order to a supplier; see the head of houses.yaml."""

    supplier: str
    ago: int
    days: int
    reference: str = ""
    lines: dict[str, int]
    came: tuple[CameRow, ...] = ()
    put_off: PutOff | None = None
    cancelled: Cancelled | None = None
    void: Voided | None = None
    back: dict[str, Literal["sent", "credited"]] = {}


class Household(Entry):
    terms: dict[str, str | int | bool]
    taxes: tuple[TaxRow, ...]
    rates: dict[str, Decimal]
    markup: dict[Decimal, Decimal]
    shift: ShiftRow
    away: Away | None = None
    suppliers: tuple[SupplierRow, ...]
    shelf: tuple[ShelfRow, ...]
    supply: tuple[SupplyRow, ...] = ()
