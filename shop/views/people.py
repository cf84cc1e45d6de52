"""The people of the workshop: a list, a page to add, a page to change."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.forms.people import PasswordForm, PersonChangeForm, PersonForm
from shop.queries.people import people_of, roles_of
from shop.roles import Permit
from shop.services import people
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.MANAGE_PEOPLE)
def listing(request: Request) -> HttpResponseBase:
    page = page_of(request, people_of(request.actor))
    return show(request, "shop/people.html", {"page": page})


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_PEOPLE)
def new(request: Request) -> HttpResponseBase:
    form = PersonForm(request.POST or None)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: people.add_person(request.actor, **data), form):
            messages.success(request, _("%s can sign in now.") % data["display_name"])
            return go(request, reverse("people", args=[request.actor.workshop.slug]))
    return show(request, "shop/person_new.html", {"form": form})


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_PEOPLE)
def edit(request: Request, pk: int) -> HttpResponseBase:
    person = get_object_or_404(people_of(request.actor), pk=pk)
    roles = roles_of(request.actor, person)
    form = PersonChangeForm(request.POST or None, person=person, roles=roles)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: people.change_person(request.actor, person, **data), form):
            messages.success(request, _("Changed."))
            return go(request, reverse("people", args=[request.actor.workshop.slug]))
    context = {"form": form, "person": person, "password_form": PasswordForm()}
    return show(request, "shop/person.html", context)


@require_POST
@permit(Permit.MANAGE_PEOPLE)
def password(request: Request, pk: int) -> HttpResponseBase:
    person = get_object_or_404(people_of(request.actor), pk=pk)
    form = PasswordForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: people.set_password(request.actor, person, **data), form):
            messages.success(request, _("%s has a new password.") % person.display_name)
            return go(request, reverse("people", args=[request.actor.workshop.slug]))
    roles = roles_of(request.actor, person)
    context = {
        "form": PersonChangeForm(person=person, roles=roles),
        "person": person,
        "password_form": form,
    }
    return show(request, "shop/person.html", context)
