"""A payer's file as text: its encoding, its separator, its headings, its cells. Pure."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

MOST_BYTES = 2 * 2**20
MOST_LINES = 5_000
LONGEST_CELL = 400
NAMES: Mapping[str, str] = MappingProxyType(
    {
        "claim": "claim number",
        "order": "order",
        "vin": "VIN",
        "paid_on": "paid on",
        "kind": "kind",
        "labour": "labour",
        "parts": "parts",
        "handling": "handling",
        "sublet": "sublet",
        "tax": "tax",
        "amount": "amount",
        "reference": "reference",
    }
)
"""Every column that is read, by the plain words it is headed with."""
_ALSO: Mapping[str, str] = MappingProxyType(
    {
        "claim": "claim",
        "claim no": "claim",
        "claim no.": "claim",
        "your claim": "claim",
        "order number": "order",
        "order no": "order",
        "repair order": "order",
        "vehicle identification number": "vin",
        "date": "paid_on",
        "paid": "paid_on",
        "date paid": "paid_on",
        "payment date": "paid_on",
        "labor": "labour",
        "part": "parts",
        "sublet work": "sublet",
        "total": "amount",
        "amount paid": "amount",
        "payment reference": "reference",
    }
)
HEADINGS: Mapping[str, str] = MappingProxyType(
    {name.lower(): key for key, name in NAMES.items()} | dict(_ALSO)
)


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong, and where: `line` 0 is the file as a whole, `column` may be empty.

    `asks` names what a person can answer: "decimal" or "dates".
    """

    line: int
    column: str
    sentence: str
    asks: str = ""

    @property
    def words(self) -> str:
        where = [f"line {self.line}"] if self.line else []
        if self.column:
            where.append(f"column “{self.column}”")
        place = ", ".join(where)
        return f"{place[:1].upper()}{place[1:]}: {self.sentence}" if place else self.sentence


class Unreadable(Exception):
    """The file cannot be read at all; `problem` says why."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.sentence)
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Cells:
    """One line under the headings: its number in the file and what stands under each name."""

    line: int
    named: Mapping[str, str]

    def __getitem__(self, key: str) -> str:
        return self.named.get(key, "")


@dataclass(frozen=True, slots=True)
class Sheet:
    """`heads`: the names of the columns as the file has them. `ignored`: those not known."""

    separator: str
    heads: Mapping[str, str]
    ignored: tuple[str, ...]
    rows: tuple[Cells, ...]


def text_of(raw: bytes) -> str:
    """The text of a file in UTF-8, UTF-16 with its mark, or the usual Western code page.

    Raises Unreadable for an empty file, one that is too large, and what is no text.
    """
    if len(raw) > MOST_BYTES:
        raise _no(
            f"The file is larger than {MOST_BYTES // 2**20} MB. "
            "Split it, and give each part its own headings."
        )
    marked = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        break
    else:
        text = "\0"
    if "\0" in text:
        raise _no("This is not a text file. Save the payer’s table as CSV and choose that file.")
    if not text.strip():
        raise _no("The file is empty.")
    return text


def sheet_of(text: str) -> Sheet:
    """The cells under known headings. Raises Unreadable when the headings are not to be found."""
    separator = max(",;\t", key=lambda each: _known(text, each))
    records = _records(text, separator)
    _line, first = next(records)
    keys = [HEADINGS.get(_plain(head), "") for head in first]
    doubled = [head.strip() for place, head in enumerate(first) if keys[place] in keys[:place]]
    heads = {key: head.strip() for key, head in zip(keys, first, strict=True) if key}
    ignored = tuple(
        head.strip() for key, head in zip(keys, first, strict=True) if not key and head.strip()
    )
    if again := [head for head in doubled if head and head not in ignored]:
        raise _no(f"Two columns stand for the same: “{again[0]}”. Take one of them out.", line=1)
    _all_there(heads)
    rows = tuple(_cells(number, record, keys) for number, record in records)
    if not rows:
        raise _no("There is nothing under the headings.")
    return Sheet(separator, MappingProxyType(heads), ignored, rows)


def _all_there(heads: Mapping[str, str]) -> None:
    lacking = [NAMES[key] for key in ("paid_on", "amount") if key not in heads]
    if not {"claim", "order", "vin"} & set(heads):
        lacking.insert(0, "claim number (or order, or VIN)")
    if lacking:
        raise _no(
            f"No column is headed: {', '.join(lacking)}. The first line names the columns; "
            "write these names there.",
            line=1,
        )


def _known(text: str, separator: str) -> int:
    line = next(line for line in text.splitlines() if line.strip())
    return sum(_plain(head) in HEADINGS for head in next(csv.reader([line], delimiter=separator)))


def _records(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    """Each record that is not blank, with the line it begins on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    count, begins = 0, 1
    try:
        for record in reader:
            if any(cell.strip() for cell in record):
                count += 1
                if count > MOST_LINES + 1:
                    raise _no(f"The file has more than {MOST_LINES} lines. Split it.")
                yield begins, record
            begins = reader.line_num + 1
    except csv.Error:
        raise _no(
            "A quotation mark is opened here and not closed, or stands inside a cell.",
            line=begins,
        ) from None


def _cells(line: int, record: list[str], keys: list[str]) -> Cells:
    if len(record) > len(keys) and any(cell.strip() for cell in record[len(keys) :]):
        raise _no(
            f"There are {len(record)} cells under {len(keys)} headings. A text or an amount that "
            "holds the separator must stand in quotation marks.",
            line=line,
        )
    named = {key: cell.strip() for key, cell in zip(keys, record, strict=False) if key}
    for key, cell in named.items():
        if len(cell) > LONGEST_CELL:
            raise _no(f"“{NAMES[key]}” is far too long.", line=line)
    return Cells(line, MappingProxyType(named))


def _plain(head: str) -> str:
    return " ".join(head.replace("_", " ").lower().split())


def _no(sentence: str, *, line: int = 0) -> Unreadable:
    return Unreadable(Problem(line, "", sentence))
