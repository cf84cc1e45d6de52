"""The first page of an empty installation."""

from __future__ import annotations

from django.contrib.auth import login
from django.http import Http404, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from shop import first_run
from shop.actor import Actor
from shop.forms.workshop import FirstRunForm
from shop.services.first_run import begin
from shop.web.access import Request, open_to_anyone
from shop.web.htmx import attempt, go, show


@require_http_methods(["GET", "POST"])
@open_to_anyone("guarded by the one-time token that the console printed")
def first(request: Request, token: str) -> HttpResponseBase:
    if not first_run.token_matches(token):
        raise Http404
    form = FirstRunForm(request.POST or None)
    made: list[Actor] = []
    if form.is_valid() and attempt(
        request, lambda: made.append(begin(token, form.beginning())), form
    ):
        login(request, made[0].user, "django.contrib.auth.backends.ModelBackend")
        return go(request, reverse("people", args=[made[0].workshop.slug]))
    return show(request, "shop/first_run.html", {"form": form})
