"""What every request must be free of, and what every answer must carry."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import cast

from django.contrib.messages import get_messages
from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.cache import patch_vary_headers

from shop.web.access import Request

NUL = "\x00"


class NoNul:
    """A NUL is in nothing that a person types, and PostgreSQL takes it in no text: 400."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if NUL in request.path or any(NUL in text for text in self._sent(request)):
            raise SuspiciousOperation("A NUL was sent.")
        return self.get_response(request)

    @staticmethod
    def _sent(request: HttpRequest) -> Iterator[str]:
        for fields in (request.GET, request.POST):
            for name, values in fields.lists():
                yield name
                yield from (str(value) for value in values)


class KeptByNobody:
    """Pages of a workshop stay in no cache, nor behind the back button of a shared tablet."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if getattr(request, "actor", None) is not None:
            response.headers.setdefault("Cache-Control", "private, no-store")
        return response


class HtmxTruths:
    """Vary on HX-Request, and append waiting messages to a swapped part out of band."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        patch_vary_headers(response, ["HX-Request"])
        if cast(Request, request).htmx and self._takes_messages(response):
            waiting = list(get_messages(request))
            if waiting:
                extra = render_to_string(
                    "parts/messages.html", {"messages": waiting, "out_of_band": True}, request
                )
                response.write(extra)
        return response

    @staticmethod
    def _takes_messages(response: HttpResponse) -> bool:
        is_html = response.get("Content-Type", "").startswith("text/html")
        return is_html and response.status_code == 200 and "HX-Redirect" not in response
