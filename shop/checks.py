"""Start-up checks: what must never reach a running server."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.apps import AppConfig
from django.core.checks import CheckMessage, Error, Tags, register
from django.urls import URLPattern, URLResolver, get_resolver


def walk(resolver: URLResolver, prefix: str = "") -> Iterator[tuple[str, URLPattern]]:
    """Every address of the product with its pattern."""
    for entry in resolver.url_patterns:
        here = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from walk(entry, here)
        else:
            yield here, entry


@register(Tags.security)
def every_view_is_marked(
    app_configs: Sequence[AppConfig] | None, **kwargs: Any
) -> list[CheckMessage]:
    return [
        Error(
            f"The view at “{address}” does not say who may open it.",
            hint="Put @permit(Permit.…) or @open_to_anyone('why') on it (shop/web/access.py).",
            obj=entry.callback,
            id="shop.E001",
        )
        for address, entry in walk(get_resolver())
        if not hasattr(entry.callback, "access")
    ]
