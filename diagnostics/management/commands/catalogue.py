"""`manage.py catalogue check|load [PATH...]`: say what is wrong in catalogue files, load them.

`manage.py catalogue names`: what a file may name that the program defines.
"""

from __future__ import annotations

import os
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.figure_keys import AGAINST, FIGURES
from diagnostics.catalogue.folder import Folder
from diagnostics.catalogue.reader import Pages, read_catalogue
from diagnostics.measurements.registry import KINDS
from diagnostics.services.catalogue import Loaded, load_all
from shop.errors import Refusal


class Command(BaseCommand):
    requires_system_checks = ()  # a shop's file is judged by itself
    help = (
        "Check catalogue files, check and load them into the database, or list what they may name."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "what",
            choices=("check", "load", "names"),
            help="check only, check and load, or list figures, curves and kinds of measurement",
        )
        parser.add_argument(
            "paths",
            nargs="*",
            metavar="PATH",
            help="files or folders; without any, the pages that come with the program",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["what"] == "names":
            for line in _names():
                self.stdout.write(line)
            return
        pages = read_pages(options["paths"])
        if not pages.sound:
            for problem in pages.problems:
                self.stderr.write(str(problem))
            count = len(pages.problems)
            raise CommandError(
                f"{count} thing{'s' if count > 1 else ''} to put right; nothing loaded."
            )
        if options["what"] == "check":
            for book in pages.books:
                self.stdout.write(_contents(book))
            return
        try:
            loaded = load_all(pages.books)
        except Refusal as refusal:
            raise CommandError(f"{refusal.sentence}\nNothing was loaded.") from refusal
        for one in loaded:
            self.stdout.write(_done(one))


def read_pages(paths: list[str]) -> Pages:
    """The platforms in files and folders, named as a person in this folder would name them."""
    folder = Folder()
    default = Path(os.path.relpath(Path(settings.BASE_DIR) / "fixtures" / "catalogue")).as_posix()
    names, problems = folder.find(paths or [default])
    if problems and not names:
        return Pages(problems=problems)
    pages = read_catalogue(names, folder)
    pages.problems = problems + pages.problems
    return pages


def _contents(book: Book) -> str:
    counts = ", ".join(
        f"{len(getattr(book, section))} {section.replace('_', ' ')}"
        for section in (
            "components",
            "parts",
            "flags",
            "limits",
            "figures",
            "curves",
            "telltales",
            "procedures",
            "labour",
            "shared_steps",
        )
    )
    return f"{book.code}: sound ({counts})"


def _names() -> Iterator[str]:
    """Everything that the program defines and a file may name."""
    yield "figures:"
    for name, figure in FIGURES.items():
        written = " or ".join(figure.words) or str(figure.kind)
        yield f"  {name}: {figure.name} ({written})"
    yield "curves, against:"
    for name, against in AGAINST.items():
        yield f"  {name}: {against.name} ({against.kind})"
    yield "works_out:"
    for kind in KINDS.values():
        yield f"  {kind.key}: {kind.name} (on: {kind.place})"
        for quantity in kind.quantities:
            yield f"    gives {quantity.key}: {quantity.name} ({quantity.kind})"


def _done(one: Loaded) -> str:
    if not one.changed:
        return f"{one.code}: version {one.number}, as it was"
    retired = f"; no longer in use: {', '.join(one.retired)}" if one.retired else ""
    return f"{one.code}: version {one.number} loaded{retired}"
