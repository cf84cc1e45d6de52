"""Taking a vehicle in: find it, then everything on one sheet, sent once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from jobs.forms.take_in import Lines, TakeInKnown, TakeInNew
from jobs.models import RepairOrder
from jobs.queries.declined import as_lines, declined_before
from jobs.queries.earlier import earlier_complaints, on_system, open_order_of, order_of_act
from jobs.services.taking_in import take_in as take_it_in
from jobs.views.sheet import order_url
from shop.models import Vehicle
from shop.queries.vehicles import find_customers, find_vehicles, same_vin, vehicles_of
from shop.roles import Permit
from shop.vin import LENGTH as VIN_LENGTH
from shop.vin import normal_vin
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of

TEMPLATE = "jobs/take_in.html"
FEW = 6
REMEMBERED = 40
FormClass = type[TakeInKnown] | type[TakeInNew]


@require_GET
@permit(Permit.TAKE_IN)
def take_in(request: Request) -> HttpResponseBase:
    """The first step: which vehicle."""
    text = request.GET.get("q", "").strip()
    context = {"q": text, "page": page_of(request, find_vehicles(request.actor, text), FEW)}
    return show(request, "jobs/take_in_find.html", context, partial="found")


@require_http_methods(["GET", "POST"])
@permit(Permit.TAKE_IN)
def known(request: Request, pk: int) -> HttpResponseBase:
    """The second step for a vehicle that is known."""
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    options = {"actor": request.actor, "vehicle": vehicle}
    return _sheet(request, TakeInKnown, options, vehicle)


@require_http_methods(["GET", "POST"])
@permit(Permit.TAKE_IN)
def new(request: Request) -> HttpResponseBase:
    """The second step for one that is not; begins with what was looked for."""
    return _sheet(request, TakeInNew, {"actor": request.actor}, None)


@require_GET
@permit(Permit.TAKE_IN)
def earlier(request: Request, pk: int) -> HttpResponseBase:
    """What the vehicle came in for before on the system that is being chosen."""
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    sent = request.GET.dict()
    chosen = next((str(sent[key]) for key in sent if key.endswith("-system")), "")
    every = earlier_complaints(request.actor, vehicle, few=REMEMBERED)
    context = {"earlier": on_system(every, chosen), "chosen": chosen}
    return render(request, "jobs/parts/earlier_on_system.html", context)


def _sheet(
    request: Request, form_class: FormClass, options: dict[str, Any], vehicle: Vehicle | None
) -> HttpResponse:
    """One sending of the sheet: the act itself, or one of the buttons that only lay it out anew."""
    if request.method == "GET":
        return _show(request, form_class(initial=_looked_for(request), **options), Lines(), vehicle)
    asked = request.POST.get("do", "")
    if asked == "use" and (same := same_vin(request.actor, request.POST.get("vin", ""))):
        form_class, vehicle = TakeInKnown, same
        options = options | {"vehicle": same}
    if asked:
        form = form_class(initial=request.POST.dict(), **options)
        declined = as_lines(declined_before(request.actor, vehicle)) if vehicle else {}
        return _show(request, form, Lines.again(request.POST, asked, declined), vehicle)
    form, lines = form_class(request.POST, **options), Lines(request.POST)
    # Both are looked at, so that everything that is wrong is told at once.
    if all([form.is_valid(), lines.is_valid()]):
        made: list[RepairOrder] = []
        which, data = form.which(), form.taken() | {"complaints": lines.lines()}
        if attempt(
            request, lambda: made.append(take_it_in(request.actor, vehicle=which, **data)), form
        ):
            order = made[0] if made else order_of_act(request.actor, form.act_id)
            messages.success(request, _("%s is taken in.") % order.number)
            return go(request, order_url(order))
    return _show(request, form, lines, vehicle)


def _show(
    request: Request, form: TakeInKnown | TakeInNew, lines: Lines, vehicle: Vehicle | None
) -> HttpResponse:
    actor = request.actor
    context: dict[str, Any] = {"form": form, "lines": lines, "vehicle": vehicle}
    if vehicle:
        every = earlier_complaints(actor, vehicle, few=REMEMBERED)
        for line in lines.forms:
            line.earlier = on_system(every, str(line["system"].value() or ""))
        context |= {
            "earlier": every[:FEW],
            "declined": declined_before(actor, vehicle),
            "here": open_order_of(actor, vehicle),
            "last": vehicle.odometer_readings.first(),
        }
    elif isinstance(form, TakeInNew):
        name, vin = (str(form[field].value() or "") for field in ("name", "vin"))
        context |= {
            "owners": find_customers(actor, name)[:FEW],
            "chosen": str(form["known_customer"].value() or ""),
            "same": same_vin(actor, vin),
        }
    return show(request, TEMPLATE, context, partial="sheet")


def _looked_for(request: Request) -> dict[str, str]:
    """What was typed to find the vehicle goes on as its VIN, its plate or its owner's name."""
    text = request.GET.get("q", "").strip()
    if len(normal_vin(text)) == VIN_LENGTH:
        return {"vin": normal_vin(text)}
    return {"plate" if any(letter.isdigit() for letter in text) else "name": text}
