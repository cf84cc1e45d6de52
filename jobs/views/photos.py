"""Photos of a complaint: all of them, one at full size, adding and removing."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.photos import PhotoForm, RemovePhotoForm
from jobs.models import Photo
from jobs.queries import photos as queries
from jobs.queries.orders import get_complaint, get_order
from jobs.services import photos as services
from jobs.views.sheet import sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go


@require_GET
@permit(Permit.SEE_WORKSHOP)
def photos(request: Request, number: str, line: int) -> HttpResponseBase:
    return _page(request, number, line, PhotoForm(initial={"shows": request.GET.get("shows", "")}))


def _page(request: Request, number: str, line: int, form: PhotoForm) -> HttpResponse:
    complaint = get_complaint(request.actor, number, line)
    rows = list(queries.with_removed(complaint))
    return sheet(
        request,
        complaint.order,
        "jobs/photos.html",
        current="order",
        complaint=complaint,
        photos=[row for row in rows if row.removed_at is None],
        removed=[row for row in rows if row.removed_at],
        most=services.MOST,
        form=form,
    )


@require_POST
@permit(Permit.DIAGNOSE)
def add(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    form = PhotoForm(request.POST, request.FILES)
    if form.is_valid():
        given: dict[str, Any] = {**form.cleaned_data, "raw": form.cleaned_data["photo"].read()}
        del given["photo"]
        if attempt(
            request, lambda: services.add(request.actor, complaint=complaint, **given), form
        ):
            messages.success(request, _("The photo is kept."))
            slug = complaint.order.workshop.slug
            return go(request, reverse("photos", args=[slug, complaint.order.number, line]))
    return _page(request, number, line, form)


@require_GET
@permit(Permit.SEE_WORKSHOP)
def photo(request: Request, number: str, pk: int) -> HttpResponseBase:
    found = queries.get_photo(request.actor, number, pk)
    return _one(request, number, found, RemovePhotoForm())


def _one(request: Request, number: str, found: Photo, form: RemovePhotoForm) -> HttpResponse:
    order = get_order(request.actor, number)
    return sheet(request, order, "jobs/photo.html", current="order", photo=found, form=form)


@require_POST
@permit(Permit.DIAGNOSE)
def remove(request: Request, number: str, pk: int) -> HttpResponseBase:
    found = queries.get_photo(request.actor, number, pk)
    form = RemovePhotoForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        if attempt(request, lambda: services.remove(request.actor, photo=found, **given), form):
            messages.success(request, _("The photo is removed; its line stays."))
            where = [request.actor.workshop.slug, number, found.complaint.line]
            return go(request, reverse("photos", args=where))
    return _one(request, number, queries.get_photo(request.actor, number, pk), form)


@require_GET
@permit(Permit.SEE_WORKSHOP)
def picture(request: Request, number: str, pk: int) -> HttpResponseBase:
    return _jpeg(queries.picture(request.actor, number, pk, small=False))


@require_GET
@permit(Permit.SEE_WORKSHOP)
def small(request: Request, number: str, pk: int) -> HttpResponseBase:
    return _jpeg(queries.picture(request.actor, number, pk, small=True))


def _jpeg(content: bytes) -> HttpResponse:
    """Kept by this browser alone, and not for long: it may be removed."""
    headers = {"Cache-Control": "private, max-age=3600", "X-Content-Type-Options": "nosniff"}
    return HttpResponse(content, content_type="image/jpeg", headers=headers)
