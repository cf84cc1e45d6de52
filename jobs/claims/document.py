"""A claim as it is written down: what is asked of a payer, and everything that proves it. Pure.

Each field carries the sentence by which docs/claims.md and the published schema explain it.
Distances, speeds and values are in SI and beside it as they were typed; amounts are decimal.
"""

# The sentence of a field makes its dataclass field and nothing that is shared.
# ruff: noqa: RUF009
from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

SCHEMA = "stubaxle-claim"
VERSION = 1


def _is(words: str) -> Any:
    return field(metadata={"words": words})


@dataclass(frozen=True, slots=True)
class Identity:
    number: str = _is("Number of the claim; the same in every submission.")
    submission: int = _is("Which sending this is: 1 the first; 0 for a draft that was not sent.")
    draft: bool = _is("Whether this is a draft that nobody was asked to pay.")
    sent_at: datetime | None = _is("When it was sent.")
    sent_by: str = _is("Who sent it.")
    by_way_of: str = _is("How it was sent: portal, post, e-mail.")
    approved_by: str = _is("Who approved it.")
    approved_at: datetime | None = _is("When it was approved.")
    changed: str = _is("What changed since the sending before.")
    currency: str = _is("Sign of the currency of every amount.")


@dataclass(frozen=True, slots=True)
class Shop:
    name: str = _is("Name of the workshop.")
    address: str = _is("Its address, lines divided by line feeds.")
    phone: str = _is("Its telephone number.")
    account: str = _is("The number of the workshop in the payer’s books.")


@dataclass(frozen=True, slots=True)
class Asked:
    name: str = _is("Name of the payer.")
    kind: str = _is(
        "As what it pays: campaign, vehicle_warranty, parts_warranty, service_contract or goodwill."
    )
    address: str = _is("Where claims go.")


@dataclass(frozen=True, slots=True)
class Odometer:
    distance_m: int = _is("Distance in metres.")
    typed: str = _is("The figure as it was read.")
    unit: str = _is("Its unit: km or mi.")
    read_at: datetime = _is("When it was read.")


@dataclass(frozen=True, slots=True)
class Car:
    vin: str = _is("Vehicle identification number.")
    plate: str = _is("Number plate.")
    make: str = _is("Make; empty when the platform is not known.")
    model: str = _is("Model.")
    model_year: int | None = _is("Model year.")
    in_service_on: date | None = _is("First day in service.")
    odometer_in: Odometer = _is("When it came.")
    odometer_out: Odometer | None = _is("When it left, where it was read again.")


@dataclass(frozen=True, slots=True)
class Job:
    number: str = _is("Number of the repair order.")
    line: int = _is("Line of the complaint on it.")
    taken_in_at: datetime = _is("When the vehicle was taken in.")
    repaired_at: datetime | None = _is("When the last part of this complaint was fitted.")
    closed_at: datetime | None = _is("When the vehicle left.")
    technician: str = _is("Who worked on it.")


@dataclass(frozen=True, slots=True)
class Fault:
    component: str = _is("The component at fault; empty when no fault was found.")
    position: str = _is("Where on the vehicle.")
    failure_mode: str = _is("How it failed.")
    no_fault_found: bool = _is("Whether the conclusion was that there is no fault.")
    shown_by: tuple[str, ...] = _is("The facts chosen to carry the conclusion, a sentence each.")


@dataclass(frozen=True, slots=True)
class Coverage:
    outcome: str = _is("What the rules said: covered, not_covered or needs_person.")
    because: str = _is("Why, in a sentence.")
    term: str = _is("The term that decided.")
    source: str = _is("Where that term is written.")
    starts_on: date | None = _is("First day of the term.")
    last_day: date | None = _is("Last day of the term.")
    days_left: int | None = _is("Days left on the day it was decided; below nought when over.")
    distance_left_m: int | None = _is("Metres left then; below nought when over.")
    percent: Decimal = _is("Share the payer bears, percent.")
    deductible: Decimal = _is("What the customer bears first.")
    otherwise_because: str = _is("Why a person decided otherwise than the rules.")
    decided_by: str = _is("Who decided.")
    decided_at: datetime = _is("When.")
    not_known: tuple[str, ...] = _is("Facts the rules could not find, a sentence each.")


