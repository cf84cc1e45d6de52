"""What a scanned or typed text may be: a job, a tag, a part, a vehicle. Pure.

A keyboard-wedge scanner types what it reads and ends with Enter or Tab; some put the symbology
identifier of ISO/IEC 15424 before it ("]" and two characters, such as "]Q3" for a QR code).
Labels may carry a data identifier of ISO/IEC 15418 before a part number ("P" the customer's,
"1P" the supplier's; from memory). Nothing here knows which of the guesses exists.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from urllib.parse import unquote, urlsplit

from jobs.supersession import normal
from shop.search_keys import plate_key
from shop.vin import LENGTH as VIN_LENGTH
from shop.vin import normal_vin

LONGEST = 400
LONGEST_PART, LONGEST_PLATE = 40, 16

_SYMBOLOGY = re.compile(r"^\][A-Za-z][0-9A-Za-z]")
_PART_IDENTIFIERS = ("1P", "P")


class Kind(StrEnum):
    """What a guess would be found as."""

    ORDER = "order"
    TAG = "tag"
    SUPPLY = "supply"
    INVOICE = "invoice"
    PART = "part"
    VIN = "vin"
    PLATE = "plate"


# The letter between the workshop's own and the serial, and what such a number stands on.
_LETTERS = {
    "": Kind.ORDER,
    "T": Kind.TAG,
    "S": Kind.SUPPLY,
    "I": Kind.INVOICE,
    "C": Kind.INVOICE,
    "R": Kind.INVOICE,
}
# Our own addresses that stand in QR codes: /<workshop>/<room>/<number>/
_ROOMS = {"orders": Kind.ORDER, "held": Kind.TAG}


@dataclass(frozen=True, slots=True)
class Guess:
    """`key` is the number as it is kept: capitals; letters and digits only but for numbers."""

    kind: Kind
    key: str


@dataclass(frozen=True, slots=True)
class Scanned:
    """`text` is what was read, cleaned; `elsewhere` names another workshop's address."""

    text: str
    guesses: tuple[Guess, ...] = ()
    is_address: bool = False
    elsewhere: str = ""

    def keys(self, kind: Kind) -> tuple[str, ...]:
        """What to look for among things of this kind; empty when it cannot be one."""
        return tuple(guess.key for guess in self.guesses if guess.kind is kind)


def clean(raw: str) -> str:
    """The text without what a scanner adds: control characters, symbology identifier, spaces."""
    signs = (" " if sign.isspace() else sign for sign in raw[:LONGEST])
    text = "".join(sign for sign in signs if unicodedata.category(sign)[0] != "C")
    return " ".join(_SYMBOLOGY.sub("", text.strip()).split())


def read(raw: str, *, prefix: str, workshop: str) -> Scanned:
    """Everything that `raw` may be, likeliest first. Never raises.

    prefix: the letters before the workshop's order numbers; workshop: its short name in addresses.
    """
    text = clean(raw)
    if "://" in text or text.startswith("/"):
        return _address(text, workshop)
    guesses = [*_numbers(text, prefix.upper()), *_vin(text), *_parts(text), *_plate(text)]
    return Scanned(text, tuple(dict.fromkeys(guesses)))


def _address(text: str, workshop: str) -> Scanned:
    try:
        path = unquote(urlsplit(text).path)
    except ValueError:
        return Scanned(text, is_address=True)
    steps = [step for step in path.split("/") if step]
    if len(steps) < 3 or steps[1] not in _ROOMS:
        return Scanned(text, is_address=True)
    if steps[0] != workshop:
        return Scanned(text, is_address=True, elsewhere=steps[0])
    return Scanned(text, (Guess(_ROOMS[steps[1]], steps[2].upper()[:LONGEST_PART]),), True)


def _numbers(text: str, prefix: str) -> list[Guess]:
    """Numbers of our own papers; digits alone are an order's."""
    compact = normal(text)
    found = re.fullmatch(rf"({re.escape(prefix)})?([TSICR]?)([0-9]{{1,9}})", compact)
    if found is None or (found[2] and not found[1]):
        return []
    return [Guess(_LETTERS[found[2]], f"{prefix}{found[2]}{found[3]}")]


def _vin(text: str) -> list[Guess]:
    vin = normal_vin(text)
    # The I that begins a scanned label of an imported vehicle (common practice, no source).
    if len(vin) == VIN_LENGTH + 1 and vin.startswith("I"):
        vin = vin[1:]
    return [Guess(Kind.VIN, vin)] if len(vin) == VIN_LENGTH and vin.isalnum() else []


def _parts(text: str) -> list[Guess]:
    whole = normal(text)
    keys = [whole]
    keys += [whole.removeprefix(one) for one in _PART_IDENTIFIERS if whole.startswith(one)]
    return [Guess(Kind.PART, key) for key in keys if 2 <= len(key) <= LONGEST_PART]


def _plate(text: str) -> list[Guess]:
    key = plate_key(text)
    return [Guess(Kind.PLATE, key)] if 2 <= len(key) <= LONGEST_PLATE else []
