"""What is made of a report so far, as a row keeps it between one step and the next. Pure."""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from dataclasses import dataclass
from datetime import datetime

from jobs.reports import frozen
from jobs.reports.document import Section


@dataclass(frozen=True, slots=True)
class Made:
    """`number` and `at`: what the papers say of themselves. `papers`: by the name of the sheet."""

    sections: tuple[Section, ...] = ()
    changed: tuple[str, ...] = ()
    number: str = ""
    at: datetime | None = None
    papers: tuple[tuple[str, bytes], ...] = ()

    @property
    def by_sheet(self) -> dict[str, bytes]:
        return dict(self.papers)


def to_text(made: Made) -> str:
    """As it is kept; `from_text` reads it back exactly."""
    data = {
        "sections": frozen.sections_to_json(made.sections),
        "changed": list(made.changed),
        "number": made.number,
        "at": made.at.isoformat() if made.at else None,
        "papers": {name: b64encode(pdf).decode("ascii") for name, pdf in made.papers},
    }
    return json.dumps(data, ensure_ascii=False)


def from_text(text: str) -> Made:
    """What `to_text` wrote; nothing made yet of an empty text. Raises frozen.FrozenError."""
    if not text:
        return Made()
    try:
        data = json.loads(text)
        return Made(
            frozen.sections_from_json(data["sections"]),
            tuple(data["changed"]),
            data["number"],
            datetime.fromisoformat(data["at"]) if data["at"] else None,
            tuple((name, b64decode(pdf)) for name, pdf in data["papers"].items()),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise frozen.FrozenError(f"What was made so far cannot be read: {error}.") from error
