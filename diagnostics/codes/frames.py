"""Frames of a module's answer put together: ISO 15765-2, from memory. Pure.

A frame of eight bytes begins with 0L (a whole message of L bytes), 1L LL (the first part of a
longer one), 2N (its N-th continuation, counted from 1 and after F from 0) or 3x (flow control).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

SINGLE, FIRST, NEXT, FLOW = 0x0, 0x1, 0x2, 0x3
_ANSWERS = (0x59, 0x7F)
_FRAME = 8
# An address of eleven bits, or one of twenty-nine for diagnosis.
_ADDRESS = re.compile(
    r"(?:0x)?([0-7][0-9A-F]{2}|18D[AB][0-9A-F]{4})(?:\s*#|\s*:|\s+\[\d\]|(?=[\s,]))\s*,?\s*",
    re.IGNORECASE,
)
_TIGHT = re.compile(
    r"([67][0-9A-F]{2})((?:[0-3][0-9A-F]|59|7F)(?:[0-9A-F]{2}){1,7})", re.IGNORECASE
)
_NUMBERED = re.compile(r"([0-9A-F]):\s*(.*)", re.IGNORECASE)
_LENGTH = re.compile(r"0[0-9A-F]{2}", re.IGNORECASE)
_APART = re.compile(r"[\s,;:\-\u2010-\u2015]+")


class FrameError(ValueError):
    """Frames that do not make a message; the text is a sentence."""


def bytes_of(line: str) -> bytes:
    """The bytes in a line of hexadecimal digits. Raises FrameError for anything else."""
    found = bytearray()
    for word in filter(None, _APART.split(line)):
        digits = word[2:] if word[:2].lower() == "0x" else word
        if not re.fullmatch(r"(?:[0-9A-Fa-f]{2})+", digits):
            raise FrameError(_why_no_bytes(word, digits))
        found += bytes.fromhex(digits)
    if not found:
        raise FrameError(f"“{line[:24]}” holds no bytes.")
    return bytes(found)


def _why_no_bytes(word: str, digits: str) -> str:
    shown = word if len(word) <= 24 else f"{word[:24]}…"
    if re.fullmatch(r"[0-9A-Fa-f]+", digits):
        return f"“{shown}” has an odd number of digits, and a byte has two."
    return (
        f"“{shown}” is not hexadecimal. Paste only bytes, such as 59 02 FF 40 35 13 2F "
        "(0 to 9 and A to F)."
    )


# ---- numbered lines ----


def are_numbered(lines: list[str]) -> bool:
    """Whether any line begins with one digit and a colon: "0: 59 02 …"."""
    return any(_NUMBERED.fullmatch(line) for line in lines)


def join_numbered(lines: list[str]) -> list[bytes]:
    """The messages in numbered lines, each with its length (three digits) in the line above 0.

    Raises FrameError for a number that is missing or out of order, and for too few bytes. Without
    a length the bytes are taken as they are.
    """
    messages: list[bytes] = []
    length, expected = 0, 0
    for line in lines:
        found = _NUMBERED.fullmatch(line)
        if found is None:
            _check_length(messages[-1:], length)
            if not _LENGTH.fullmatch(line):
                messages.append(bytes_of(line))
                length = 0
            else:
                length = int(line, 16)
            expected = 0
            continue
        number, rest = int(found[1], 16), bytes_of(found[2])
        if number == 0 and expected != 0 and expected % 16 != 0:
            _check_length(messages[-1:], length)
            expected, length = 0, 0
        if number != expected % 16:
            raise FrameError(
                f"A line is missing or out of order: after {(expected - 1) % 16:X} comes "
                f"{expected % 16:X}, not {number:X}."
                if expected
                else f"The first line is missing: it begins with 0:, and here {number:X}: does."
            )
        if number == 0 and expected == 0:
            messages.append(rest)
        else:
            messages[-1] += rest
        expected += 1
        if length:
            messages[-1] = messages[-1][:length]
    _check_length(messages[-1:], length)
    return messages


def _check_length(last: list[bytes], length: int) -> None:
    if last and length and len(last[0]) < length:
        raise FrameError(
            f"The lines hold {len(last[0])} bytes, and {length} were announced: "
            "a line is missing at the end."
        )


# ---- frames ----


def are_addressed(lines: list[str]) -> bool:
    """Whether any line begins with the address of a module: "7E8 10 0B 59 02 …"."""
    return any(_split(line) for line in lines)


def are_frames(lines: list[bytes]) -> bool:
    """Whether bare lines are frames beyond doubt: the first says how long an answer follows."""
    first = lines[0]
    kind = first[0] >> 4
    if kind == SINGLE:
        length = first[0] & 0xF
        return 0 < length < len(first) <= _FRAME and first[1] in _ANSWERS
    return kind == FIRST and len(first) == _FRAME and first[2] in _ANSWERS


def join_addressed(lines: list[str]) -> list[bytes]:
    """The messages in addressed lines, module by module. Raises FrameError; see `join`."""
    by_address: dict[str, list[bytes]] = {}
    for line in lines:
        split = _split(line)
        if split is None:
            raise FrameError(
                f"“{line[:24]}” has no address in front, and other lines have one. "
                "Paste all lines of the answer in one way."
            )
        address, rest = split
        by_address.setdefault(address, []).append(bytes_of(rest))
    return join(by_address)


def _split(line: str) -> tuple[str, str] | None:
    found = _ADDRESS.match(line)
    if found and line[found.end() :].strip():
        return found[1].upper(), line[found.end() :]
    tight = _TIGHT.fullmatch(line)
    return (tight[1].upper(), tight[2]) if tight else None


def join(by_address: Mapping[str, list[bytes]]) -> list[bytes]:
    """The messages in each module's frames, in their order.

    A line that is no frame (its first byte is above 3F) is a message already. Raises FrameError
    for a frame that is missing, doubled, out of order or too short.
    """
    return [message for address, frames in by_address.items() for message in _join(frames, address)]


def _join(frames: list[bytes], address: str) -> list[bytes]:
    messages: list[bytes] = []
    length, expected = 0, 0  # of the message that is under way; no length when none is
    where = f" from {address}" if address else ""
    for frame in frames:
        kind = frame[0] >> 4
        if kind == FLOW:
            continue
        if kind == NEXT:
            if not length:
                raise FrameError(
                    f"The first frame{where} (1L LL …) is missing before {_hex(frame)}."
                )
            if frame[0] & 0xF != expected % 16:
                raise FrameError(
                    f"A frame{where} is missing or out of order: 2{expected % 16:X} should come, "
                    f"and {frame[0]:02X} does."
                )
            messages[-1] += frame[1:]
            expected += 1
        else:
            _check_end(messages, length, where)
            message, length = _begun(frame, where)
            messages.append(message)
            expected = 1
        if length and len(messages[-1]) >= length:
            messages[-1], length = messages[-1][:length], 0
    _check_end(messages, length, where)
    return messages


def _begun(frame: bytes, where: str) -> tuple[bytes, int]:
    """What a frame that begins a message holds of it, and how long it will be (0: it is whole)."""
    kind = frame[0] >> 4
    if kind > FLOW:
        return frame, 0
    if kind == SINGLE:
        length = frame[0] & 0xF
        if not 0 < length < len(frame):
            raise FrameError(
                f"The frame {_hex(frame)}{where} does not hold the bytes it announces."
            )
        return frame[1 : 1 + length], 0
    if len(frame) != _FRAME:
        raise FrameError(f"The frame {_hex(frame)}{where} should have eight bytes.")
    length = (frame[0] & 0xF) << 8 | frame[1]
    if length < _FRAME:
        raise FrameError(f"The frame {_hex(frame)}{where} announces a length that cannot be.")
    return frame[2:], length


def _check_end(messages: list[bytes], length: int, where: str) -> None:
    if length:
        raise FrameError(
            f"The answer{where} is not whole: {len(messages[-1])} of {length} bytes are there. "
            "Frames are missing at its end."
        )


def _hex(frame: bytes) -> str:
    return frame.hex(" ").upper()
