"""Captures written as instruments write them."""

from __future__ import annotations

from collections.abc import Sequence

MARKS = {",": ",", ";": ";", "tab": "\t", "space": " "}


def written(
    times: Sequence[float],
    *channels: Sequence[float],
    separator: str = ",",
    decimal: str = ".",
    head: str = "",
    line_end: str = "\n",
    trailing: bool = False,
) -> bytes:
    """A file of these columns; `head` is written above them as it stands."""
    mark = MARKS[separator]
    lines = [head] if head else []
    for row in zip(times, *channels, strict=True):
        cells = [repr(float(cell)).replace(".", decimal) for cell in row]
        lines.append(mark.join(cells) + mark * trailing)
    return (line_end.join(lines) + line_end).encode()


GOOD = b"Time (s),A (V)\n0.000,0.1\n0.001,0.2\n0.002,-0.3\n"
