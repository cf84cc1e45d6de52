"""Error pages: each says what to do next; a 500 has a reference that is also in the log."""

from __future__ import annotations

import logging
import secrets

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from shop.web.access import open_to_anyone

logger = logging.getLogger("stubaxle.errors")


def _page(request: HttpRequest, status: int, name: str = "", **context: str) -> HttpResponse:
    page = render_to_string(f"errors/{name or status}.html", context)
    return HttpResponse(page, status=status)


@open_to_anyone("an error page shows nothing of the workshop")
def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, 400)


@open_to_anyone("an error page shows nothing of the workshop")
def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    sentence = str(exception) or _("You may not do this here.")
    return _page(request, 403, sentence=sentence)


@open_to_anyone("an error page shows nothing of the workshop")
def stale(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The form's token does not fit: somebody signed in or out since the page was loaded."""
    return _page(request, 403, "stale")


@open_to_anyone("an error page shows nothing of the workshop")
def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, 404)


@open_to_anyone("an error page shows nothing of the workshop")
def server_error(request: HttpRequest) -> HttpResponse:
    reference = secrets.token_hex(4).upper()
    # Django calls this while it handles the error, so the log can show where it came from.
    logger.error(
        "reference %s at %s %r",
        reference,
        request.method,
        request.path,
        exc_info=True,  # noqa: LOG014
    )
    return _page(request, 500, reference=reference)
