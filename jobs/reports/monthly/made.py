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
    """`counted_at`: as of when the books were read, all of them at once. `number` and `at`: what
    the papers say of themselves. `papers`: by the name of the sheet."""

    sections: tuple[Section, ...] = ()
    counted_at: datetime | None = None
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
        "counted_at": made.counted_at.isoformat() if made.counted_at else None,
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
            _moment(data["counted_at"]),
            tuple(data["changed"]),
            data["number"],
            _moment(data["at"]),
            tuple((name, b64decode(pdf)) for name, pdf in data["papers"].items()),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise frozen.FrozenError(f"What was made so far cannot be read: {error}.") from error


def _moment(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None
