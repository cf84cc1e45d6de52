"""Clocking on and off, at the Bay and on the job's own page; the running time, each minute."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.clock import PressForm
from jobs.models import ClockEntry
from jobs.queries.clock import clocked_on, running_of
from jobs.queries.orders import get_complaint
from jobs.services import clock as clocking
from jobs.stages import CLOSED, Stage
from jobs.views import bay
from jobs.views import order as sheet
from jobs.views.sheet import order_url, settled
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt
from shop.web.waited import done_at


@require_POST
@permit(Permit.CLOCK)
def on(request: Request, number: str, line: int) -> HttpResponseBase:
    return _press(request, number, line, clocking.on)


@require_POST
@permit(Permit.CLOCK)
def off(request: Request, number: str, line: int) -> HttpResponseBase:
    return _press(request, number, line, clocking.off)


@require_GET
@permit(Permit.SEE_BAY)
def now(request: Request) -> HttpResponseBase:
    """The strip of the Bay: what this person's clock runs on."""
    running = running_of(request.actor.user)
    return render(request, "jobs/parts/clock_now.html", {"running": running})


@require_GET
@permit(Permit.SEE_WORKSHOP)
def here(request: Request, number: str, line: int) -> HttpResponseBase:
    """The clock of one complaint, as its order's page shows it."""
    complaint = get_complaint(request.actor, number, line)
    order = complaint.order
    context = {
        "order": order,
        "complaint": complaint,
        "clock": clocked_on(order).get(complaint.pk),
        "is_open": Stage(order.stage) not in CLOSED,
    }
    return render(request, "jobs/parts/clock_here.html", context)


def _press(
    request: Request, number: str, line: int, press: Callable[..., ClockEntry]
) -> HttpResponse:
    complaint = get_complaint(request.actor, number, line)
    form = PressForm(request.POST)
    if form.is_valid():
        attempt(request, lambda: _say(request, _pressed(request, form, complaint, press)))
    else:
        messages.error(request, _("Nothing was recorded. Load the page again, then press it anew."))
    if request.POST.get("at_bay"):
        url = reverse("bay", args=[request.actor.workshop.slug])
        return settled(request, url, lambda: bay.page(request))
    return settled(request, order_url(complaint.order), lambda: sheet.page(request, number))


def _pressed(
    request: Request, form: PressForm, complaint: object, press: Callable[..., ClockEntry]
) -> ClockEntry:
    return press(request.actor, act=form.act_id, complaint=complaint, pressed=done_at(request))


def _say(request: Request, entry: ClockEntry) -> None:
    """An end that the person did not make is told at once."""
    if entry.ended_at is None or entry.ended != ClockEntry.Ended.SHIFT:
        return
    said = _("Your clock was ended at %(at)s, the end of the shift. The service manager sees it.")
    messages.warning(request, said % {"at": f"{localtime(entry.ended_at):%H:%M}"})
