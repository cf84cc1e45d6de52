"""What a code means on a platform."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.codes.pasted import Pasted
from diagnostics.codes.status import FlagStatus, Said, bits
from diagnostics.codes.two_byte import Code, CodeError, parse_code
from diagnostics.codes.uds import Record
from diagnostics.models import CatalogueVersion, FlagDefinition, Position, StoredFlag
from diagnostics.queries.memory import said


def definitions_for(
    version: CatalogueVersion | None, codes: Sequence[Code], *, symptom: bool = False
) -> dict[Code, FlagDefinition]:
    """The page's words for each code: with its failure type first, else for the bare code.

    symptom: what follows the code is the tester's own, so that only the bare code is looked up.
    """
    if version is None or not codes:
        return {}
    rows = (
        FlagDefinition.objects.filter(version=version, code__in={code.text for code in codes})
        .select_related("system")
        .prefetch_related("pointers__component")
    )
    known = {(row.code, row.failure_type): row for row in rows}
    found: dict[Code, FlagDefinition] = {}
    for code in codes:
        byte = "" if symptom or code.failure_type is None else f"{code.failure_type:02X}"
        row = known.get((code.text, byte)) or known.get((code.text, ""))
        if row is not None:
            found[code] = row
    return found


@dataclass(frozen=True, slots=True)
class CodeMeaning:
    """What is said of a code while it is typed. `problem` when it is none."""

    code: str = ""
    text: str = ""
    place: str = ""
    lamp: str = ""
    points_at: tuple[str, ...] = ()
    failure: str = ""
    source: str = ""
    problem: str = ""
    suggestion: str = ""


def meaning_of(
    version: CatalogueVersion | None, typed: str, *, symptom: bool = False
) -> CodeMeaning | None:
    """What the pages say of a code as typed; None for an empty field.

    symptom: what follows the hyphen is the tester's own, not a failure type.
    """
    if not typed.strip():
        return None
    try:
        code = parse_code(typed)
    except CodeError as error:
        return CodeMeaning(problem=error.sentence, suggestion=error.suggestion)
    found = definitions_for(version, [code], symptom=symptom)
    return _meaning(code, found.get(code), symptom=symptom)


def _meaning(code: Code, row: FlagDefinition | None, *, symptom: bool = False) -> CodeMeaning:
    failure = "" if symptom else code.meaning_of_failure_type
    if row is None:
        text = (
            f"Not on this platform's pages. A {code.system} code, {code.controlled_by}: "
            "look it up in the vehicle maker's information."
        )
        return CodeMeaning(code=code.full, text=text, failure=failure)
    pointers = tuple(
        ", ".join(part for part in (str(one.component), _place(one.position)) if part)
        for one in row.pointers.all()
    )
    return CodeMeaning(
        code=code.full,
        text=row.text,
        place=_place(row.position),
        lamp=row.lamp,
        points_at=pointers,
        failure=failure,
        source=row.source,
    )


@dataclass(frozen=True, slots=True)
class FlagReturned:
    """One flag of what a module returned, before it is kept."""

    code: str
    status_byte: str
    status: str
    present: bool
    said: str
    not_known: str
    meaning: CodeMeaning


@dataclass(frozen=True, slots=True)
class Returned:
    """What a module returned, in words. No flags: it stores none."""

    flags: tuple[FlagReturned, ...]
    notes: tuple[str, ...]
    answers: int
    not_supported: str


def returned_in_words(version: CatalogueVersion | None, found: Pasted) -> Returned:
    """Every flag with what the pages and its bytes say: three queries, however many."""
    rows = definitions_for(version, [record.code for record in found.records])
    return Returned(
        flags=tuple(_returned(record, rows.get(record.code)) for record in found.records),
        notes=found.notes,
        answers=found.answers,
        not_supported=said(bits(0, found.availability), Said.NOT_KNOWN),
    )


def _returned(record: Record, row: FlagDefinition | None) -> FlagReturned:
    telling = record.telling
    return FlagReturned(
        code=record.code.full,
        status_byte=f"{record.status:02X}",
        status=telling.label if telling else str(StoredFlag.Status.QUIET.label),
        present=telling is FlagStatus.PRESENT_NOW,
        said=said(record.bits, Said.YES),
        not_known=said(record.bits, Said.NOT_KNOWN),
        meaning=_meaning(record.code, row),
    )


def _place(position: str) -> str:
    return str(Position(position).label) if position else ""
