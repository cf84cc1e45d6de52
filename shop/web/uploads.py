"""How much may be sent at once: said before anything of it is read."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string


class NotTooLarge:
    """What declares more than is taken is answered 413, unread: nothing of it is stored.

    A request that declares no length has no body for Django, and none is read.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if _declared(request) <= settings.LARGEST_REQUEST:
            return self.get_response(request)
        most = settings.LARGEST_REQUEST // 2**20
        page = render_to_string("errors/413.html", {"most": most}, request)
        return HttpResponse(page, status=413)


def _declared(request: HttpRequest) -> int:
    text = request.META.get("CONTENT_LENGTH") or "0"
    # What is no number Django takes for nought.
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 20 else 0
