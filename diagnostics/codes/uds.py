"""Read-by-status answers of a module, byte for byte (ISO 14229-1, 19 02). Pure.

An answer is `59 02`, the availability mask, then a record of four bytes for each flag: two of
code, one of failure type, one of status. No record is an answer too: nothing is stored. A refusal
is `7F 19` and one byte that says why. Layout: ISO 14229-1 as udsoncan decodes it; the standard
itself was not read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics.codes.refusals import other_answer, refusal_in_words
from diagnostics.codes.status import EVERY_BIT, Bit, FlagStatus, bits, most_telling
from diagnostics.codes.two_byte import Code, CodeError, from_bytes

ANSWERED = 0x59
ASKED = 0x19
REFUSED = 0x7F
BY_STATUS = 0x02
_HEAD = 3
_RECORD = 4
_NOTHING = bytes(_RECORD)
# Bytes that fill up a frame; only zeros are surely filling, for no flag has the code 0000.
_FILLINGS = (0x55, 0xAA, 0xCC, 0xFF)


class UdsError(ValueError):
    """Bytes that are no readable answer; `sentence` says what they are and what helps."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class Record:
    """One flag as the module returned it. `availability`: the status bits that it supports."""

    code: Code
    status: int
    availability: int = EVERY_BIT

    def __post_init__(self) -> None:
        if self.code.failure_type is None:
            raise ValueError("A record has a failure type: its code has three bytes.")
        bits(self.status, self.availability)

    @property
    def bits(self) -> tuple[Bit, ...]:
        return bits(self.status, self.availability)

    @property
    def telling(self) -> FlagStatus | None:
        """The status that tells most; None when it was tested and is not failing."""
        return most_telling(self.status, self.availability)

    @property
    def lamp_requested(self) -> bool:
        return bool(self.status & self.availability & FlagStatus.LAMP_REQUESTED.mask)

    def to_bytes(self) -> bytes:
        failure_type = self.code.failure_type
        assert failure_type is not None
        return self.code.to_bytes() + bytes((failure_type, self.status))


@dataclass(frozen=True, slots=True)
class Answer:
    """One module's answer. No records: it stores none.

    notes: sentences about what was left out of it, such as filling.
    """

    availability: int
    records: tuple[Record, ...] = ()
    notes: tuple[str, ...] = ()


def decode(message: bytes) -> Answer:
    """The flags in one answer, without transport bytes.

    Raises UdsError for anything else: a refusal and what it means, what was asked instead of the
    answer, another service or sub-function, or a record that is not whole (the bytes left over
    are named).
    """
    if not message:
        raise UdsError("There are no bytes in it.")
    if message[0] == REFUSED:
        raise UdsError(refusal_in_words(message))
    if message[0] == ASKED:
        raise UdsError(_asked(message))
    if message[0] != ANSWERED or message[1:2] != bytes((BY_STATUS,)):
        raise UdsError(other_answer(message))
    if len(message) < _HEAD:
        raise UdsError(
            f"{in_hex(message)} breaks off before the availability mask, the third byte. "
            "Paste the whole answer."
        )
    whole = (len(message) - _HEAD) // _RECORD * _RECORD + _HEAD
    _check_rest(message[whole:])
    records, notes = _records(message[_HEAD:whole], message[2])
    zeros = len(message) - whole + _RECORD * list(_cut(message[_HEAD:whole])).count(_NOTHING)
    if zeros:
        bytes_of_zeros = "1 byte of zeros is" if zeros == 1 else f"{zeros} bytes of zeros are"
        notes.append(f"{bytes_of_zeros} filling, not a flag, and left out.")
    return Answer(message[2], tuple(records), tuple(notes))


def _records(body: bytes, availability: int) -> tuple[list[Record], list[str]]:
    records: list[Record] = []
    notes: list[str] = []
    for four in _cut(body):
        if four == _NOTHING:
            continue
        try:
            code = from_bytes(four[0], four[1], four[2])
        except CodeError:
            notes.append(f"{in_hex(four)} names no code (it begins with two zeros): left out.")
            continue
        records.append(Record(code, four[3], availability))
        if len(set(four)) == 1 and four[0] in _FILLINGS:
            notes.append(f"{in_hex(four)} may be filling and no flag: compare with the tester.")
    return records, notes


def encode(answer: Answer) -> bytes:
    """The bytes of an answer; `decode` gives the same answer back.

    Raises ValueError for an availability mask that is no byte.
    """
    head = bytes((ANSWERED, BY_STATUS, answer.availability))
    return head + b"".join(record.to_bytes() for record in answer.records)


def in_hex(message: bytes) -> str:
    """ "59 02 FF"."""
    return message.hex(" ").upper()


def is_whole(message: bytes) -> bool:
    """Whether bytes that begin an answer make whole records."""
    return len(message) >= _HEAD and (len(message) - _HEAD) % _RECORD == 0


def _cut(records: bytes) -> Iterator[bytes]:
    for start in range(0, len(records), _RECORD):
        yield records[start : start + _RECORD]


def _check_rest(rest: bytes) -> None:
    if not any(rest):
        return
    missing = _RECORD - len(rest)
    raise UdsError(
        f"The last record is not whole: {in_hex(rest)} is left over at the end, and "
        f"{missing} more {'byte is' if missing == 1 else 'bytes are'} missing (a record has four). "
        "Paste the whole answer."
    )


def _asked(message: bytes) -> str:
    shown = in_hex(message)
    if message[1:2] == bytes((BY_STATUS,)) and len(message) == _HEAD:
        return (
            f"{shown} is what the tester asked (flags whose status has a bit of the mask "
            f"{message[2]:02X}), not what the module answered. Paste what begins with 59."
        )
    return f"{shown} is what the tester asked, not an answer. Paste what begins with 59."
