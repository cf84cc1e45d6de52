"""What fixtures/demo/cover.yaml says of who else pays: payers, contracts, campaigns and claims."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from jobs.demo.house_data import Entry


class PayerRow(Entry):
    """Somebody who is asked to pay, with the limits and wants of a ClaimPayer."""

    name: str
    kind: str
    make: str = ""
    supplier: str = ""
    account: str = ""
    address: str = ""
    days_are: Literal["calendar", "working"] = "calendar"
    file_days: int | None = None
    again_days: int | None = None
    hold_days: int | None = None
    handling_percent: Decimal = Decimal(0)
    pays_tax: bool = True
    wants_photos: bool = False
    wants_clock: bool = False
    wants_serials: bool = True
    wants_part: bool = True


class ContractRow(Entry):
    """`began` in days before the load, with `at_km` on the odometer; distances in km."""

    plate: str
    provider: str
    number: str
    began: int
    at_km: int
    months: int | None = None
    km: int | None = None
    waiting_days: int = 0
    waiting_km: int = 0
    deductible: Decimal = Decimal(0)
    systems: tuple[str, ...] = ()


class CampaignRow(Entry):
    """Announced so many days ago; open unless somebody carried it out."""

    plate: str
    reference: str
    title: str
    component: str
    ago: int


class Step(Entry):
    """One thing that happens to a claim, so many days `ago`; see the head of cover.yaml."""

    do: str
    ago: int
    by: str = ""
    changed: str = ""
    kind: str = ""
    reason: str = ""
    words: str = ""
    reference: str = ""
    share: Decimal | None = None
    wanted_in: int | None = None
    cause: str = ""
    correction: str = ""


class ClaimRow(Entry):
    """What is asked of `payer`, for one line of the visit that began so many days `ago`."""

    plate: str
    ago: int
    payer: str
    line: int = 1
    steps: tuple[Step, ...]


class FileLine(Entry):
    """What a payer's file says of the claim for this vehicle: `share` percent of what it agreed to.

    `unnamed`: with our order in place of our number. Without a plate a line that is nobody's.
    """

    plate: str = ""
    share: Decimal = Decimal(100)
    unnamed: bool = False
    number: str = ""
    amount: Decimal = Decimal(0)


class FileRow(Entry):
    """A file taken so many days `ago`; `booked`: what is sure was booked at once."""

    payer: str
    ago: int
    name: str
    booked: bool = True
    lines: tuple[FileLine, ...]


class Cover(Entry):
    payers: tuple[PayerRow, ...] = ()
    contracts: tuple[ContractRow, ...] = ()
    campaigns: tuple[CampaignRow, ...] = ()
    claims: tuple[ClaimRow, ...] = ()
    files: tuple[FileRow, ...] = ()
