"""The readings sheet: everything measured, one value outside any list, and putting one right."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from diagnostics.forms.measuring import PlaceForm, ReadingForm, ReplaceForm, noted_again
from diagnostics.models import Session
from diagnostics.plan_of_car import PLACES
from diagnostics.queries import limits
from diagnostics.queries.picture import picture, seen
from diagnostics.queries.readings import pairs
from diagnostics.queries.sessions import get_reading, get_session
from diagnostics.queries.steps import unit_choices
from diagnostics.services import readings as service
from diagnostics.views.sheet import place_name, session_url, sheet
from shop.roles import Permit
from shop.web.access import Request, permit, require
from shop.web.htmx import attempt, go


@require_http_methods(["GET", "POST"])
@permit(Permit.SEE_WORKSHOP)
def readings(request: Request, pk: int) -> HttpResponseBase:
    session = get_session(request.actor, pk)
    if request.method == "GET":
        place = PlaceForm(request.GET if "quantity" in request.GET else None, session=session)
        return _page(request, session, place, ReadingForm(session=session))
    require(request, Permit.DIAGNOSE)
    form = ReadingForm(request.POST, session=session)
    if form.is_valid() and attempt(
        request,
        lambda: service.record(request.actor, session, act=form.act_id, taken=form.taken()),
        form,
    ):
        if not request.htmx:
            return go(request, session_url(session, "readings"))
        return _page(request, session, form.place, ReadingForm(session=session), just_taken=True)
    return _page(request, session, form.place, form)


def _page(
    request: Request, session: Session, place: PlaceForm, form: ReadingForm, **context: Any
) -> HttpResponse:
    picked = request.GET.get("place", "")
    where = picked if picked in PLACES else ""
    shown = picture(session)
    rows = [one for one in shown.readings if not where or one.place == where]
    link = f"{session_url(session, 'readings')}?place="
    return sheet(
        request,
        session,
        "diagnostics/readings.html",
        current="readings",
        picture=shown,
        pairs=pairs(rows),
        place_name=place_name(where),
        plan=shown.plan(now=where, link=link),
        place_form=place,
        form=form,
        **_field(session, place),
        **context,
    )


def _field(session: Session, place: PlaceForm) -> dict[str, Any]:
    """The limit and the units of what is about to be measured, when that is known."""
    if not (place.is_bound and place.is_valid()):
        return {"quantity": None, "limit": None, "units": ()}
    chosen = place.cleaned_data
    quantity = chosen["quantity"]
    row = limits.limit_for(session.version, quantity, chosen["component"], chosen["position"])
    return {
        "quantity": quantity,
        "limit": limits.shown(row) if row else None,
        "limit_places": ()
        if row or chosen["position"]
        else limits.known_places(session.version, quantity, chosen["component"]),
        "units": unit_choices(quantity),
        "usual_unit": row.unit if row else quantity.unit,
        "chosen": chosen,
    }


@require_http_methods(["GET", "POST"])
@permit(Permit.DIAGNOSE)
def replace(request: Request, pk: int) -> HttpResponseBase:
    reading = get_reading(request.actor, pk)
    session = reading.session
    if reading.measurement_id is not None:
        # Worked out, not read: what is put right is what it was worked out from.
        slug = request.actor.workshop.slug
        return go(request, reverse("measurement-replace", args=[slug, reading.measurement_id]))
    row = limits.limit_for(session.version, reading.quantity, reading.component, reading.position)
    if request.method == "POST":
        form = ReplaceForm(request.POST)
        if form.is_valid() and attempt(
            request,
            lambda: service.replace(
                request.actor,
                reading,
                act=form.act_id,
                typed=form.typed(),
                because=form.cleaned_data["because"],
            ),
            form,
        ):
            return go(request, session_url(session, "readings", place=_place(request)))
    else:
        form = ReplaceForm(initial=noted_again(reading, row.pressure_unit if row else ""))
    return sheet(
        request,
        session,
        "diagnostics/replace.html",
        current="readings",
        picture=picture(session),
        reading=seen(reading),
        form=form,
        limit=limits.shown(row) if row else None,
        units=unit_choices(reading.quantity),
        usual_unit=reading.typed_unit,
    )


def _place(request: Request) -> str:
    place = request.GET.get("place", "")
    return place if place in PLACES else ""
