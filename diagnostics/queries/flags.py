"""What a code means on a platform."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.codes.two_byte import Code, CodeError, parse_code
from diagnostics.models import CatalogueVersion, FlagDefinition, Position


def definitions_for(
    version: CatalogueVersion | None, codes: Sequence[Code]
) -> dict[Code, FlagDefinition]:
    """The page's words for each code: with its failure type first, else for the bare code."""
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
        byte = "" if code.failure_type is None else f"{code.failure_type:02X}"
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


def meaning_of(version: CatalogueVersion | None, typed: str) -> CodeMeaning | None:
    """What the pages say of a code as typed; None for an empty field."""
    if not typed.strip():
        return None
    try:
        code = parse_code(typed)
    except CodeError as error:
        return CodeMeaning(problem=error.sentence, suggestion=error.suggestion)
    failure = code.meaning_of_failure_type
    row = definitions_for(version, [code]).get(code)
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


def _place(position: str) -> str:
    return str(Position(position).label) if position else ""
