"""Catalogue files in, checked platforms out. Pure.

Files are given as bytes by a `Shelf`, so that the reader itself touches no disk.
"""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Protocol

from diagnostics.catalogue.book import Book, Placed
from diagnostics.catalogue.problems import Problem, nearest
from diagnostics.catalogue.references import check
from diagnostics.catalogue.schema import FileEntry
from diagnostics.catalogue.shape import shape
from diagnostics.catalogue.source import SourceFile, read_source


class Shelf(Protocol):
    """Where files come from. `read` raises OSError when there is no such file."""

    def read(self, name: str) -> bytes: ...

    def names(self) -> Iterable[str]:
        """Every file there is, for a near-name suggestion; may be empty."""


@dataclass
class Pages:
    """What came of reading: the platforms that are whole, and everything to put right."""

    books: list[Book] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def sound(self) -> bool:
        return not self.problems


def read_catalogue(names: Iterable[str], shelf: Shelf) -> Pages:
    """Read the named files and what they include; each file with `platform:` gives a book."""
    reader = _Reader(shelf)
    pages = Pages()
    for name in sorted(set(names)):
        source, file = reader.open(name)
        reader.must_exist(name)
        if file is not None and file.platform is not None:
            book = reader.bind(source, file)
            if book is not None:
                pages.books.append(book)
    pages.problems = sorted(set(reader.problems()))
    pages.problems += _between_platforms(pages.books)
    if not pages.books and not pages.problems:
        right = "name a file that has a `platform:` section, or its folder"
        pages.problems.append(Problem("catalogue", 0, "", "no platform was found", right))
    return pages


class _Reader:
    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._files: dict[str, tuple[SourceFile, FileEntry | None]] = {}
        self._found: list[Problem] = []
        self._missing: dict[str, str] = {}

    def problems(self) -> Iterator[Problem]:
        for source, _ in self._files.values():
            yield from source.problems
        yield from self._found

    def open(self, name: str) -> tuple[SourceFile, FileEntry | None]:
        if name not in self._files:
            try:
                source = read_source(name, self._shelf.read(name))
            except OSError as error:
                source = SourceFile(name)
                self._missing[name] = error.strerror or str(error)
            self._files[name] = (source, shape(source))
        return self._files[name]

    def must_exist(self, name: str) -> None:
        if name in self._missing:
            wrong = f"the file cannot be read ({self._missing[name]})"
            self._found.append(Problem(name, 0, "", wrong, "look at its name and rights"))

    def bind(self, source: SourceFile, file: FileEntry) -> Book | None:
        """The platform with all it includes, or None when a file or an entry is not sound."""
        assert file.platform is not None
        chain = list(self._included(source, file, [source.name], set()))
        if any(part is None or part_source.problems for part_source, part in chain):
            return None
        book = Book(Placed(file.platform, source, ("platform",)))
        found: list[Problem] = []
        for part_source, part in chain:
            assert part is not None
            found += book.add(part_source, part)
        found = found or check(book)
        self._found += found
        return None if found else book

    def _included(
        self, source: SourceFile, file: FileEntry, trail: list[str], done: set[str]
    ) -> Iterator[tuple[SourceFile, FileEntry | None]]:
        """Every file that counts, the included before the including, each once."""
        for index, wanted in enumerate(file.include):
            name = posixpath.normpath(posixpath.join(posixpath.dirname(source.name), wanted))
            if name in done:
                continue
            part_source, part = self.open(name)
            broken = self._cannot_include(name, wanted, trail)
            if broken is not None:
                self._found.append(source.problem(("include", index), *broken))
                yield source, None
            elif part is None:
                yield part_source, None
            else:
                yield from self._included(part_source, part, [*trail, name], done)
        done.add(source.name)
        yield source, file

    def _cannot_include(self, name: str, wanted: str, trail: list[str]) -> tuple[str, str] | None:
        """What is wrong with including a file, and what would be right; None when it may be."""
        if name in trail:
            ring = " > ".join([*trail[trail.index(name) :], name])
            return f"files include each other: {ring}", "break the ring"
        if name in self._missing:
            near = nearest(name, self._shelf.names())
            right = f"did you mean {near}?" if near else "look at the name and the folder"
            return f"{wanted} cannot be included", right
        return None


def _between_platforms(books: list[Book]) -> Iterator[Problem]:
    """Codes are given once, and a quantity is of one kind wherever it is used."""
    codes: dict[str, Book] = {}
    kinds: dict[str, tuple[str, str]] = {}
    for book in books:
        first = codes.setdefault(book.code, book)
        if first is not book:
            wrong = f"the platform {book.code} is also in {first.platform.source.name}"
            yield book.platform.problem(("code",), wrong, "give each platform its own code")
        for key, placed in book.quantities.items():
            kind, where = kinds.setdefault(key, (placed.entry.kind, str(placed)))
            if kind != placed.entry.kind:
                wrong = f"{key} is a {placed.entry.kind} here and a {kind} in {where}"
                yield placed.problem(("kind",), wrong, "give one of them another key")
