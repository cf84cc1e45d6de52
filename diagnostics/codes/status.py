"""The status byte of a stored flag, in the words of the shop. Pure.

Bits as in ISO 14229-1, annex D, by way of a public library's source; the words are our own. A
module says with an availability mask which of the bits it supports: of the others nothing is
known, which is not the same as "no" (the mask's meaning is from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

EVERY_BIT = 0xFF


class FlagStatus(StrEnum):
    """One thing that a module says about a flag, in the order of its bits. A flag has several."""

    PRESENT_NOW = "present_now"
    THIS_DRIVE = "this_drive"
    PENDING = "pending"
    STORED = "stored"
    NOT_TESTED = "not_tested"
    SINCE_CLEAR = "since_clear"
    NOT_THIS_DRIVE = "not_this_drive"
    LAMP_REQUESTED = "lamp_requested"

    @property
    def label(self) -> str:
        """The status as it is said: "happened this drive"."""
        return _LABELS[self]

    @property
    def mask(self) -> int:
        """Its bit in the status byte."""
        return _MASKS[self]


_LABELS: Mapping[FlagStatus, str] = MappingProxyType(
    {
        FlagStatus.PRESENT_NOW: "present now",
        FlagStatus.THIS_DRIVE: "happened this drive",
        FlagStatus.PENDING: "pending",
        FlagStatus.STORED: "stored",
        FlagStatus.NOT_TESTED: "not tested since clear",
        FlagStatus.SINCE_CLEAR: "failed since clear",
        FlagStatus.NOT_THIS_DRIVE: "not tested this drive",
        FlagStatus.LAMP_REQUESTED: "lamp requested",
    }
)

_MASKS: Mapping[FlagStatus, int] = MappingProxyType(
    {status: 1 << bit for bit, status in enumerate(FlagStatus)}
)

# What tells most of a flag comes first. "Pending" after "stored": a stored flag is often pending
# as well, and that it was confirmed says more.
_TELLING = (
    FlagStatus.PRESENT_NOW,
    FlagStatus.THIS_DRIVE,
    FlagStatus.STORED,
    FlagStatus.PENDING,
    FlagStatus.SINCE_CLEAR,
    FlagStatus.NOT_TESTED,
)


class Said(StrEnum):
    """What a module says of one bit."""

    YES = "yes"
    NO = "no"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Bit:
    """One bit of a status byte: "present now", yes."""

    status: FlagStatus
    said: Said

    @property
    def label(self) -> str:
        return self.status.label


def from_byte(byte: int, availability: int = EVERY_BIT) -> tuple[FlagStatus, ...]:
    """The statuses that are set in a status byte, in the order of its bits.

    byte, availability: 0 to 255; a bit that the module does not support counts as not set.
    Raises ValueError for a number that is no byte.
    """
    return tuple(bit.status for bit in bits(byte, availability) if bit.said is Said.YES)


def bits(byte: int, availability: int = EVERY_BIT) -> tuple[Bit, ...]:
    """All eight bits of a status byte with yes, no, or not known where the module does not
    support the bit. Raises ValueError for a number that is no byte."""
    if not (0 <= byte <= 0xFF and 0 <= availability <= 0xFF):
        raise ValueError("A status is one byte: 0 to 255.")
    return tuple(Bit(status, _said(status.mask, byte, availability)) for status in FlagStatus)


def _said(mask: int, byte: int, availability: int) -> Said:
    if not availability & mask:
        return Said.NOT_KNOWN
    return Said.YES if byte & mask else Said.NO


def most_telling(byte: int, availability: int = EVERY_BIT) -> FlagStatus | None:
    """The one status that tells most; None for a flag that is tested and not failing.

    Raises ValueError for a number that is no byte.
    """
    given = set(from_byte(byte, availability))
    return next((status for status in _TELLING if status in given), None)


def in_words(statuses: Iterable[FlagStatus]) -> str:
    """The statuses as one phrase in the order of their bits: "present now, stored".

    "none set" for none, which is what a module answers once a test has passed after clearing.
    """
    given = set(statuses)
    return ", ".join(status.label for status in FlagStatus if status in given) or "none set"
