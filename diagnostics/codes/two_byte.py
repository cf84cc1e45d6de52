"""Two-byte fault codes such as C0045, typed or from a module. Pure.

Bits 7-6 of the high byte give the letter (00 P, 01 C, 10 B, 11 U), bits 5-4 the first digit,
the other three hexadecimal digits follow: SAE J2012 / ISO 15031-6. A third byte, the failure
type, may follow after a hyphen or colon. What the first digit says about who controls a code is
from memory.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from diagnostics.codes.failure_types import failure_type_text

# In the order of the two bits that encode them.
_LETTERS = "PCBU"
_SYSTEMS: Mapping[str, str] = MappingProxyType(
    {"P": "powertrain", "C": "chassis", "B": "body", "U": "network"}
)
_STANDARD = "controlled by the standard"
_MAKER = "controlled by the vehicle maker"

_CODE = re.compile(r"([PCBU])([0-3])([0-9A-F]{3})([0-9A-F]{2})?")
# Letters that no code has and that are read for digits; B and D are digits themselves here.
_LOOK_ALIKES = str.maketrans({"O": "0", "Q": "0", "I": "1", "L": "1", "S": "5", "Z": "2"})


class CodeError(ValueError):
    """A text that is no code. `sentence` says why; `suggestion` is the code that was probably
    meant, "" when there is none."""

    def __init__(self, sentence: str, suggestion: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.suggestion = suggestion


@dataclass(frozen=True, slots=True)
class Code:
    """One fault code: its letter, the fourteen bits after it, and the failure type if there is one.

    Raises CodeError for an unknown letter, a number outside 0 to 0x3FFF, a failure type that
    is no byte, and for P0000, which says that nothing is stored.
    """

    letter: str
    number: int
    failure_type: int | None = None

    def __post_init__(self) -> None:
        if self.letter not in _SYSTEMS or not 0 <= self.number <= 0x3FFF:
            raise CodeError("A code is P, C, B or U and a number from 0000 to 3FFF.")
        if self.failure_type is not None and not 0 <= self.failure_type <= 0xFF:
            raise CodeError("A failure type is one byte: 00 to FF.")
        if self.letter == "P" and self.number == 0:
            raise CodeError("P0000 says that no code is stored. Leave the list empty.")

    @property
    def text(self) -> str:
        """The code without its failure type: "C0045"."""
        return f"{self.letter}{self.number:04X}"

    @property
    def full(self) -> str:
        """The code with its failure type if there is one: "C0045-13"."""
        return self.text if self.failure_type is None else f"{self.text}-{self.failure_type:02X}"

    @property
    def system(self) -> str:
        """Which part of the vehicle the letter stands for: "chassis"."""
        return _SYSTEMS[self.letter]

    @property
    def controlled_by(self) -> str:
        """Who gives the code its meaning, by its first digit."""
        first = self.number >> 12
        if first == 0 or (first == 2 and self.letter == "P"):
            return _STANDARD
        if first in {1, 2}:
            return _MAKER
        if self.letter == "P":
            return _MAKER if self.number < 0x3400 else _STANDARD
        return "reserved by the standard"

    @property
    def meaning_of_failure_type(self) -> str:
        """What the failure type says; "" without one or when it is not in the list."""
        return "" if self.failure_type is None else failure_type_text(self.failure_type)

    def to_bytes(self) -> bytes:
        """The two bytes, high byte first; the failure type is not among them."""
        return (_LETTERS.index(self.letter) << 14 | self.number).to_bytes(2, "big")


def from_bytes(high: int, low: int, failure_type: int | None = None) -> Code:
    """The code in two bytes (each 0 to 255), with a third as its failure type.

    Raises CodeError for a number that is no byte and for 00 00, which is filling, not a code.
    """
    if not (0 <= high <= 0xFF and 0 <= low <= 0xFF):
        raise CodeError("A code comes in bytes: 0 to 255 each.")
    both = high << 8 | low
    return Code(_LETTERS[both >> 14], both & 0x3FFF, failure_type)


def parse_code(text: str) -> Code:
    """The code that was typed: "c 0045", "C0045", "C0045-13", "C0045:13" or "C004513".

    Raises CodeError with a sentence, and with a suggestion where a letter stands for a digit.
    """
    compact = re.sub(r"[\s\-:.\u2010-\u2015]+", "", text).upper()
    if not compact:
        raise CodeError("Type the code as the tester shows it, for example C0045.")
    found = _CODE.fullmatch(compact)
    if found is None:
        suggestion = _suggestion(compact)
        raise CodeError(_why_unreadable(text.strip(), compact, suggestion), suggestion)
    letter, first, rest, failure_type = found.groups()
    return Code(letter, int(first + rest, 16), int(failure_type, 16) if failure_type else None)


def _suggestion(compact: str) -> str:
    found = _CODE.fullmatch(compact[:1] + compact[1:].translate(_LOOK_ALIKES))
    if found is None:
        return ""
    letter, first, rest, failure_type = found.groups()
    return f"{letter}{first}{rest}" + (f"-{failure_type}" if failure_type else "")


def _why_unreadable(typed: str, compact: str, suggestion: str) -> str:
    if suggestion:
        return f"“{typed}” has a letter where a digit belongs. Did you mean {suggestion}?"
    if compact[0] not in _SYSTEMS:
        return (
            f"“{typed}” does not begin with P, C, B or U. "
            "Chassis codes begin with C, for example C0045."
        )
    if len(compact) not in {5, 7}:
        return (
            f"“{typed}” has {len(compact) - 1} characters after its letter. A code has four, "
            "or six with a failure type: C0045 or C0045-13."
        )
    if compact[1] not in "0123":
        return f"“{typed}”: the first digit of a code is 0, 1, 2 or 3."
    return f"“{typed}”: after the first digit a code has only 0 to 9 and A to F."