@dataclass(frozen=True, slots=True)
class FlagHeld:
    code: str = _is("Code as the tester shows it.")
    failure_type: str = _is("Failure type byte, two hexadecimal digits, where there is one.")
    status: str = _is("State of the flag, in plain words.")
    lamp_requested: bool = _is("Whether the module asked for its lamp.")
    text: str = _is("What the catalogue says it means.")


@dataclass(frozen=True, slots=True)
class FlagsRead:
    phase: str = _is("as_found or after_repair.")
    module: str = _is("The module whose memory was read; empty for all of them.")
    flags: tuple[FlagHeld, ...] = _is("What was stored; empty when nothing was.")
    by: str = _is("Who read it.")
    at: datetime = _is("When.")


@dataclass(frozen=True, slots=True)
class Value:
    quantity: str = _is("What was measured.")
    component: str = _is("On which component.")
    position: str = _is("Where on the vehicle.")
    phase: str = _is("as_found or after_repair.")
    condemns: bool = _is("Whether it was chosen to carry the conclusion.")
    value: float | None = _is("The value in SI; null when the instrument showed over range.")
    typed: str = _is("The value as it was typed.")
    unit: str = _is("The unit it was typed in.")
    uncertainty: float | None = _is("Uncertainty of the instrument, in SI.")
    conditions: str = _is("What was noted beside it.")
    limit_low: float | None = _is("Lowest allowed, in SI.")
    limit_high: float | None = _is("Highest allowed, in SI.")
    limit: str = _is("What was allowed, in words.")
    limit_conditions: str = _is("Under which conditions the limit holds.")
    limit_source: str = _is("Where the limit is written.")
    verdict: str = _is("within, near, outside or not_judged.")
    by: str = _is("Who measured.")
    at: datetime = _is("When.")


@dataclass(frozen=True, slots=True)
class Drive:
    distance_m: float = _is("Distance driven, metres.")
    distance: str = _is("Distance as it was typed.")
    top_speed_mps: float = _is("Highest speed, metres a second.")
    top_speed: str = _is("Highest speed as it was typed.")
    long_enough: bool = _is("Whether the drive was what the repair needs.")
    result: str = _is("What the rules said of it, and what was noted.")
    by: str = _is("Who drove.")
    at: datetime = _is("When.")


@dataclass(frozen=True, slots=True)
class Operation:
    code: str = _is("Code of the operation.")
    text: str = _is("What was done.")
    hours: Decimal = _is("Hours asked for.")
    allowed_hours: Decimal | None = _is("Hours of the labour catalogue.")


@dataclass(frozen=True, slots=True)
class Clocked:
    who: str = _is("Who was on the clock.")
    begun_at: datetime = _is("On, as it counts.")
    ended_at: datetime = _is("Off, as it counts.")
    minutes: int = _is("Whole minutes that count, shared clocks divided.")


@dataclass(frozen=True, slots=True)
class PartFitted:
    description: str = _is("What was replaced.")
    position: str = _is("Where on the vehicle.")
    part_number: str = _is("Number of the part fitted.")
    condition: str = _is("new, rebuilt, reconditioned or used.")
    serial_off: str = _is("Serial number of the unit taken off.")
    serial_on: str = _is("Serial number of the unit fitted.")
    fitted_at: datetime | None = _is("When it was fitted.")
    tag: str = _is("Number on the tag of the part that is kept.")
    tag_state: str = _is("Where that part is: held, sent, given or scrapped.")
    held_until: date | None = _is("Until when it is held.")


