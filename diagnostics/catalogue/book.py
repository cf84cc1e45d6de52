"""One platform's pages put together: its own file and everything it includes. Pure."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from pydantic import BaseModel

from diagnostics.catalogue.derived import DERIVED
from diagnostics.catalogue.problems import Path, Problem
from diagnostics.catalogue.schema import (
    SECTIONS,
    ComponentEntry,
    CoverageEntry,
    CurveEntry,
    FigureEntry,
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
    SharedStepEntry,
    SystemEntry,
    TelltaleEntry,
)
from diagnostics.catalogue.source import SourceFile

E = TypeVar("E", bound=BaseModel)
P = TypeVar("P", LimitEntry, FigureEntry)


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
    shared_steps: dict[str, Placed[SharedStepEntry]] = field(default_factory=dict)
    coverage: dict[str, Placed[CoverageEntry]] = field(default_factory=dict)
    limits: dict[str, Placed[LimitEntry]] = field(default_factory=dict)
    figures: dict[str, Placed[FigureEntry]] = field(default_factory=dict)
    curves: dict[str, Placed[CurveEntry]] = field(default_factory=dict)
    proving: Placed[ProvingEntry] | None = None

    @property
    def code(self) -> str:
        return self.platform.entry.code

    @property
    def measurable(self) -> dict[str, str]:
        """Kind of every quantity that may be named here: the pages' and the worked-out ones."""
        given = {key: placed.entry.kind for key, placed in self.quantities.items()}
        return {key: str(one.kind) for key, one in DERIVED.items()} | given

    @property
    def worked_out(self) -> set[str]:
        """Keys of quantities that are named here and defined by the program alone."""
        named = {placed.entry.quantity for placed in self.limits.values()}
        named |= {placed.entry.quantity for placed in self.curves.values()}
        for placed in self.procedures.values():
            named |= {step.quantity for step in placed.entry.steps.values() if step.quantity}
        return named - set(self.quantities)

    def add(self, source: SourceFile, file: FileEntry) -> list[Problem]:
        """Take in one file's entries; a key already there is a problem unless it replaces."""
        problems: list[Problem] = []
        for section in SECTIONS:
            shelf: dict[str, Placed[Any]] = getattr(self, section)
            for key, entry in getattr(file, section).items():
                problems += _put(shelf, key, Placed(entry, source, (section, key)))
        for index, limit in enumerate(file.limits):
            for key, single in apart(limit.quantity, limit).items():
                problems += _put(self.limits, key, Placed(single, source, ("limits", index)))
        for index, figure in enumerate(file.figures):
            for key, one in apart(figure.figure, figure).items():
                problems += _put(self.figures, key, Placed(one, source, ("figures", index)))
        for index, curve in enumerate(file.curves):
            key = f"{_start(curve.quantity, curve.component)} / {curve.against}"
            problems += _put(self.curves, key, Placed(curve, source, ("curves", index)))
        if file.proving is not None:
            self.proving = Placed(file.proving, source, ("proving",))
        return problems

    def digest(self) -> str:
        """SHA-256 of what is said, whatever its layout, comments and file names."""
        said: dict[str, Any] = {"platform": _dump(self.platform)}
        for section in (*SECTIONS, "limits", "figures", "curves"):
            shelf: dict[str, Placed[Any]] = getattr(self, section)
            said[section] = [[key, _dump(placed)] for key, placed in shelf.items()]
        said["proving"] = _dump(self.proving) if self.proving else None
        text = json.dumps(said, sort_keys=True, default=str, ensure_ascii=False)
        return hashlib.sha256(text.encode()).hexdigest()


def apart(name: str, entry: P) -> dict[str, P]:
    """An entry for several positions taken apart, each one by the key it is known by."""
    start = _start(name, entry.component)
    if not entry.positions:
        return {f"{start} / any position": entry}
    return {
        f"{start} / {place}": entry.model_copy(update={"positions": (place,)})
        for place in entry.positions
    }


def _start(name: str, component: str | None) -> str:
    return f"{name} / {component or 'any component'}"


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
