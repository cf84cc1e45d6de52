"""An instrument's file of time and volts, read into samples. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diagnostics.capture_files import timing
from diagnostics.capture_files.heads import (
    TIME_UNITS,
    VALUE_UNITS,
    Head,
    heads_of,
    names_in_last_line,
)
from diagnostics.capture_files.layout import (
    SEPARATOR_WORDS,
    SEPARATORS,
    Layout,
    find_layout,
    shortened,
)
from diagnostics.capture_files.numbers import Lines
from diagnostics.capture_files.samples import (
    MAX_BYTES,
    MAX_CHANNELS,
    MAX_SAMPLES,
    CaptureError,
    Numbers,
    Samples,
)
from diagnostics.capture_files.text import plain_text
from shop.units import spaced

__all__ = [
    "MAX_BYTES",
    "MAX_CHANNELS",
    "MAX_SAMPLES",
    "CaptureError",
    "Samples",
    "read_capture",
]

# Nothing that is measured at a chassis comes near it, in volts or amperes.
_LARGEST_VALUE = 1e6
_SHORTEST_STEP = 1e-9
_RATES = (0.01, 1e9)


def read_capture(
    content: bytes,
    *,
    name: str = "",
    time_unit: str = "",
    decimal: str = "",
    separator: str = "",
    sample_rate: float | None = None,
) -> Samples:
    """The samples in a CSV or text file of time and up to eight channels.

    name: of the file, said in `read_as`. time_unit "s", "ms" or "us"; decimal "." or ",";
    separator ",", ";", "tab" or "space"; each "" to be found out, and then said in `read_as`.
    sample_rate: Hz, needed for a file that has volts and no time. Raises CaptureError with a
    sentence for every file that is no such capture and for a rate that no instrument has,
    ValueError for an argument that is none of those named.
    """
    _check_arguments(time_unit, decimal, separator, sample_rate)
    text, quoted = plain_text(content)
    wanted = SEPARATORS.get(separator, "")
    if quoted and wanted == ",":
        wanted = ";"
    layout = find_layout(text, separator=wanted, decimal=decimal)
    _refuse_double_commas(layout)
    lines = Lines(text, layout)
    table = _Table(lines, lines.numbers(), heads_of(layout))
    if table.rows < 2:
        raise CaptureError("The file has one line of numbers. A capture needs at least two.")
    columns = _columns_of(table, sample_rate)
    seconds, said = _seconds(table, columns, time_unit, sample_rate)
    channels, heads, scaled = _channels(table, columns)
    return Samples(
        seconds=seconds,
        channels=channels,
        names=_names(heads),
        units=tuple(VALUE_UNITS[head.unit][0] if head.unit else "" for head in heads),
        read_as=(
            _layout_said(layout, name),
            *columns.said,
            *said,
            *timing.about_steps(seconds),
            *scaled,
        ),
    )


def _check_arguments(
    time_unit: str, decimal: str, separator: str, sample_rate: float | None
) -> None:
    if time_unit not in ("", "s", "ms", "us"):
        raise ValueError("The unit of time is s, ms or us.")
    if decimal not in ("", ".", ","):
        raise ValueError("The decimal mark is a point or a comma.")
    if separator and separator not in SEPARATORS:
        raise ValueError("The separator is a comma, a semicolon, a tab or a space.")
    if sample_rate is not None and not _RATES[0] <= sample_rate <= _RATES[1]:
        raise CaptureError("A sample rate lies between 0.01 Hz and 1 GHz. Check the figure.")


@dataclass(frozen=True, slots=True)
class _Table:
    """The numbers (rows, columns) with a head for each column."""

    lines: Lines
    numbers: Numbers
    heads: tuple[Head, ...]

    @property
    def rows(self) -> int:
        return int(self.numbers.shape[0])


@dataclass(frozen=True, slots=True)
class _Columns:
    """Which column is the time (None when the file has none), which are channels."""

    time: int | None
    channels: tuple[int, ...]
    said: tuple[str, ...]


def _refuse_double_commas(layout: Layout) -> None:
    if layout.separator == "," and layout.columns >= 2:
        named = names_in_last_line(layout)
        if named >= 2 and layout.columns == 2 * named:
            raise CaptureError(_DOUBLE_COMMAS)


_DOUBLE_COMMAS = (
    "Commas seem to stand both between the columns and inside the numbers, and cannot be told "
    "apart. Export with semicolons between the columns, or with decimal points."
)


def _columns_of(table: _Table, sample_rate: float | None) -> _Columns:
    heads = table.heads
    everything = range(len(heads))
    times = [i for i in everything if heads[i].is_time]
    if len(heads) == 1 and not times and sample_rate is None:
        raise CaptureError(
            "The file has one column of numbers: volts without time. "
            "Give the sample rate, or export the time as well."
        )
    counters = {i for i in everything if heads[i].is_counter and len(heads) > 1}
    time = times[0] if times else None
    if time is None and sample_rate is None:
        time = next((i for i in everything if i not in counters), 0)
    _refuse_times_that_differ(table, times)
    left_out = counters | set(times[1:])
    channels = tuple(i for i in everything if i != time and i not in left_out)
    if not channels:
        raise CaptureError("The file has a column of time and none of volts.")
    if len(channels) > MAX_CHANNELS:
        raise CaptureError(
            f"The file has {len(channels)} channels; up to {MAX_CHANNELS} are read. Export fewer."
        )
    which = ", ".join(str(i + 1) for i in sorted(left_out - {time}))
    said = (f"Not read, as it is no channel: column {which}.",) if which else ()
    return _Columns(time, channels, said)


def _refuse_times_that_differ(table: _Table, times: list[int]) -> None:
    for other in times[1:]:
        if not np.array_equal(table.numbers[:, other], table.numbers[:, times[0]]):
            raise CaptureError(
                f"Columns {times[0] + 1} and {other + 1} both hold times, and they differ. "
                "Export one column of time for all channels."
            )


def _seconds(
    table: _Table, columns: _Columns, time_unit: str, sample_rate: float | None
) -> tuple[Numbers, tuple[str, ...]]:
    if columns.time is None:
        assert sample_rate is not None
        return np.arange(table.rows) / sample_rate, ("Time from the sample rate given.",)
    times = np.ascontiguousarray(table.numbers[:, columns.time])
    row = timing.first_not_later(times)
    if row is not None:
        raise CaptureError(_not_later(table, times, row))
    named = table.heads[columns.time].unit
    unit = time_unit or named or timing.inferred_unit(times)
    seconds = times if unit == "s" else times * TIME_UNITS[unit]
    if float(np.diff(seconds).min()) < _SHORTEST_STEP:
        raise CaptureError(
            f"Read as {timing.TIME_WORDS[unit]}, the times are less than a nanosecond apart. "
            "Choose the right unit of time."
        )
    word = timing.TIME_WORDS[unit]
    if time_unit:
        return seconds, (f"Time in {word}, as chosen.",)
    if named:
        return seconds, (f"Time in {word}, as the file says.",)
    inferred = (
        f"The file does not say the unit of time. Read as {word}, which gives a likely sample "
        "rate: choose the unit if that is wrong."
    )
    return seconds, (inferred,)


def _not_later(table: _Table, times: Numbers, row: int) -> str:
    layout = table.lines.layout
    pairs = layout.separator == "," and not layout.columns % 2
    if row == 1 and pairs and b"." not in table.lines.body[:4000]:
        return _DOUBLE_COMMAS
    line = table.lines.line_of(row)
    if times[row] == times[row - 1]:
        return (
            f"Line {spaced(line)}: the time is the same as on the line before. "
            "Export the time with more digits."
        )
    return f"Line {spaced(line)}: the time runs backwards."


def _channels(table: _Table, columns: _Columns) -> tuple[Numbers, tuple[Head, ...], list[str]]:
    chosen = [table.heads[i] for i in columns.channels]
    channels = np.ascontiguousarray(table.numbers[:, list(columns.channels)].T)
    said: list[str] = []
    for place, head in enumerate(chosen):
        called = head.name or f"Channel {place + 1}"
        if head.unit in TIME_UNITS:
            head = chosen[place] = replace(head, unit="", odd=head.unit)
        if head.unit:
            base, factor = VALUE_UNITS[head.unit]
            if factor != 1:
                channels[place] *= factor
                said.append(f"{called}: from {head.unit.replace('u', 'µ')} to {base}.")
        elif head.odd:
            said.append(f"{called}: its unit “{head.odd}” is not known; read as volts.")
        else:
            said.append(f"{called}: the file names no unit; read as volts.")
    high = np.abs(channels) > _LARGEST_VALUE
    if high.any():
        row = int(np.argmax(high.any(axis=0)))
        column = columns.channels[int(np.argmax(high[:, row]))] + 1
        raise CaptureError(
            f"Line {spaced(table.lines.line_of(row))}, column {column}: no voltage or current at a "
            "car is that large. Check which column is which."
        )
    return channels, tuple(chosen), said


def _names(heads: tuple[Head, ...]) -> tuple[str, ...]:
    names: list[str] = []
    for place, head in enumerate(heads, start=1):
        name = head.name or f"Channel {place}"
        again = sum(1 for other in heads[: place - 1] if other.name == head.name and head.name)
        names.append(f"{name} ({again + 1})" if again else name)
    return tuple(names)


def _layout_said(layout: Layout, name: str) -> str:
    mark = "comma" if layout.decimal == "," else "point"
    between = (
        f"Columns between {SEPARATOR_WORDS[layout.separator]}, decimal {mark}"
        if layout.columns > 1
        else f"One column, decimal {mark}"
    )
    where = f" of {shortened(name)}" if name else ""
    return f"{between}; numbers from line {spaced(layout.first + 1)}{where}."
