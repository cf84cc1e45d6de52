"""Does a text hold what looks like the number of a payment card? Pure.

No card data is kept. A card's number has 13 to 19 digits here and ends in the check digit of
ISO/IEC 7812-1 Annex B (the Luhn formula: doubling every second digit from the right).
"""

from __future__ import annotations

import re

SHORTEST, LONGEST = 13, 19
# Digits with at most one space, dot or hyphen between them, as cards are printed and typed.
_RUN = re.compile(r"\d(?:[ .\-\u00a0]?\d)+")


def luhn(digits: str) -> bool:
    """Whether the last of `digits` is their check digit by ISO/IEC 7812-1.

    Raises ValueError for anything but the digits 0 to 9.
    """
    if not digits.isascii() or not digits.isdigit():
        raise ValueError("Only digits have a check digit.")
    weighed = 0
    for place, sign in enumerate(reversed(digits)):
        value = int(sign) * (2 if place % 2 else 1)
        weighed += value - 9 if value > 9 else value
    return weighed % 10 == 0


def looks_like_a_card(text: str) -> bool:
    """Whether any run of 13 to 19 digits in `text` passes as a card's number.

    Digits of another script count as their value, so that none slips through.
    """
    plain = "".join(_plain(sign) for sign in text)
    runs = (re.sub(r"\D", "", found.group()) for found in _RUN.finditer(plain))
    return any(SHORTEST <= len(run) <= LONGEST and luhn(run) for run in runs)


def _plain(sign: str) -> str:
    return str(int(sign)) if sign.isdecimal() else sign
