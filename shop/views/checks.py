"""Answers while something is being typed: the VIN, the tyre size, the owner's name."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_GET

from shop import clock
from shop.queries.vehicles import find_customers, same_vin
from shop.roles import Permit
from shop.vin import check_vin
from shop.web.access import Request, permit
from shop.web.vehicle_fields import tyre_of

FEW = 6


@require_GET
@permit(Permit.EDIT_VEHICLE)
def vin(request: Request) -> HttpResponseBase:
    typed = request.GET.get("vin", "")
    own = request.GET.get("own", "")
    known = same_vin(request.actor, typed)
    context = {
        "check": check_vin(typed, still_typing=True, this_year=clock.today().year),
        "known": known if known and str(known.pk) != own else None,
        "reason": request.GET.get("vin_overrule_reason", ""),
    }
    return render(request, "shop/parts/vin_says.html", context)


@require_GET
@permit(Permit.EDIT_VEHICLE)
def tyre(request: Request) -> HttpResponseBase:
    return render(
        request, "shop/parts/tyre_says.html", {"tyre": tyre_of(request.GET.get("tyre_size", ""))}
    )


@require_GET
@permit(Permit.EDIT_VEHICLE)
def owner(request: Request) -> HttpResponseBase:
    context = {
        "owners": find_customers(request.actor, request.GET.get("name", ""))[:FEW],
        "chosen": request.GET.get("known_customer", ""),
    }
    return render(request, "shop/parts/owner_says.html", context)
