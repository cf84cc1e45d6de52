"""The lives of units and the clocks of repairs, worked out anew from the jobs."""

from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from jobs.services import rebuilt
from shop.models import Workshop

MOST_SHOWN = 50


class Command(BaseCommand):
    help = (
        "Work out anew how long units were watched and which repairs came back. The acts keep that "
        "up to date; run this once after migrating a database of before, and after new pages of "
        "the catalogue. With --check nothing is written: it says what is not as it should be."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--workshop", metavar="SLUG", help="only this workshop")
        parser.add_argument("--check", action="store_true", help="write nothing, and compare")

    def handle(self, *args: Any, **options: Any) -> None:
        workshops = Workshop.objects.order_by("pk")
        if slug := options["workshop"]:
            workshops = workshops.filter(slug=slug)
            if not workshops:
                raise CommandError(f"There is no workshop “{slug}”.")
        if options["check"]:
            self._check(list(workshops))
            return
        for workshop in workshops:
            wrong = rebuilt.rebuild(workshop, say=self.stdout.write)
            self.stdout.write(f"{workshop}: {_rows(wrong)} put right.")

    def _check(self, workshops: list[Workshop]) -> None:
        wrong = 0
        for workshop in workshops:
            lines = rebuilt.differences(workshop)
            wrong += len(lines)
            for line in lines[:MOST_SHOWN]:
                self.stdout.write(f"{workshop}: {line}")
            if len(lines) > MOST_SHOWN:
                self.stdout.write(f"{workshop}: and {len(lines) - MOST_SHOWN} more")
        if wrong:
            self.stdout.write(f"{_rows(wrong)} not as they follow from the jobs.")
            sys.exit(1)
        self.stdout.write("All is as it follows from the jobs.")


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"
