"""The Counter: what to order, what is on its way, what to hand over, what to send back."""

from __future__ import annotations

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.parts import HandOverForm, ReceiveForm, WaitForm
from jobs.models import SupplyLine
from jobs.queries import counter as queries
from jobs.queries import job_parts
from jobs.queries.orders import get_order
from jobs.services import parts, supply
from jobs.views.sheet import settled
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, show


@require_GET
@permit(Permit.SEE_COUNTER)
def counter(request: Request) -> HttpResponseBase:
    return page(request)


def page(request: Request) -> HttpResponse:
    """All lists, or the one asked for."""
    asked = request.GET.get("list", "")
    only = queries.List(asked) if asked in set(queries.List) else None
    found = queries.counter(request.actor, only, request.GET.get("page"))
    context = {
        "counter": found,
        "count": found.counts,
        "only": only,
        "page": found.pages[only] if only else None,
        "to_order": found.pages.get(queries.List.TO_ORDER),
        "ordered": found.pages.get(queries.List.ORDERED),
        "here": found.pages.get(queries.List.HERE),
    }
    return show(request, "jobs/counter.html", context, partial="lists")


@require_POST
@permit(Permit.RECEIVE_PARTS)
def receive(request: Request) -> HttpResponseBase:
    form = ReceiveForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        attempt(request, lambda: parts.receive(request.actor, **data))
    return _settled(request)


@require_POST
@permit(Permit.RECEIVE_PARTS)
def hand_over(request: Request, number: str) -> HttpResponseBase:
    job = get_order(request.actor, number)
    form = HandOverForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        attempt(request, lambda: parts.hand_over(request.actor, order=job, **data))
    return _settled(request)


@require_POST
@permit(Permit.ORDER_PARTS)
def wait(request: Request, pk: int) -> HttpResponseBase:
    """A piece that is on its way for nobody is kept for this assembly."""
    row = job_parts.part(request.actor, pk)
    if row is None:
        raise Http404
    form = WaitForm(request.POST)
    if form.is_valid():
        act, key = form.act_id, form.cleaned_data["line"]
        line = get_object_or_404(SupplyLine.objects.of(request.actor), pk=key)
        attempt(
            request,
            lambda: supply.wait_for(request.actor, act=act, replacement=row, line=line),
        )
    return _settled(request)


def _settled(request: Request) -> HttpResponse:
    url = reverse("counter", args=[request.actor.workshop.slug])
    return settled(request, url, lambda: page(request))
