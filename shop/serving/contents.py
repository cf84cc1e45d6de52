"""What an empty database begins with: the demo world, or the page that makes a workshop."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import transaction
from django.urls import reverse

from shop.first_run import new_token

ANY_OTHER_VEHICLE = "GEN"


def fill(*, demo: bool) -> list[str]:
    """Give an empty database its beginning; lines for the console."""
    if not demo:
        load_general_pages()
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


def load_general_pages() -> None:
    """The pages for any vehicle, without which no checklist could be worked through.

    They carry no maker's figures. A shop that has its own pages of that code keeps them.
    """
    platforms = apps.get_model("shop", "Platform")._default_manager
    if platforms.filter(code=ANY_OTHER_VEHICLE).exists():
        return
    pages = Path(settings.BASE_DIR) / "fixtures" / "catalogue" / "general.yaml"
    call_command("catalogue", "load", str(pages), stdout=StringIO())
