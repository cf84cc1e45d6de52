"""What a tester returned, as somebody pasted it, made into answers. Pure.

Understood: hexadecimal bytes apart or together, with 0x, commas or hyphens, one answer or
several, broken into lines anywhere; in frames with an address in front (`7E8 10 0B 59 02 …`),
which are joined as ISO 15765-2 lays down (from memory); and in numbered lines (`0: 59 02 …`).
Whatever cannot be read with certainty is refused with a sentence: a flag made up is as bad as
one that is lost.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.codes import frames
from diagnostics.codes.refusals import PENDING
from diagnostics.codes.status import EVERY_BIT
from diagnostics.codes.two_byte import CodeError, parse_code
from diagnostics.codes.uds import (
    ANSWERED,
    ASKED,
    BY_STATUS,
    REFUSED,
    Answer,
    Record,
    UdsError,
    decode,
)

# One answer in frames holds 4,095 bytes at most.
LONGEST_TEXT = 20_000
MOST_RECORDS = 250

# A module that asked for time and then answered needs no word.
_MORE_TIME = f"{REFUSED:02X} {ASKED:02X} {PENDING:02X}"
_READS = frozenset((*range(0x01, 0x1B), 0x42, 0x55, 0x56))


@dataclass(frozen=True, slots=True)
class Pasted:
    """What was returned: the flags of every answer in it, in order, each once.

    availability: the status bits that every module supports, when several answered.
    notes: sentences about what was left out or needs a look.
    """

    records: tuple[Record, ...]
    availability: int
    answers: int
    notes: tuple[str, ...] = ()


def read(text: str) -> Pasted:
    """The flags in what was pasted.

    Raises UdsError with a sentence: no hexadecimal bytes, a record that is not whole, frames
    missing, a refusal alone, a request instead of an answer, one flag twice with different
    statuses, or more flags than a memory holds.
    """
    if len(text) > LONGEST_TEXT:
        raise UdsError(f"That is longer than {LONGEST_TEXT} characters. Paste only the answers.")
    answers: list[Answer] = []
    notes: list[str] = []
    refused: list[str] = []
    for message in _readable(text):
        if message[0] == ANSWERED:
            answers.append(decode(message))
            notes += answers[-1].notes
            continue
        try:
            decode(message)
        except UdsError as error:
            refused.append(error.sentence)
    told = [sentence for sentence in dict.fromkeys(refused) if not _only_asked(sentence)]
    if not answers:
        raise UdsError(" ".join(told or dict.fromkeys(refused)))
    notes += [sentence for sentence in told if not sentence.startswith(_MORE_TIME)]
    records = _each_once(answers, notes)
    if len(records) > MOST_RECORDS:
        raise UdsError(
            f"That is {len(records)} flags, more than a memory holds: the module lists every flag "
            "that it can set. Ask it with a narrower mask, as in 19 02 09."
        )
    return Pasted(tuple(records), _common(answers, notes), len(answers), tuple(notes))


def _only_asked(sentence: str) -> bool:
    return sentence.startswith(f"{ASKED:02X} ")


def _each_once(answers: Iterable[Answer], notes: list[str]) -> list[Record]:
    seen: dict[str, Record] = {}
    for record in (record for answer in answers for record in answer.records):
        known = seen.setdefault(record.code.full, record)
        if known is record:
            continue
        if known.status != record.status:
            raise UdsError(
                f"{record.code.full} stands there twice, with the statuses {known.status:02X} and "
                f"{record.status:02X}: two modules answered, or one at two times. Keep each "
                "answer by itself."
            )
        notes.append(f"{record.code.full} stands there twice with the same status: kept once.")
    return list(seen.values())


def _common(answers: list[Answer], notes: list[str]) -> int:
    common = EVERY_BIT
    for answer in answers:
        common &= answer.availability
    if len({answer.availability for answer in answers}) > 1:
        notes.append(
            "The modules do not support the same status bits. What is kept as known is what "
            "every one of them supports."
        )
    return common


# ---- from text to messages ----


def _readable(text: str) -> list[bytes]:
    try:
        return _messages(text)
    except frames.FrameError as error:
        raise UdsError(str(error)) from error


def _messages(text: str) -> list[bytes]:
    lines = [line for line in map(_tidied, text.splitlines()) if line]
    if not lines:
        raise UdsError("Paste what the tester returned: bytes such as 59 02 FF 40 35 13 2F.")
    if all(map(_is_code, lines)):
        raise UdsError(
            f"{lines[0]} is a code as the tester shows it, not the bytes of an answer. "
            "Type codes into the lines below."
        )
    if frames.are_numbered(lines):
        return _checked(frames.join_numbered(lines))
    if frames.are_addressed(lines):
        return _checked(frames.join_addressed(lines))
    plain = [frames.bytes_of(line) for line in lines]
    if frames.are_frames(plain):
        return _checked(frames.join({"": plain}))
    return _joined(plain)


def _checked(messages: list[bytes]) -> list[bytes]:
    if not messages:
        raise UdsError("There is no answer in these frames, only what controls their flow.")
    return messages


def _is_code(line: str) -> bool:
    try:
        parse_code(line.split()[0])
    except CodeError:
        return False
    return True


_SPOKEN = re.compile(r"(?:[<>]+|(?:rx|tx|response|answer|request)\b)\s*[:>]?\s*", re.IGNORECASE)


def _tidied(line: str) -> str:
    line = line.strip()
    spoken = _SPOKEN.match(line)
    return line[spoken.end() :] if spoken else line


def _joined(lines: list[bytes]) -> list[bytes]:
    """A line that begins as an answer, a refusal or a request begins a message; others go on."""
    messages: list[bytes] = []
    for line in lines:
        if messages and not _begins(line):
            messages[-1] += line
        else:
            messages.append(line)
    return messages


def _begins(line: bytes) -> bool:
    first, second = line[0], line[1] if len(line) > 1 else None
    if first == ANSWERED:
        return second in _READS
    if first == REFUSED:
        return len(line) == len((REFUSED, ASKED, PENDING))
    return first == ASKED and second == BY_STATUS and len(line) == len((ASKED, BY_STATUS, 0))
