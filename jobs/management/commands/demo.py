"""`manage.py demo`: fill an empty database with the demo world and say how to come in."""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from jobs.demo.data import DemoProblem
from jobs.demo.people import SignIn
from jobs.demo.world import load
from shop.errors import Refusal

_NOT_TAKEN = (
    "The database did not take it (%(problem)s). Nothing was changed. If its tables are not there, "
    "run manage.py migrate first; if somebody else writes to it now, wait until they have ended."
)


class Command(BaseCommand):
    help = "Make the demo world on an empty database: two workshops, their history, a morning."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--password",
            default="",
            help="one password for everybody, for tests; without it each person gets their own",
        )

        parser.add_argument(
            "--history",
            type=float,
            default=1.0,
            metavar="SHARE",
            help="how much of the eighteen months of vehicles to draw: 1 all (the default), 0 none",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            sign_ins = load(say=self._say, password=options["password"], history=options["history"])
        except (DemoProblem, Refusal) as problem:
            raise CommandError(f"{problem}\nNothing was changed.") from problem
        except DatabaseError as problem:
            raise CommandError(_NOT_TAKEN % {"problem": problem}) from problem
        except KeyboardInterrupt:
            raise CommandError(
                "Stopped. Nothing was kept: the database is as empty as before, "
                "and the same command begins again."
            ) from None
        for line in sign_in_table(sign_ins):
            self.stdout.write(line)

    def _say(self, line: str) -> None:
        self.stdout.write(f"  {line}")
        self.stdout.flush()


def sign_in_table(sign_ins: Sequence[SignIn]) -> list[str]:
    """The people and their passwords, aligned, with the address to open."""
    rows = [("workshop", "role", "person", "sign-in name", "password")]
    rows += [
        (one.workshop, one.role.label, one.name, one.username, one.password) for one in sign_ins
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    table = [
        "  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
    return [
        "",
        f"The demo world is ready at {settings.BASE_URL}",
        "These passwords were made now and are shown this once:",
        "",
        *(f"  {line}" for line in table),
    ]
