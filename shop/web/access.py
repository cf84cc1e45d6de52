"""Who may open which address. Every view carries exactly one of the two marks below."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django_htmx.middleware import HtmxDetails

from shop.actor import Actor
from shop.queries import people as queries
from shop.roles import Denied, Permit

P = ParamSpec("P")
View = Callable[..., HttpResponseBase]


class Request(HttpRequest):
    """The request as a view sees it; `actor` is set by `permit`."""

    htmx: HtmxDetails
    actor: Actor


def permit(
    needed: Permit,
) -> Callable[[Callable[Concatenate[Request, P], HttpResponseBase]], View]:
    """Mark a view below a workshop's address with what one must be allowed to do.

    Signed out: to the sign-in page (htmx: told to go there). Not of this workshop: 404, as if
    it did not exist. Of it but not allowed: 403 with the sentence that says who is.
    """

    def mark(view: Callable[Concatenate[Request, P], HttpResponseBase]) -> View:
        @wraps(view)
        def guarded(
            request: HttpRequest, workshop: str, *args: Any, **kwargs: Any
        ) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return _to_sign_in(cast(Request, request))
            actor = queries.actor_in(request.user, workshop)
            if actor is None:
                raise Http404
            answer = actor.answer(needed)
            if isinstance(answer, Denied):
                raise PermissionDenied(answer.reason)
            request = cast(Request, request)
            request.actor = actor
            return view(request, *args, **kwargs)

        guarded.access = needed  # type: ignore[attr-defined]
        return guarded

    return mark


def open_to_anyone(
    reason: str,
) -> Callable[[Callable[Concatenate[Request, P], HttpResponseBase]], View]:
    """Mark a view that needs no permission, and say why it may."""

    def mark(view: Callable[Concatenate[Request, P], HttpResponseBase]) -> View:
        @wraps(view)
        def opened(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            return view(cast(Request, request), *args, **kwargs)

        opened.access = f"open: {reason}"  # type: ignore[attr-defined]
        return opened

    return mark


def require(request: Request, needed: Permit) -> None:
    """For a page that many may open and few may act on: 403 with the sentence."""
    answer = request.actor.answer(needed)
    if isinstance(answer, Denied):
        raise PermissionDenied(answer.reason)


def _to_sign_in(request: Request) -> HttpResponseBase:
    if request.htmx:
        # 401 is not swapped: what was typed stays on the page and in the tablet's queue.
        return HttpResponse(status=401, headers={"HX-Trigger": "signed-out"})
    return redirect_to_login(request.get_full_path())
