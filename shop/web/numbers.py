"""Whole numbers that come in an address or in the name of a field, where no form reads them."""

from __future__ import annotations

# More digits than these are no key of any row, and very many cost time to read.
LONGEST = 9


def whole_number(text: str | None) -> int | None:
    """The number that `text` writes in plain digits, None for anything else."""
    if text and len(text) <= LONGEST and text.isascii() and text.isdecimal():
        return int(text)
    return None
