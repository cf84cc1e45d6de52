"""The status byte of a stored flag, in the words of the shop. Pure.

Bits as in ISO 14229-1, annex D, by way of a public library's source. Two of the eight have no
word here: "failed since the last clear" (0x20) adds nothing to "stored" for a repair, and "not
tested this drive" (0x40) nothing to "not tested since clear".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from types import MappingProxyType


class FlagStatus(StrEnum):
    """One thing that a module says about a flag. A flag may have several."""

    PRESENT_NOW = "present_now"
    THIS_DRIVE = "this_drive"
    PENDING = "pending"
    STORED = "stored"
    NOT_TESTED = "not_tested"
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
        FlagStatus.LAMP_REQUESTED: "lamp requested",
    }
)

_MASKS: Mapping[FlagStatus, int] = MappingProxyType(
    {
        FlagStatus.PRESENT_NOW: 0x01,
        FlagStatus.THIS_DRIVE: 0x02,
        FlagStatus.PENDING: 0x04,
        FlagStatus.STORED: 0x08,
        FlagStatus.NOT_TESTED: 0x10,
        FlagStatus.LAMP_REQUESTED: 0x80,
    }
)


def from_byte(byte: int) -> tuple[FlagStatus, ...]:
    """The statuses that are set in a status byte (0 to 255), in the order of its bits.

    Raises ValueError for a number that is no byte.
    """
    if not 0 <= byte <= 0xFF:
        raise ValueError("A status is one byte: 0 to 255.")
    return tuple(status for status in FlagStatus if byte & status.mask)


def in_words(statuses: Iterable[FlagStatus]) -> str:
    """The statuses as one phrase in the order of their bits: "present now, stored".

    "none set" for none, which is what a module answers once a test has passed after clearing.
    """
    given = set(statuses)
    return ", ".join(status.label for status in FlagStatus if status in given) or "none set"
