"""Who may do what: the one table. Pure.

Views, services and templates ask `decide`; nothing else in the product compares roles.
The owner sees everything but does no technical act without also holding that role: the
person who signs for a brake repair is the person whose work it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class Role(StrEnum):
    """What a person is in one workshop. Somebody may hold several."""

    TECHNICIAN = "technician"
    MANAGER = "manager"
    COUNTER = "counter"
    OWNER = "owner"

    @property
    def label(self) -> str:
        """The role as it is said in the shop."""
        return _ROLE_LABELS[self]


_ROLE_LABELS: Mapping[Role, str] = MappingProxyType(
    {
        Role.TECHNICIAN: "technician",
        Role.MANAGER: "service manager",
        Role.COUNTER: "parts counter",
        Role.OWNER: "owner",
    }
)


class Permit(StrEnum):
    """Everything that one may be allowed to do. The value never reaches a screen."""

    SEE_WORKSHOP = "see_workshop"  # search, order pages, vehicle pages, papers
    SEE_BAY = "see_bay"
    SEE_DESK = "see_desk"
    SEE_COUNTER = "see_counter"
    SEE_OFFICE = "see_office"
    TAKE_IN = "take_in"
    EDIT_VEHICLE = "edit_vehicle"
    EDIT_CUSTOMER = "edit_customer"
    ASSIGN = "assign"
    DIAGNOSE = "diagnose"  # lamps, flags, readings, steps
    CONCLUDE = "conclude"
    ESTIMATE = "estimate"
    RECORD_AUTHORITY = "record_authority"
    ORDER_PARTS = "order_parts"
    RECEIVE_PARTS = "receive_parts"
    MANAGE_STOCK = "manage_stock"  # count, place, cost, level; suppliers
    HOLD_PARTS = "hold_parts"  # tags, cores, what goes back
    SEE_BILL = "see_bill"  # the bill of a job, invoices, what is owed
    ISSUE_INVOICE = "issue_invoice"
    TAKE_PAYMENT = "take_payment"
    SEE_CLAIMS = "see_claims"
    PREPARE_CLAIM = "prepare_claim"  # draft, word, send, record what came back
    APPROVE_CLAIM = "approve_claim"  # and write off
    DECIDE_COVERAGE = "decide_coverage"  # who pays; contracts, campaigns, objections
    TAKE_ACCOUNTS = "take_accounts"  # files for the bookkeeper
    CLOCK = "clock"
    CORRECT_CLOCK = "correct_clock"  # and set who is there when
    SEE_HOURS = "see_hours"
    FIT = "fit"
    PROVE = "prove"
    RELEASE = "release"
    OVERRIDE_RELEASE = "override_release"
    LIFT_UNSAFE = "lift_unsafe"
    MOVE_STAGE = "move_stage"  # the stage table decides about each single move
    VOID = "void"
    DECIDE_COMEBACK = "decide_comeback"
    ISSUE_REPORT = "issue_report"
    MANAGE_PEOPLE = "manage_people"
    MANAGE_WORKSHOP = "manage_workshop"


@dataclass(frozen=True, slots=True)
class Allowed:
    """Yes, by virtue of `by`. True in a condition."""

    by: Role

    def __bool__(self) -> bool:
        return True


@dataclass(frozen=True, slots=True)
class Denied:
    """No, and `reason` says who can. False in a condition."""

    reason: str

    def __bool__(self) -> bool:
        return False


@dataclass(frozen=True, slots=True)
class _Grant:
    """One row of the table: the roles that hold a permit and what the others are told."""

    roles: tuple[Role, ...]
    refusal: str


NO_ROLE = "You hold no role in this workshop yet. Ask its owner to give you one."

_T, _M, _C, _O = Role.TECHNICIAN, Role.MANAGER, Role.COUNTER, Role.OWNER

_GRANTS: Mapping[Permit, _Grant] = MappingProxyType(
    {
        Permit.SEE_WORKSHOP: _Grant((_M, _T, _C, _O), NO_ROLE),
        Permit.SEE_BAY: _Grant(
            (_T, _M, _O),
            "The Bay is for the technician, the service manager and the owner. "
            "The order's own page shows you what was found.",
        ),
        Permit.SEE_DESK: _Grant(
            (_M, _O),
            "The Desk is for the service manager and the owner. "
            "Ask there, or find the job by its number, plate or VIN.",
        ),
        Permit.SEE_COUNTER: _Grant(
            (_C, _M, _O),
            "The Counter is for the parts counter, the service manager and the owner. "
            "The order's own page shows how far its parts are.",
        ),
        Permit.SEE_OFFICE: _Grant(
            (_O, _M),
            "The Office is for the owner and the service manager. Ask one of them for the figures.",
        ),
        Permit.TAKE_IN: _Grant(
            (_M, _T),
            "The service manager or a technician takes a vehicle in. Ask at the Desk.",
        ),
        Permit.EDIT_VEHICLE: _Grant(
            (_M, _T),
            "The service manager or a technician changes a vehicle's details. "
            "Tell the Desk what is wrong with them.",
        ),
        Permit.EDIT_CUSTOMER: _Grant(
            (_M, _T),
            "The service manager or a technician changes a customer's details. "
            "Tell the Desk what is wrong with them.",
        ),
        Permit.ASSIGN: _Grant(
            (_M,),
            "Only the service manager gives a job to a technician or a bay. Ask at the Desk.",
        ),
        Permit.DIAGNOSE: _Grant(
            (_T, _M),
            "A technician or the service manager records lamps, flags and readings, "
            "because their name stands under them.",
        ),
        Permit.CONCLUDE: _Grant(
            (_T, _M),
            "A technician or the service manager concludes what is at fault, "
            "because their name stands under it.",
        ),
        Permit.ESTIMATE: _Grant(
            (_M, _T),
            "The service manager or a technician proposes parts and labour. Ask at the Desk.",
        ),
        Permit.RECORD_AUTHORITY: _Grant(
            (_M,),
            "Only the service manager records what the customer has agreed to. "
            "Pass on at the Desk what was said, by whom and when.",
        ),
        Permit.ORDER_PARTS: _Grant(
            (_C, _M),
            "The parts counter or the service manager orders parts. Ask at the Counter.",
        ),
        Permit.RECEIVE_PARTS: _Grant(
            (_C, _M),
            "The parts counter or the service manager books parts in. "
            "Take the part to the Counter.",
        ),
        Permit.MANAGE_STOCK: _Grant(
            (_C, _M),
            "The parts counter or the service manager changes what is on the shelf. "
            "Ask at the Counter.",
        ),
        Permit.HOLD_PARTS: _Grant(
            (_C, _M, _T),
            "The parts counter, the service manager or a technician tags a part that was taken "
            "off. Ask at the Counter.",
        ),
        Permit.SEE_BILL: _Grant(
            (_M, _C, _O),
            "Bills are for the service manager, the parts counter and the owner. Ask at the Desk.",
        ),
        Permit.ISSUE_INVOICE: _Grant(
            (_M,), "Only the service manager issues invoices and credit notes. Ask at the Desk."
        ),
        Permit.TAKE_PAYMENT: _Grant(
            (_M, _C),
            "The service manager or the parts counter takes payments. Ask at the Desk.",
        ),
        Permit.SEE_CLAIMS: _Grant(
            (_M, _C, _O),
            "Claims are for the service manager, the parts counter and the owner. "
            "The order's own page shows what is still missing for one.",
        ),
        Permit.PREPARE_CLAIM: _Grant(
            (_M, _C),
            "The service manager or the parts counter prepares and sends claims. Ask at the Desk.",
        ),
        Permit.APPROVE_CLAIM: _Grant(
            (_M,), "Only the service manager approves a claim or writes one off. Ask at the Desk."
        ),
        Permit.DECIDE_COVERAGE: _Grant(
            (_M,), "Only the service manager decides who pays for a complaint. Ask at the Desk."
        ),
        Permit.TAKE_ACCOUNTS: _Grant(
            (_O, _M),
            "Only the owner or the service manager takes the accounts out. Ask in the Office.",
        ),
        Permit.CLOCK: _Grant((_T,), "Only a technician clocks on: the one who does the work."),
        Permit.CORRECT_CLOCK: _Grant(
            (_M,), "Only the service manager corrects the clock. Tell the Desk what was forgotten."
        ),
        Permit.SEE_HOURS: _Grant(
            (_M, _O, _T),
            "Hours are for technicians, the service manager and the owner. Ask at the Desk.",
        ),
        Permit.FIT: _Grant(
            (_T,),
            "Only a technician records that an assembly was fitted: the one who fitted it.",
        ),
        Permit.PROVE: _Grant(
            (_T, _M),
            "A technician or the service manager proves a repair, "
            "because their name stands under it.",
        ),
        Permit.RELEASE: _Grant(
            (_M,), "Only the service manager releases a vehicle. Ask at the Desk."
        ),
        Permit.OVERRIDE_RELEASE: _Grant(
            (_M,),
            "Only the service manager releases a vehicle with something missing. Ask at the Desk.",
        ),
        Permit.LIFT_UNSAFE: _Grant(
            (_M,), "Only the service manager lifts the not-to-be-driven mark. Ask at the Desk."
        ),
        Permit.MOVE_STAGE: _Grant((_M, _T, _C, _O), NO_ROLE),
        Permit.VOID: _Grant(
            (_M,), "Only the service manager voids a repair order. Ask at the Desk."
        ),
        Permit.DECIDE_COMEBACK: _Grant(
            (_M,),
            "The service manager decides whether a return is a comeback, and of what kind. "
            "Ask at the Desk.",
        ),
        Permit.ISSUE_REPORT: _Grant(
            (_O, _M),
            "The owner or the service manager issues the monthly report. Ask in the Office.",
        ),
        Permit.MANAGE_PEOPLE: _Grant(
            (_O,), "Only the owner adds people and gives roles. Ask in the Office."
        ),
        Permit.MANAGE_WORKSHOP: _Grant(
            (_O,),
            "Only the owner changes the workshop's address, rates and settings. Ask in the Office.",
        ),
    }
)

_HOMES: tuple[tuple[Role, str], ...] = (
    (Role.MANAGER, "desk"),
    (Role.TECHNICIAN, "bay"),
    (Role.COUNTER, "counter"),
    (Role.OWNER, "office"),
)


def roles_with(permit: Permit) -> frozenset[Role]:
    """The roles that hold `permit`."""
    return frozenset(_GRANTS[permit].roles)


def decide(roles: frozenset[Role], permit: Permit) -> Allowed | Denied:
    """May a person with these roles do this? The answer carries its reason.

    Somebody without any role is told to ask for one, whatever was asked.
    """
    grant = _GRANTS[permit]
    for role in grant.roles:
        if role in roles:
            return Allowed(role)
    return Denied(grant.refusal if roles else NO_ROLE)


def home_of(roles: frozenset[Role]) -> str:
    """The place where a person lands: desk, bay, counter or office; "" without a role.

    With several roles the first of manager, technician, counter, owner decides: the place
    where others wait for them.
    """
    for role, home in _HOMES:
        if role in roles:
            return home
    return ""
