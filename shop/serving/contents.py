"""What an empty database begins with: the demo world, or the page that makes a workshop."""

from __future__ import annotations

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import transaction
from django.urls import reverse

from shop.first_run import new_token


def fill(*, demo: bool) -> list[str]:
    """Give an empty database its beginning; lines for the console."""
    if apps.get_model("shop", "Workshop")._default_manager.exists():
        return []
    if demo:
        with transaction.atomic():
            call_command("demo")
        return []
    address = reverse("first-run", args=[new_token()])
    return [
        "",
        "There is no workshop yet. Make it, and yourself its owner, on this page;",
        "the address works once and only until the next start:",
        f"  {settings.BASE_URL}{address}",
    ]
