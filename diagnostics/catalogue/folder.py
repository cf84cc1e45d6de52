"""Catalogue files on disk: which files a path means, and their bytes."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from diagnostics.catalogue.problems import Problem


class Folder:
    """A reader's shelf over the disk; names are POSIX paths as typed."""

    def __init__(self) -> None:
        self._names: list[str] = []

    def read(self, name: str) -> bytes:
        return Path(name).read_bytes()

    def names(self) -> Iterable[str]:
        return self._names

    def find(self, paths: Iterable[str]) -> tuple[list[str], list[Problem]]:
        """The files meant by the paths: a folder means every .yaml file in it and below."""
        problems: list[Problem] = []
        for text in paths:
            path = Path(text)
            found = [path]
            if path.is_dir():
                found = sorted(p for end in ("*.yaml", "*.yml") for p in path.rglob(end))
                if not found:
                    right = (
                        "name a folder that has them (fixtures/catalogue comes with the program)"
                    )
                    problems.append(Problem(text, 0, "", "no .yaml file is in this folder", right))
            elif not path.exists():
                right = "name a catalogue file, or a folder of them"
                problems.append(Problem(text, 0, "", "there is no such file or folder", right))
                found = []
            self._names += [p.as_posix() for p in found]
        return self._names, problems
