"""How the numbers stand in a text: separator, decimal mark, columns, first line of them. Pure."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

from diagnostics.capture_files.samples import MAX_CHANNELS, CaptureError
from shop.units import spaced

SEPARATORS = {",": ",", ";": ";", "tab": "\t", "space": " "}
SEPARATOR_WORDS = {",": "commas", ";": "semicolons", "\t": "tabs", " ": "spaces"}
LINES_LOOKED_AT = 400
_LONGEST_LINE = 2_000
_CUT = "…"
_QUOTED = 40
_MOST_COLUMNS = 2 * MAX_CHANNELS + 2

NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity)", re.IGNORECASE)
_NUMBER = {
    mark: re.compile(rf"[+-]?(?:[0-9]+(?:{mark}[0-9]*)?|{mark}[0-9]+)(?:[eE][+-]?[0-9]+)?")
    for mark in (r"\.", ",")
}
# Those looked for first win where a line can be read in two ways.
_WAYS: tuple[tuple[str, str], ...] = (
    (";", "."),
    (";", ","),
    ("\t", "."),
    ("\t", ","),
    (",", "."),
    (" ", "."),
    (" ", ","),
)


@dataclass(frozen=True, slots=True)
class Layout:
    """separator: "," ";" tab or space. decimal: "." or ",". first: the number of the first line
    of numbers, from 0; begins: where it begins, in bytes. trailing: lines end in a separator."""

    separator: str
    decimal: str
    columns: int
    first: int
    begins: int
    trailing: bool
    head: tuple[str, ...]


def is_number(cell: str, decimal: str) -> bool:
    """Whether the cell is a finite number written with this decimal mark."""
    return _NUMBER["," if decimal == "," else r"\."].fullmatch(cell) is not None


def cells_of(line: str, separator: str) -> list[str]:
    """The cells of a line without the blanks around them; an empty one at the end is left out."""
    if separator == " ":
        return line.split()
    cells = [cell.strip() for cell in line.split(separator)]
    return cells[:-1] if len(cells) > 1 and not cells[-1] else cells


def decoded(line: bytes) -> str:
    """The line as text: UTF-8, or Latin-1 where it is not."""
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode("latin-1")


def find_layout(text: bytes, *, separator: str, decimal: str) -> Layout:
    """The way of reading that fits most of the first lines.

    separator, decimal: as chosen, "" to find out. Raises CaptureError when no line fits.
    """
    lines, begins = _first_lines(text)
    ways = [
        (mark, point) for mark, point in _WAYS if separator in ("", mark) and decimal in ("", point)
    ]
    best: tuple[int, int] = (0, 0)
    chosen = ("", "")
    for way in ways:
        counted = Counter(filter(None, (_columns(line, *way) for line in lines)))
        for columns, count in counted.items():
            if (count, columns) > best:
                best, chosen = (count, columns), way
    if not best[0]:
        raise CaptureError(_nothing_found(lines, separator, decimal))
    columns = best[1]
    if columns > _MOST_COLUMNS:
        raise CaptureError(
            f"The file has {columns} columns; up to {MAX_CHANNELS} channels beside the time are "
            "read. Export fewer."
        )
    first = next(i for i, line in enumerate(lines) if _columns(line, *chosen) == columns)
    mark, point = chosen
    layout = Layout(
        separator=mark,
        decimal=_decimal_of(text[begins[first] :], mark, point, asked=decimal),
        columns=columns,
        first=first,
        begins=begins[first],
        trailing=mark != " " and lines[first].rstrip(" ").endswith(mark),
        head=tuple(lines[:first]),
    )
    _refuse_a_spoiled_begin(layout)
    return layout


def _first_lines(text: bytes) -> tuple[list[str], list[int]]:
    lines: list[str] = []
    begins: list[int] = []
    at = 0
    while at < len(text) and len(lines) < LINES_LOOKED_AT:
        end = text.find(b"\n", at)
        end = len(text) if end < 0 else end
        line = decoded(text[at : min(end, at + _LONGEST_LINE)])
        # Cut short and marked, so that it is taken for no line of numbers.
        lines.append(line + _CUT if end - at > _LONGEST_LINE else line)
        begins.append(at)
        at = end + 1
    return lines, begins


def _columns(line: str, separator: str, decimal: str) -> int:
    """How many numbers stand in the line, 0 when something else does."""
    cells = cells_of(line, separator)
    fits = all(is_number(cell, decimal) or NOT_FINITE.fullmatch(cell) for cell in cells)
    return len(cells) if fits else 0


def _decimal_of(body: bytes, separator: str, found: str, *, asked: str) -> str:
    """Whole numbers alone do not show the decimal mark: then a comma anywhere is one."""
    if asked or separator == ",":
        return found
    begin = body[: body.find(b"\n") if b"\n" in body else None]
    if b"," in begin or b"." in begin:
        return found
    return "," if b"," in body and b"." not in body else "."


def _refuse_a_spoiled_begin(layout: Layout) -> None:
    """A line that should be numbers, but is not, must not pass for the head of the columns."""
    for number in range(len(layout.head) - 1, -1, -1):
        line = layout.head[number]
        if not line.strip():
            continue
        cells = cells_of(line, layout.separator)
        if cells and len(cells) <= layout.columns and is_number(cells[0], layout.decimal):
            raise CaptureError(what_is_wrong(line, number + 1, layout))
        return


def what_is_wrong(line: str, number: int, layout: Layout) -> str:
    """The sentence about a line that does not hold the numbers it should. number: from 1."""
    cells = cells_of(line, layout.separator)
    for column, cell in enumerate(cells[: layout.columns], start=1):
        if not is_number(cell, layout.decimal):
            return (
                f"Line {spaced(number)}, column {column}: {what_is_no_number(cell, layout.decimal)}"
            )
    found = f"{len(cells)} number{'s' * (len(cells) != 1)}"
    return f"Line {spaced(number)} has {found} where the others have {layout.columns}."


def what_is_no_number(cell: str, decimal: str) -> str:
    """Why the cell is no number here, to follow "Line 3, column 2:"."""
    if not cell:
        return "there is no number."
    shown = shortened(cell)
    other = "." if decimal == "," else ","
    if is_number(cell, other):
        mark, usual = ("point", "comma") if other == "." else ("comma", "point")
        return f"“{shown}” has a decimal {mark} where the others have a decimal {usual}."
    if re.search(r"[0-9]:[0-9]{2}", cell):
        return (
            f"“{shown}” is a time of day. Export the time from the start of the capture, "
            "in seconds or milliseconds."
        )
    return f"“{shown}” is no number."


def shortened(cell: str) -> str:
    """The cell fit to be quoted: printable and not long."""
    shown = "".join(letter if letter.isprintable() else "?" for letter in cell[:_QUOTED])
    return f"{shown}…" if len(cell) > _QUOTED else shown


def _nothing_found(lines: list[str], separator: str, decimal: str) -> str:
    if separator or decimal:
        return (
            "No line could be read as numbers with the separator and the decimal mark chosen. "
            "Leave both to be found out, or look into the file."
        )
    for number, line in enumerate(lines, start=1):
        if len(line) > _LONGEST_LINE:
            return (
                f"Line {spaced(number)} is longer than {spaced(_LONGEST_LINE)} characters, as no "
                "line of a capture is. Export one line for each sample."
            )
        if re.match(r"\s*[0-9./-]*[ T]?[0-9]{1,2}:[0-9]{2}[:.]", line):
            return (
                f"Line {spaced(number)} begins with a time of day. Export the time from the start "
                "of the capture, in seconds or milliseconds."
            )
    return (
        f"No line of numbers was found in the first {spaced(len(lines))} lines: this is no "
        "capture. It needs a column of time and one of volts for each channel."
    )