@dataclass(frozen=True, slots=True)
class Line:
    order: int = _is("Place in the table of lines.")
    kind: str = _is("labour, part, handling, sublet or tax.")
    text: str = _is("What is asked for.")
    part_number: str = _is("Number of the part.")
    quantity: Decimal = _is("How many, or how many hours.")
    unit_price: Decimal = _is("Price of one, before the payer’s share.")
    amount: Decimal = _is("What is asked for this line: the payer’s share.")


@dataclass(frozen=True, slots=True)
class Totals:
    labour: Decimal = _is("Sum of the lines of labour.")
    part: Decimal = _is("Sum of the parts.")
    handling: Decimal = _is("Sum of the handling.")
    sublet: Decimal = _is("Sum of the sublet work.")
    tax: Decimal = _is("Sum of the tax.")
    total: Decimal = _is("What is asked for altogether.")


@dataclass(frozen=True, slots=True)
class Picture:
    name: str = _is("Name of the picture in the list of photos.")
    shows: str = _is("What it shows.")
    words: str = _is("The same in the technician’s words.")
    width: int = _is("Width in pixels.")
    height: int = _is("Height in pixels.")
    sha256: str = _is("SHA-256 of the picture as it was kept, hexadecimal.")
    by: str = _is("Who took it.")
    at: datetime = _is("When.")


@dataclass(frozen=True, slots=True)
class Authorised:
    estimate: str = _is("Number of the estimate that was answered.")
    who: str = _is("Who answered.")
    how: str = _is("How.")
    answer: str = _is("What was answered for this complaint.")
    at: datetime = _is("When.")


@dataclass(frozen=True, slots=True)
class Answered:
    submission: int = _is("Which sending was answered.")
    answered_on: date = _is("The day of the answer.")
    kind: str = _is("accepted, short, refused, asked or part.")
    reason: str = _is("Class of the reason for a refusal; empty when none was given.")
    words: str = _is("The payer’s own words.")
    reference: str = _is("The payer’s reference.")
    agreed: Decimal | None = _is("What the payer agreed to pay.")


@dataclass(frozen=True, slots=True)
class ClaimDocument:
    schema: str = _is("Always stubaxle-claim.")
    version: int = _is("Version of this schema.")
    claim: Identity = _is("Which claim, which sending.")
    workshop: Shop = _is("Who asks.")
    payer: Asked = _is("Who is asked.")
    vehicle: Car = _is("For which vehicle.")
    order: Job = _is("From which job.")
    concern: str = _is("What the customer complained of.")
    cause: str = _is("Component and failure, and how it was found.")
    correction: str = _is("What was done about it.")
    fault: Fault = _is("The conclusion as it was recorded.")
    coverage: Coverage | None = _is("Why the payer is asked; null when nobody decided.")
    flags: tuple[FlagsRead, ...] = _is("Fault memories as they were read, before and after.")
    readings: tuple[Value, ...] = _is("What was measured for this complaint.")
    road_tests: tuple[Drive, ...] = _is("Road tests after the repair.")
    operations: tuple[Operation, ...] = _is("Work asked for.")
    clocked: tuple[Clocked, ...] = _is("Time on the clock, where the payer wants it.")
    parts: tuple[PartFitted, ...] = _is("Parts replaced.")
    lines: tuple[Line, ...] = _is("What is asked for, line by line.")
    totals: Totals = _is("What is asked for, by kind.")
    photos: tuple[Picture, ...] = _is("Photos in the PDF that belongs to this.")
    authority: tuple[Authorised, ...] = _is("Who authorised the work.")
    lacking: tuple[str, ...] = _is("What is missing and known to be, a sentence each.")
    answers: tuple[Answered, ...] = _is("Answers to earlier sendings, oldest first.")


def totals_of(lines: tuple[Line, ...]) -> Totals:
    """The sums by kind and altogether; amounts are in cents already, so nothing is rounded."""
    nought = Decimal("0.00")
    sums = {
        kind: sum((line.amount for line in lines if line.kind == kind), nought)
        for kind in ("labour", "part", "handling", "sublet", "tax")
    }
    return Totals(**sums, total=sum((line.amount for line in lines), nought))
