"""One platform's pages put together: its own file and everything it includes. Pure."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from pydantic import BaseModel

from diagnostics.catalogue.problems import Path, Problem
from diagnostics.catalogue.schema import (
    SECTIONS,
    ComponentEntry,
    FileEntry,
    FlagEntry,
    LabourEntry,
    LimitEntry,
    PartEntry,
    PlatformEntry,
    ProcedureEntry,
    ProvingEntry,
    QuantityEntry,
    Shared,
    SystemEntry,
    TelltaleEntry,
)
from diagnostics.catalogue.source import SourceFile

E = TypeVar("E", bound=BaseModel)


@dataclass(frozen=True)
class Placed(Generic[E]):
    """An entry together with the place it was written at."""

    entry: E
    source: SourceFile
    path: Path

    def problem(self, at: Path, wrong: str, right: str) -> Problem:
        return self.source.problem((*self.path, *at), wrong, right)

    def __str__(self) -> str:
        return f"{self.source.name}:{self.source.line(self.path)}"


@dataclass
class Book:
    """Everything one platform's catalogue says, keyed as written, in the order written."""

    platform: Placed[PlatformEntry]
    systems: dict[str, Placed[SystemEntry]] = field(default_factory=dict)
    quantities: dict[str, Placed[QuantityEntry]] = field(default_factory=dict)
    components: dict[str, Placed[ComponentEntry]] = field(default_factory=dict)
    parts: dict[str, Placed[PartEntry]] = field(default_factory=dict)
    flags: dict[str, Placed[FlagEntry]] = field(default_factory=dict)
    telltales: dict[str, Placed[TelltaleEntry]] = field(default_factory=dict)
    procedures: dict[str, Placed[ProcedureEntry]] = field(default_factory=dict)
    labour: dict[str, Placed[LabourEntry]] = field(default_factory=dict)
    limits: dict[str, Placed[LimitEntry]] = field(default_factory=dict)
    proving: Placed[ProvingEntry] | None = None

    @property
    def code(self) -> str:
        return self.platform.entry.code

    def add(self, source: SourceFile, file: FileEntry) -> list[Problem]:
        """Take in one file's entries; a key already there is a problem unless it replaces."""
        problems: list[Problem] = []
        for section in SECTIONS:
            shelf: dict[str, Placed[Any]] = getattr(self, section)
            for key, entry in getattr(file, section).items():
                problems += _put(shelf, key, Placed(entry, source, (section, key)))
        for index, limit in enumerate(file.limits):
            for key, single in single_limits(limit).items():
                problems += _put(self.limits, key, Placed(single, source, ("limits", index)))
        if file.proving is not None:
            self.proving = Placed(file.proving, source, ("proving",))
        return problems

    def digest(self) -> str:
        """SHA-256 of what is said, whatever its layout, comments and file names."""
        said: dict[str, Any] = {"platform": _dump(self.platform)}
        for section in (*SECTIONS, "limits"):
            shelf: dict[str, Placed[Any]] = getattr(self, section)
            said[section] = [[key, _dump(placed)] for key, placed in shelf.items()]
        said["proving"] = _dump(self.proving) if self.proving else None
        text = json.dumps(said, sort_keys=True, default=str, ensure_ascii=False)
        return hashlib.sha256(text.encode()).hexdigest()


def single_limits(limit: LimitEntry) -> dict[str, LimitEntry]:
    """A limit taken apart into one for each position, by the key it is known by."""
    start = f"{limit.quantity} / {limit.component or 'any component'}"
    if not limit.positions:
        return {f"{start} / any position": limit}
    return {
        f"{start} / {place}": limit.model_copy(update={"positions": (place,)})
        for place in limit.positions
    }


def _put(shelf: dict[str, Placed[Any]], key: str, placed: Placed[Any]) -> list[Problem]:
    entry: Shared = placed.entry
    before = shelf.get(key)
    if before is None and entry.replaces_included:
        right = "take `replaces_included` out, or write the key of the included entry"
        shelf[key] = placed
        return [placed.problem(("replaces_included",), f"there is no {key} to replace", right)]
    shelf[key] = placed
    if before is None or (entry.replaces_included and before.source is not placed.source):
        return []
    right = "keep one"
    if before.source is not placed.source:
        right = "write `replaces_included: yes` in it if this one is to hold here"
    return [placed.problem((), f"{key} was given before, in {before}", right)]


def _dump(placed: Placed[Any]) -> Any:
    entry: BaseModel = placed.entry
    return entry.model_dump(mode="json", exclude={"replaces_included"})
