"""What every sheet of a session needs: the stub, and who may record here."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from diagnostics import words
from diagnostics.models import Session
from diagnostics.plan_of_car import MODULATOR, PLACES, STEERING
from diagnostics.ports import SheetLink, Stub, companion
from shop.roles import Permit
from shop.web.access import Request
from shop.web.htmx import show


def sheet(
    request: Request,
    session: Session,
    template: str,
    *,
    current: str,
    partial: str = "sheet",
    stub: Stub | None = None,
    **context: Any,
) -> HttpResponse:
    """A sheet of a session, or its `sheet` partial; `current` is its name among the links.

    `stub` is given by who has asked for it already."""
    common = {
        "session": session,
        "stub": stub or stub_for(request, session),
        "current": current,
        "may_record": request.actor.may(Permit.DIAGNOSE) and session.closed_at is None,
    }
    return show(request, template, common | context, partial=partial)


def stub_for(request: Request, session: Session) -> Stub:
    """The job's stub, or for a session without a job the vehicle's."""
    return companion().stub(request.actor, session) or _vehicle_stub(request, session)


def _vehicle_stub(request: Request, session: Session) -> Stub:
    slug, vehicle = request.actor.workshop.slug, session.vehicle
    name = str(vehicle.platform) if vehicle.platform else _("Platform not known")
    return Stub(
        number="",
        url=reverse("vehicle", args=[slug, vehicle.pk]),
        plate=vehicle.plate or vehicle.vin,
        vehicle=f"{name}, {vehicle.model_year}" if vehicle.model_year else name,
        distance="",
        notice=vehicle.platform.notice if vehicle.platform else "",
        sheets=tuple(
            SheetLink(label, reverse(key, args=[slug, session.pk]), key)
            for key, label in (
                ("lamps", _("Lamps and flags")),
                ("session", _("Checklist")),
                ("readings", _("Readings")),
                ("work", _("Work out")),
            )
        ),
    )


def place_name(place: str) -> str:
    """A place of the plan of the car as it is said; "" for none."""
    named = {STEERING: _("steering"), MODULATOR: _("modulator and brake control")}
    return named.get(place) or (words.place(place) if place in PLACES else "")


def session_url(session: Session, name: str = "session", **query: object) -> str:
    path = reverse(name, args=[session.workshop.slug, session.pk])
    asked = "&".join(f"{key}={value}" for key, value in query.items() if value)
    return f"{path}?{asked}" if asked else path
