"""What every answer to htmx must carry."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

from django.contrib.messages import get_messages
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.cache import patch_vary_headers

from shop.web.access import Request


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
