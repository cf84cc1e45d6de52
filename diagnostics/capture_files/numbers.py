"""The lines of numbers into an array, or the first line and column that is none. Pure."""

from __future__ import annotations

import io
import re

import numpy as np

from diagnostics.capture_files.layout import (
    NOT_FINITE,
    Layout,
    cells_of,
    decoded,
    shortened,
    what_is_wrong,
)
from diagnostics.capture_files.samples import MAX_SAMPLES, CaptureError, Numbers
from shop.units import spaced

# A clock's seconds since 1970 in microseconds still fit; a channel never comes near it.
LARGEST = 1e16

_BLANKS_AT_THE_END = re.compile(rb"[ \t\f\v]+$", re.MULTILINE)


class Lines:
    """The lines of numbers of a file, made ready for NumPy's reader; remembers which line is
    which in the file."""

    def __init__(self, text: bytes, layout: Layout) -> None:
        self.layout = layout
        self.body = _ready(text[layout.begins :], layout)
        if self.body.count(b"\n") >= MAX_SAMPLES:
            self._refuse_too_many()

    def _refuse_too_many(self) -> None:
        rows = sum(1 for line in self.body.split(b"\n") if line)
        if rows > MAX_SAMPLES:
            raise CaptureError(
                f"The file has {spaced(rows)} lines of numbers; up to {spaced(MAX_SAMPLES)} are "
                "read. Export a shorter stretch or a lower sample rate."
            )

    def numbers(self) -> Numbers:
        """(rows, columns), finite. Raises CaptureError with the first bad line and column."""
        body = self.body
        if self.layout.decimal == ",":
            if b"." in body:
                raise CaptureError(self._first_bad())
            body = body.replace(b",", b".")
        mark = self.layout.separator
        try:
            found: Numbers = np.loadtxt(
                io.BytesIO(body),
                dtype=np.float64,
                comments=None,
                delimiter=None if mark == " " else mark,
                ndmin=2,
                encoding="latin-1",
            )
        except (ValueError, OverflowError):
            raise CaptureError(self._first_bad()) from None
        if found.shape[1] != self.layout.columns:
            raise CaptureError(self._first_bad())
        # nan fails this comparison too.
        good = np.abs(found) <= LARGEST
        if not good.all():
            row, column = (int(at) for at in np.argwhere(~good)[0])
            raise CaptureError(self._not_finite(row, column))
        return found

    def line_of(self, row: int) -> int:
        """The number of the line in the file, from 1, that holds row `row` from 0."""
        return self._line(row)[0]

    def _line(self, row: int) -> tuple[int, str]:
        seen = -1
        for number, line in enumerate(self.body.split(b"\n"), start=self.layout.first + 1):
            seen += bool(line)
            if seen == row:
                return number, decoded(line)
        raise IndexError(row)

    def _first_bad(self) -> str:
        good = _pattern_of(self.layout)
        for number, line in enumerate(self.body.split(b"\n"), start=self.layout.first + 1):
            if line and not good.fullmatch(line):
                return what_is_wrong(decoded(line), number, self.layout)
        return "Some line could not be read as numbers. Export the capture again as CSV."

    def _not_finite(self, row: int, column: int) -> str:
        number, line = self._line(row)
        cell = cells_of(line, self.layout.separator)[column]
        what = "is no number" if NOT_FINITE.fullmatch(cell) else "is too large a number"
        return f"Line {spaced(number)}, column {column + 1}: “{shortened(cell)}” {what}."


def _ready(body: bytes, layout: Layout) -> bytes:
    body = body.rstrip(b" \t\n;," if layout.separator != " " else b" \t\n")
    if b" \n" in body or (b"\t\n" in body and layout.separator != "\t"):
        body = _BLANKS_AT_THE_END.sub(b"", body)
    if layout.trailing:
        mark = layout.separator.encode()
        body = body.replace(mark + b"\n", b"\n")
    return body


def _pattern_of(layout: Layout) -> re.Pattern[bytes]:
    point = b"," if layout.decimal == "," else rb"\."
    number = rb"[+-]?(?:[0-9]+(?:%s[0-9]*)?|%s[0-9]+)(?:[eE][+-]?[0-9]+)?" % (point, point)
    mark = layout.separator.encode()
    between = rb"\s+" if mark == b" " else rb" *%s *" % re.escape(mark)
    return re.compile(rb"\s*" + number + (between + number) * (layout.columns - 1) + rb"\s*")
