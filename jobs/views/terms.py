"""The terms of the workshop: what local law asks, papers, shelf and clock."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.forms.terms import TermsForm
from jobs.jurisdictions import CAVEAT, PROFILES, profile
from jobs.queries.terms import set_otherwise, terms_of
from jobs.services import terms as service
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_WORKSHOP)
def terms(request: Request) -> HttpResponseBase:
    if request.method == "GET":
        return _sheet(request, TermsForm.of(terms_of(request.actor.workshop)))
    if "fill" in request.POST:
        form = TermsForm.filled_from(request.POST)
        return _sheet(request, form, filled=profile(request.POST.get("profile", "")).name)
    form = TermsForm(request.POST)
    if form.is_valid():
        seen = {"act": form.act_id, "revision": form.cleaned_data["revision"]}
        changes = form.changes()
        if attempt(
            request,
            lambda: service.change_terms(request.actor, changes=changes, **seen),
            form,
        ):
            messages.success(request, _("Kept."))
            return go(request, reverse("terms", args=[request.actor.workshop.slug]))
    return _sheet(request, form)


def _sheet(request: Request, form: TermsForm, filled: str = "") -> HttpResponseBase:
    context = {
        "form": form,
        "filled": filled,
        "profiles": PROFILES,
        "caveat": CAVEAT,
        "otherwise": set_otherwise(terms_of(request.actor.workshop)),
    }
    return show(request, "jobs/terms.html", context)
