"""What people paste: any spacing, any lines, frames; and refusal where it is not certain."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.codes.pasted import LONGEST_TEXT, read
from diagnostics.codes.two_byte import from_bytes
from diagnostics.codes.uds import Answer, Record, UdsError, encode

TWO = [("C0035-13", 0x2F), ("U0121-00", 0x08)]
ONE = [("C0035-13", 0x2F)]


def shown(text: str) -> list[tuple[str, int]]:
    return [(record.code.full, record.status) for record in read(text).records]


@pytest.mark.parametrize(
    ("text", "flags"),
    [
        ("59 02 FF 40 35 13 2F", ONE),
        ("5902FF4035132F", ONE),
        ("5902ff4035132f", ONE),
        ("0x59 0x02 0xFF 0x40 0x35 0x13 0x2F", ONE),
        ("59,02,FF,40,35,13,2F", ONE),
        ("0x59, 0x02, 0xFF,\n0x40, 0x35, 0x13, 0x2F,", ONE),
        ("59-02-FF-40-35-13-2F", ONE),
        ("  59 02 FF  \r\n\r\n 40 35 13 2F\r\nC1 21 00 08 ", TWO),
        ("59 02 FF 40 35\n13 2F C1\n21 00 08", TWO),
        ("59 02 FF 40 35 13 2F\n59 02 FF C1 21 00 08", TWO),
        ("> 19 02 09\n< 59 02 FF 40 35 13 2F", ONE),
        ("TX: 19 02 09\nRX: 7F 19 78\nRX: 59 02 FF 40 35 13 2F", ONE),
        ("59 02 FF", []),
        ("59 02 FF 00 00 00 00", []),
        # Frames with an address: the first says the length, the rest is cut off.
        ("7E8 10 0B 59 02 FF 40 35 13\n7E8 21 2F C1 21 00 08 AA AA", TWO),
        ("7E0 03 19 02 09 00 00 00 00\n7E8 03 59 02 FF 00 00 00 00", []),
        (
            "7E8 10 0B 59 02 FF 40 35 13\n7E0 30 00 00 00 00 00 00 00\n7E8 21 2F C1 21 00 08 55 55",
            TWO,
        ),
        ("7E8: 07 59 02 FF 40 35 13 2F", ONE),
        ("7E8#075902FF4035132F", ONE),
        ("7E8 [8] 07 59 02 FF 40 35 13 2F", ONE),
        ("7E8075902FF4035132F", ONE),
        ("18DAF128 07 59 02 FF 40 35 13 2F", ONE),
        ("7E8 59 02 FF 40 35 13 2F", ONE),
        ("10 0B 59 02 FF 40 35 13\n21 2F C1 21 00 08 00 00", TWO),
        ("00B\n0: 59 02 FF 40 35 13\n1: 2F C1 21 00 08 AA AA", TWO),
        ("0: 59 02 FF 40 35 13\n1: 2F C1 21 00 08", TWO),
    ],
)
def test_it_is_read_however_it_is_spaced(text: str, flags: list[tuple[str, int]]) -> None:
    assert shown(text) == flags


def test_frames_of_two_modules_in_turns_are_joined_by_their_addresses() -> None:
    text = (
        "7E8 10 0B 59 02 FF 40 35 13\n7EA 10 0B 59 02 7F 40 45 11\n"
        "7E8 21 2F C1 21 00 08 00 00\n7EA 21 28 C1 31 00 28 00 00"
    )
    pasted = read(text)

    assert [record.code.full for record in pasted.records] == [
        "C0035-13",
        "U0121-00",
        "C0045-11",
        "U0131-00",
    ]
    assert (pasted.answers, pasted.availability) == (2, 0x7F)
    assert "do not support the same status bits" in pasted.notes[-1]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Paste what the tester returned"),
        ("  \n ", "Paste what the tester returned"),
        ("no codes", "“no” is not hexadecimal"),
        ("C0045", "C0045 is a code as the tester shows it, not the bytes"),
        ("P0562\nC0045-13 stored", "P0562 is a code as the tester shows it"),
        ("59 02 F", "“F” has an odd number of digits"),
        ("59 02 FF 40 35 13", "40 35 13 is left over at the end, and 1 more byte is missing"),
        ("59 02 FF 40 35 13 2F C1", "C1 is left over at the end, and 3 more bytes are missing"),
        ("59 02 FF 40 35\n59 02 FF", "40 35 is left over"),
        ("19 02 09", "is what the tester asked"),
        ("19 02 09\n7F 19 31", "^7F 19 31: what was asked is outside"),
        ("7F 19 22", "conditions are not right"),
        ("7F 19 78", "Its answer follows: paste that too"),
        ("59 06 40 35 13", "sub-function 06"),
        ("43 00", "emissions answer"),
        ("7E8 10 0B 59 02 FF 40 35 13", "6 of 11 bytes are there"),
        ("7E8 21 2F C1 21 00 08 AA AA", "first frame from 7E8 .1L LL …. is missing"),
        ("7E8 10 14 59 02 FF 40 35 13\n7E8 22 2F C1 21 00 08 91 34", "21 should come, and 22 does"),
        ("7E8 10 0B 59 02 FF 40 35 13\n59 02 FF", "has no address in front"),
        ("7E8 07 59 02 FF", "does not hold the bytes it announces"),
        ("7E8 10 0B 59 02 FF", "should have eight bytes"),
        ("7E8 10 07 59 02 FF 40 35 13", "announces a length that cannot be"),
        ("7E0 30 00 00", "only what controls their flow"),
        ("0: 59 02 FF 40 35 13\n2: 2F", "after 0 comes 1, not 2"),
        ("1: 2F C1 21 00 08", "begins with 0:, and here 1: does"),
        ("00B\n0: 59 02 FF 40 35 13", "6 bytes, and 11 were announced"),
        ("59 02 FF 40 35 13 2F\n59 02 FF 40 35 13 08", "twice, with the statuses 2F and 08"),
        ("59 02 FF " + "40 35 13 2F " * 2000, "longer than"),
    ],
)
def test_what_is_not_certain_is_refused_with_a_sentence(text: str, said: str) -> None:
    with pytest.raises(UdsError, match=said):
        read(text)


def test_a_module_that_lists_all_it_could_set_is_asked_more_narrowly() -> None:
    records = "".join(f"40{n:02X}{kind:02X}50" for kind in (0x11, 0x12) for n in range(1, 200))
    with pytest.raises(UdsError, match="398 flags, more than a memory holds"):
        read(f"5902FF{records}")


def test_the_same_flag_twice_is_kept_once_and_said() -> None:
    pasted = read("59 02 FF 40 35 13 2F\n59 02 FF 40 35 13 2F")
    assert len(pasted.records) == 1
    assert "kept once" in pasted.notes[0]


def test_another_answer_beside_the_right_one_is_said() -> None:
    pasted = read("50 03 00 32 01 F4\n59 02 FF 40 35 13 2F")
    assert len(pasted.records) == 1
    assert "no answer to reading flags" in pasted.notes[0]


@given(st.text(max_size=200))
def test_no_text_breaks_it(text: str) -> None:
    try:
        read(text)
    except UdsError as refused:
        assert refused.sentence.endswith(".")


@given(st.lists(st.sampled_from("0123456789ABCDEF :\n,x-59027F8#[]"), max_size=120).map("".join))
def test_no_hexadecimal_text_breaks_it(text: str) -> None:
    try:
        read(text)
    except UdsError as refused:
        assert refused.sentence


codes = st.builds(from_bytes, st.integers(0, 0x3F), st.integers(1, 0xFF), st.integers(0, 0xFF))


@given(
    st.lists(st.tuples(codes, st.integers(0, 0xFF)), max_size=60, unique_by=lambda pair: pair[0]),
    st.sampled_from(["7E8 ", "7E8", "18DAF128 "]),
)
def test_an_answer_cut_into_frames_is_put_together_again(
    flags: list[tuple[object, int]], address: str
) -> None:
    records = tuple(Record(code, status) for code, status in flags)  # type: ignore[arg-type]
    message = encode(Answer(0xFF, records))

    text = "\n".join(address + frame.hex() for frame in _frames(message))

    assert read(text).records == records
    assert len(text) < LONGEST_TEXT


def _frames(message: bytes) -> list[bytes]:
    """ISO 15765-2 frames of a message, filled up with CC."""
    if len(message) < 8:
        return [bytes([len(message), *message]).ljust(8, b"\xcc")]
    frames = [bytes([0x10 | len(message) >> 8, len(message) & 0xFF]) + message[:6]]
    for number, start in enumerate(range(6, len(message), 7), start=1):
        frames.append(bytes([0x20 | number & 0xF]) + message[start : start + 7].ljust(7, b"\xcc"))
    return frames
