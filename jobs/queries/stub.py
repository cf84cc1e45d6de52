"""The stub of a job: the left of every sheet, and the way to the other sheets."""

from __future__ import annotations

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics.ports import SheetLink, Stub
from jobs.models import RepairOrder
from jobs.queries.facts import facts_of
from jobs.stages import CLOSED, Facts, Stage
from jobs.whose_move import Whose, awaited
from shop import clock, units
from shop.actor import Actor
from shop.models import OdometerReading
from shop.roles import Permit

WHOSE: dict[Whose, str | Promise] = {
    Whose.DESK: gettext_lazy("Desk"),
    Whose.BAY: gettext_lazy("Bay"),
    Whose.COUNTER: gettext_lazy("Counter"),
    Whose.CUSTOMER: gettext_lazy("Customer"),
    Whose.PAYER: gettext_lazy("Payer"),
    Whose.NOBODY: "",
}


def stub_of(actor: Actor, order: RepairOrder, facts: Facts | None = None) -> Stub:
    """What paper the person is working on. Costs three queries when the facts are given."""
    stage = Stage(order.stage)
    waits = awaited(stage, facts or facts_of(order))
    is_open = stage not in CLOSED
    vehicle = order.vehicle
    complaints = order.complaints.values_list("words", "system__name").order_by("line")
    marks = order.unsafe_marks.filter(lifted_at__isnull=True) if order.unsafe else ()
    return Stub(
        number=order.number,
        url=_at("order", order),
        plate=vehicle.plate or vehicle.vin,
        vehicle=vehicle_words(order),
        distance=distance_words(order.odometer_in),
        stage=stage.words,
        bay=order.bay.name if order.bay else "",
        technician=order.technician.display_name if order.technician else "",
        promised_at=order.promised_at,
        overdue=bool(is_open and order.promised_at and order.promised_at < clock.now()),
        whose=str(WHOSE[waits.whose]),
        awaited=waits.what if is_open else "",
        waiting_since=order.stage_since if is_open else None,
        unsafe_because=tuple(mark.because for mark in marks),
        complaints=tuple(words for words, _system in complaints),
        systems=tuple(dict.fromkeys(system for _words, system in complaints if system)),
        notice=vehicle.platform.notice if vehicle.platform else "",
        sheets=sheets_of(actor, order),
    )


def sheets_of(actor: Actor, order: RepairOrder) -> tuple[SheetLink, ...]:
    slug, session = order.workshop.slug, order.session_id
    measuring = (
        ("lamps", _("Lamps and flags")),
        ("session", _("Checklist")),
        ("readings", _("Readings")),
        ("work", _("Work out")),
    )
    repairing = (
        ("estimate", _("Estimate")),
        ("fitting", _("Fitting")),
        ("proving", _("Proving")),
        *([("bill", _("Bill"))] if actor.may(Permit.SEE_BILL) else []),
        ("story", _("Story")),
    )
    return (
        SheetLink(_("Job"), _at("order", order), "order"),
        *(SheetLink(text, reverse(name, args=[slug, session]), name) for name, text in measuring),
        *(SheetLink(text, _at(name, order), name) for name, text in repairing),
    )


def vehicle_words(order: RepairOrder) -> str:
    vehicle = order.vehicle
    name = str(vehicle.platform) if vehicle.platform else _("Platform not known")
    return f"{name}, {vehicle.model_year}" if vehicle.model_year else name


def distance_words(reading: OdometerReading) -> str:
    return units.with_unit(reading.typed_value, reading.typed_unit)


def _at(name: str, order: RepairOrder) -> str:
    return reverse(name, args=[order.workshop.slug, order.number])
