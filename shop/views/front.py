"""The front door: signing in and out, the way home, the theme, and a sign of life."""

from __future__ import annotations

from django.contrib.auth import logout
from django.contrib.auth.views import LoginView
from django.http import HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST, require_safe

from shop.forms.people import SignInForm
from shop.models import User
from shop.queries import people as queries
from shop.roles import home_of
from shop.web.access import Request, open_to_anyone
from shop.web.context import THEMES

_sign_in = LoginView.as_view(
    template_name="shop/sign_in.html",
    authentication_form=SignInForm,
    redirect_authenticated_user=True,
)


@open_to_anyone("signing in is how one becomes known")
def sign_in(request: Request) -> HttpResponseBase:
    return _sign_in(request)


@require_POST
@open_to_anyone("whoever is signed in may sign out")
def sign_out(request: Request) -> HttpResponseBase:
    logout(request)
    return redirect("sign-in")


@require_GET
@open_to_anyone("leads to the sign-in page or to the person's own home page")
def home(request: Request) -> HttpResponseBase:
    if not isinstance(request.user, User):
        return redirect("sign-in")
    workshop = queries.own_workshop(request.user)
    actor = queries.actor_in(request.user, workshop.slug) if workshop else None
    if actor is None:
        return render(request, "shop/no_workshop.html", status=403)
    return redirect(reverse(home_of(actor.roles), args=[actor.workshop.slug]))


@require_POST
@open_to_anyone("the theme is a cookie of this tablet only")
def theme(request: Request) -> HttpResponseBase:
    chosen = request.POST.get("theme", "")
    back = request.POST.get("next", "/")
    ours = url_has_allowed_host_and_scheme(back, {request.get_host()})
    if not (ours and back.startswith("/")):
        back = "/"
    response = HttpResponseRedirect(back)
    if chosen in THEMES:
        response.set_cookie("theme", chosen, max_age=365 * 86_400, samesite="Lax")
    else:
        response.delete_cookie("theme")
    return response


@require_safe
@open_to_anyone("a sign of life for the person who runs the server")
def alive(request: Request) -> HttpResponseBase:
    """Pages ask it before a form leaves them, and whether who sends is signed in still."""
    answer = HttpResponse("alive\n", content_type="text/plain")
    if request.user.is_authenticated:
        answer["X-Signed-In"] = "yes"
    return answer
