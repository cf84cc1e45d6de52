"""Every address of the product, once: what one must be allowed to do, and how it is asked.

`test_access.py` walks the resolver and this table together: an address that is not here fails.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shop.roles import Permit

OPEN = "open"


@dataclass(frozen=True, slots=True)
class Address:
    name: str
    access: Permit | str
    args: tuple[str, ...] = ()  # names of things in tests/house/world.py, in the path's order
    post: bool = False
    sent: tuple[str, ...] = ()  # what must be sent with it, names of things again


def _table(*rows: tuple[Any, ...]) -> dict[str, Address]:
    return {row[0]: Address(*row) for row in rows}


P = Permit
ADDRESSES: dict[str, Address] = _table(
    ("home", OPEN),
    ("sign-in", OPEN),
    ("sign-out", OPEN, (), True),
    ("theme", OPEN, (), True),
    ("first-run", OPEN, ("token",)),
    ("alive", OPEN),
    # the four places
    ("bay", P.SEE_BAY),
    ("desk", P.SEE_DESK),
    ("counter", P.SEE_COUNTER),
    ("office", P.SEE_OFFICE),
    # vehicles, customers, finding
    ("find", P.SEE_WORKSHOP),
    ("vehicles", P.SEE_WORKSHOP),
    ("vehicle", P.SEE_WORKSHOP, ("vehicle",)),
    ("vehicle-new", P.EDIT_VEHICLE),
    ("vin-check", P.EDIT_VEHICLE),
    ("tyre-check", P.EDIT_VEHICLE),
    ("owner-check", P.EDIT_VEHICLE),
    ("vehicle-edit", P.EDIT_VEHICLE, ("vehicle",)),
    ("vehicle-owner", P.EDIT_VEHICLE, ("vehicle",)),
    ("odometer-note", P.EDIT_VEHICLE, ("vehicle",)),
    ("check-begin", P.DIAGNOSE, ("vehicle",), True),
    ("customer-edit", P.EDIT_CUSTOMER, ("customer",)),
    # taking in
    ("take-in", P.TAKE_IN),
    ("take-in-new", P.TAKE_IN),
    ("take-in-known", P.TAKE_IN, ("vehicle",)),
    ("take-in-earlier", P.TAKE_IN, ("vehicle",)),
    # the Office's rooms
    ("office-jobs", P.SEE_OFFICE, ("figure", "month")),
    ("office-component", P.SEE_OFFICE, ("component",)),
    ("people", P.MANAGE_PEOPLE),
    ("person-new", P.MANAGE_PEOPLE),
    ("person", P.MANAGE_PEOPLE, ("person",)),
    ("person-password", P.MANAGE_PEOPLE, ("person",), True),
    ("workshop", P.MANAGE_WORKSHOP),
    ("bay-new", P.MANAGE_WORKSHOP, (), True),
    ("bay-use", P.MANAGE_WORKSHOP, ("bay",), True),
    ("prices", P.MANAGE_WORKSHOP),
    ("rates", P.MANAGE_WORKSHOP, (), True),
    ("markup", P.MANAGE_WORKSHOP, (), True),
    ("tax-rounding", P.MANAGE_WORKSHOP, (), True),
    ("tax-new", P.MANAGE_WORKSHOP, (), True),
    ("tax", P.MANAGE_WORKSHOP, ("tax",)),
    ("tax-retire", P.MANAGE_WORKSHOP, ("tax",), True),
    ("terms", P.MANAGE_WORKSHOP),
    ("accounts", P.TAKE_ACCOUNTS),
    ("accounts-csv", P.TAKE_ACCOUNTS, ("accounts_table",)),
    ("accounts-book", P.TAKE_ACCOUNTS),
    ("log", P.SEE_OFFICE),
    ("catalogue", P.SEE_OFFICE),
    # measuring
    ("session", P.SEE_WORKSHOP, ("session",)),
    ("lamps", P.SEE_WORKSHOP, ("session",)),
    ("flags", P.SEE_WORKSHOP, ("session",)),
    ("flag-meaning", P.SEE_WORKSHOP, ("session",)),
    ("flag-row", P.SEE_WORKSHOP, ("session",), False, ("row",)),
    ("flags-preview", P.SEE_WORKSHOP, ("session",), True),
    ("flags-returned", P.DIAGNOSE, ("session",), True),
    ("flags-clear", P.DIAGNOSE, ("session",), True),
    ("readings", P.SEE_WORKSHOP, ("session",)),
    ("reading-replace", P.DIAGNOSE, ("reading",)),
    ("work", P.SEE_WORKSHOP, ("session",)),
    ("work-out", P.DIAGNOSE, ("session", "kind")),
    ("measurement", P.SEE_WORKSHOP, ("measurement",)),
    ("measurement-replace", P.DIAGNOSE, ("measurement",)),
    ("capture", P.SEE_WORKSHOP, ("capture",)),
    ("run-begin", P.DIAGNOSE, ("session",), True, ("procedure",)),
    ("run-step", P.DIAGNOSE, ("run",), True, ("step", "revision")),
    ("run-caution", P.DIAGNOSE, ("run",), True, ("step", "revision")),
    ("run-skip", P.DIAGNOSE, ("run",), True, ("step", "revision")),
    ("run-back", P.DIAGNOSE, ("run",), True, ("step", "revision")),
    ("run-corner", P.DIAGNOSE, ("run",), True, ("revision",)),
    # a job
    ("orders", P.SEE_WORKSHOP),
    ("order", P.SEE_WORKSHOP, ("number",)),
    ("order-move", P.MOVE_STAGE, ("number",), True),
    ("order-assign", P.ASSIGN, ("number",), True),
    ("unsafe-raise", P.DIAGNOSE, ("number",), True),
    ("unsafe-lift", P.LIFT_UNSAFE, ("number",), True),
    ("complaint-add", P.TAKE_IN, ("number",), True),
    ("conclude", P.CONCLUDE, ("number", "line")),
    ("correction", P.CONCLUDE, ("number", "line"), True),
    ("safety", P.SEE_WORKSHOP, ("number", "line")),
    ("safety-text", P.SEE_WORKSHOP, ("number", "line")),
    ("story", P.SEE_WORKSHOP, ("number",)),
    # estimate and authority
    ("estimate", P.SEE_WORKSHOP, ("number",)),
    ("estimate-propose", P.ESTIMATE, ("number", "line"), True),
    ("estimate-assembly", P.ESTIMATE, ("number",), True),
    ("estimate-assembly-off", P.ESTIMATE, ("number", "replacement"), True),
    ("estimate-labour", P.ESTIMATE, ("number",), True),
    ("estimate-labour-off", P.ESTIMATE, ("number", "labour"), True),
    ("estimate-other", P.ESTIMATE, ("number",), True),
    ("estimate-other-off", P.ESTIMATE, ("number", "other_line"), True),
    ("estimate-payer", P.RECORD_AUTHORITY, ("number",), True),
    ("estimate-give", P.ESTIMATE, ("number",), True),
    ("authority-diagnosis", P.RECORD_AUTHORITY, ("number",), True),
    ("authority-nothing-more", P.RECORD_AUTHORITY, ("number",), True),
    ("estimate-pdf", P.SEE_WORKSHOP, ("number", "given")),
    ("authority-pdf", P.SEE_WORKSHOP, ("number", "answer")),
    ("declined-again", P.TAKE_IN, ("number", "earlier", "line"), True),
    ("authority", P.RECORD_AUTHORITY, ("number",), True),
    # the bill and the Till
    ("bill", P.SEE_BILL, ("number",)),
    ("bill-issue", P.ISSUE_INVOICE, ("number",), True),
    ("invoices", P.SEE_BILL),
    ("invoice", P.SEE_BILL, ("invoice",)),
    ("invoice-pay", P.TAKE_PAYMENT, ("invoice",), True),
    ("invoice-refund", P.TAKE_PAYMENT, ("invoice",), True),
    ("invoice-credit", P.ISSUE_INVOICE, ("invoice",), True),
    ("invoice-pdf", P.SEE_BILL, ("invoice",)),
    ("receipt-pdf", P.SEE_BILL, ("receipt",)),
    ("till", P.SEE_BILL),
    ("till-day", P.SEE_BILL, ("day",)),
    # the Counter
    ("supply-new", P.ORDER_PARTS),
    ("supply-orders", P.SEE_COUNTER),
    ("supply-order", P.SEE_COUNTER, ("supply",)),
    ("supply-receive", P.RECEIVE_PARTS, ("supply",), True),
    ("supply-later", P.ORDER_PARTS, ("supply", "supply_line"), True),
    ("supply-cut", P.ORDER_PARTS, ("supply", "supply_line"), True),
    ("supply-void", P.ORDER_PARTS, ("supply",), True),
    ("supply-order-pdf", P.SEE_COUNTER, ("supply",)),
    ("supply-order-csv", P.SEE_COUNTER, ("supply",)),
    ("suppliers", P.SEE_COUNTER),
    ("supplier-new", P.MANAGE_STOCK),
    ("supplier", P.SEE_COUNTER, ("supplier",)),
    ("supply-returns", P.SEE_COUNTER),
    ("supply-return-new", P.ORDER_PARTS),
    ("supply-return-sent", P.ORDER_PARTS, ("supply_return",), True),
    ("supply-return-credited", P.ORDER_PARTS, ("supply_return",), True),
    ("part-wait", P.ORDER_PARTS, ("replacement",), True),
    ("part-receive", P.RECEIVE_PARTS, (), True),
    ("part", P.SEE_COUNTER, ("replacement",)),
    ("part-late", P.ORDER_PARTS, ("replacement",), True),
    ("part-wrong", P.RECEIVE_PARTS, ("replacement",), True),
    ("part-cancel", P.ORDER_PARTS, ("replacement",), True),
    ("hand-over", P.RECEIVE_PARTS, ("number",), True),
    ("shelf-advice", P.SEE_COUNTER),
    ("shelf-keep", P.MANAGE_STOCK, (), True),
    # the clock
    ("clock-now", P.SEE_BAY),
    ("clock-here", P.SEE_WORKSHOP, ("number", "line")),
    ("clock-on", P.CLOCK, ("number", "line"), True),
    ("clock-off", P.CLOCK, ("number", "line"), True),
    ("clock-add", P.CORRECT_CLOCK, ("number", "line")),
    ("hours", P.SEE_HOURS),
    ("hours-person", P.SEE_HOURS, ("person",)),
    ("working-hours", P.CORRECT_CLOCK, ("person",)),
    ("absence-add", P.CORRECT_CLOCK, ("person",), True),
    ("absence-off", P.CORRECT_CLOCK, ("absence",), True),
    ("clock-entry", P.SEE_HOURS, ("clock_entry",)),
    ("clock-correct", P.CORRECT_CLOCK, ("clock_entry",), True),
    # the shelf, held parts, scanning
    ("scan", P.SEE_WORKSHOP),
    ("stock", P.SEE_COUNTER),
    ("stock-new", P.MANAGE_STOCK),
    ("stock-item", P.SEE_COUNTER, ("stock_item",)),
    ("stock-count", P.MANAGE_STOCK, ("stock_item",), True),
    ("stock-change", P.MANAGE_STOCK, ("stock_item",), True),
    ("held", P.SEE_COUNTER),
    ("held-tags", P.SEE_COUNTER),
    ("held-part", P.SEE_WORKSHOP, ("tag",)),
    ("held-label", P.SEE_WORKSHOP, ("tag",)),
    ("held-change", P.HOLD_PARTS, ("tag",), True),
    ("held-send", P.HOLD_PARTS, ("tag",), True),
    ("held-give", P.HOLD_PARTS, ("tag",), True),
    ("held-scrap", P.HOLD_PARTS, ("tag",), True),
    ("held-credit", P.HOLD_PARTS, ("tag",), True),
    ("held-take-back", P.HOLD_PARTS, ("tag",), True),
    # fitting, proving, release, papers
    ("fitting", P.SEE_WORKSHOP, ("number",)),
    ("fitting-cautions", P.FIT, ("number",), True),
    ("fit", P.FIT, ("number", "replacement"), True),
    ("fit-serials", P.EDIT_VEHICLE, ("number", "replacement"), True),
    ("proving", P.SEE_WORKSHOP, ("number",)),
    ("road-test", P.PROVE, ("number",), True),
    ("release", P.RELEASE, ("number",), True),
    ("leave-unrepaired", P.RELEASE, ("number",), True),
    ("job-card", P.SEE_WORKSHOP, ("number",)),
    ("repair-order-pdf", P.SEE_WORKSHOP, ("number",)),
)
