"""Fault codes, failure types and status against the published rules."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.codes.failure_types import FAILURE_TYPES, failure_type_text
from diagnostics.codes.status import FlagStatus, from_byte, in_words
from diagnostics.codes.two_byte import Code, CodeError, from_bytes, parse_code
from tests.reference import named, rows

CODES = rows("two_byte_codes")
BITS = rows("status_bits")


@pytest.mark.parametrize("row", CODES, ids=lambda row: named(row, "code", "source"))
def test_a_published_code_and_its_bytes_belong_together(row: dict[str, str]) -> None:
    high, low = int(row["high"], 16), int(row["low"], 16)

    assert from_bytes(high, low).text == row["code"]
    assert parse_code(row["code"]).to_bytes() == bytes([high, low])


def test_every_pair_of_bytes_is_one_code_and_back() -> None:
    seen = set()
    for both in range(1, 0x10000):
        code = from_bytes(both >> 8, both & 0xFF)
        assert int.from_bytes(code.to_bytes(), "big") == both
        assert parse_code(code.text) == code
        seen.add(code.text)
    assert len(seen) == 0xFFFF


@pytest.mark.parametrize(
    ("typed", "full"),
    [
        ("C0045", "C0045"),
        ("c0045", "C0045"),
        (" c 00 45 ", "C0045"),
        ("C0045-13", "C0045-13"),
        ("C0045:13", "C0045-13"),
        ("C004513", "C0045-13"),
        ("c0045 1b", "C0045-1B"),
        ("U0415-00", "U0415-00"),
    ],
)
def test_it_reads_a_code_as_people_type_it(typed: str, full: str) -> None:
    assert parse_code(typed).full == full
    assert parse_code(full) == parse_code(typed)


@pytest.mark.parametrize(
    ("typed", "said", "suggestion"),
    [
        ("", "Type the code", ""),
        ("CO045", "Did you mean C0045", "C0045"),
        ("C0O45-I3", "Did you mean C0045-13", "C0045-13"),
        ("co04s", "Did you mean C0045", "C0045"),
        ("0045", "does not begin with P, C, B or U", ""),
        ("X0045", "does not begin with P, C, B or U", ""),
        ("C45", "has 2 characters after its letter", ""),
        ("C00451", "has 5 characters after its letter", ""),
        ("C4045", "first digit of a code is 0, 1, 2 or 3", ""),
        ("C00G5", "only 0 to 9 and A to F", ""),
        ("P0000", "no code is stored", ""),
        ("\u0421" + "0045", "does not begin with", ""),
    ],
)
def test_it_refuses_what_is_no_code_and_says_what_would_be(
    typed: str, said: str, suggestion: str
) -> None:
    with pytest.raises(CodeError, match=said) as refused:
        parse_code(typed)
    assert refused.value.suggestion == suggestion
    if suggestion:
        assert parse_code(suggestion).full == suggestion


@given(st.text(max_size=12))
def test_nothing_that_is_typed_breaks_it(text: str) -> None:
    try:
        assert parse_code(text).text
    except CodeError as refused:
        assert refused.sentence


@pytest.mark.parametrize(
    ("high", "low", "failure_type"),
    [(0, 0, None), (256, 0, None), (-1, 5, None), (0x40, 0x35, 256)],
)
def test_bytes_that_are_no_code_are_refused(high: int, low: int, failure_type: int | None) -> None:
    with pytest.raises(CodeError):
        from_bytes(high, low, failure_type)
    assert from_bytes(0x40, 0x35, 0x13).full == "C0035-13"
    with pytest.raises(CodeError):
        Code("X", 1)


@pytest.mark.parametrize(
    ("typed", "system", "controlled_by"),
    [
        ("C0045", "chassis", "controlled by the standard"),
        ("C1045", "chassis", "controlled by the vehicle maker"),
        ("C2045", "chassis", "controlled by the vehicle maker"),
        ("C3045", "chassis", "reserved by the standard"),
        ("P2045", "powertrain", "controlled by the standard"),
        ("P3045", "powertrain", "controlled by the vehicle maker"),
        ("P3445", "powertrain", "controlled by the standard"),
        ("U0415", "network", "controlled by the standard"),
        ("B1001", "body", "controlled by the vehicle maker"),
    ],
)
def test_letter_and_first_digit_are_said_in_words_from_memory(
    typed: str, system: str, controlled_by: str
) -> None:
    code = parse_code(typed)
    assert code.system == system
    assert code.controlled_by == controlled_by


@pytest.mark.parametrize("row", rows("failure_types"), ids=lambda row: named(row, "byte"))
def test_a_failure_type_says_what_is_published(row: dict[str, str]) -> None:
    assert failure_type_text(int(row["byte"], 16)) == row["meaning"]
    assert parse_code(f"C0045-{row['byte']}").meaning_of_failure_type == row["meaning"]


def test_no_failure_type_is_made_up() -> None:
    assert {f"{byte:02X}" for byte in FAILURE_TYPES} == {
        row["byte"] for row in rows("failure_types")
    }
    assert failure_type_text(0xFE) == ""
    assert parse_code("C0045").meaning_of_failure_type == ""
    with pytest.raises(ValueError, match="one byte"):
        failure_type_text(256)


@pytest.mark.parametrize("row", BITS, ids=lambda row: named(row, "bit", "name"))
def test_a_status_bit_has_its_word(row: dict[str, str]) -> None:
    words = [status.label for status in from_byte(int(row["mask"], 16))]
    assert words == [row["word"]]


@pytest.mark.parametrize(
    ("byte", "words"),
    [
        # Frames decoded by udsoncan 1.26.1 [C].
        (0x2F, "present now, happened this drive, pending, stored, failed since clear"),
        (0x08, "stored"),
        (0x89, "present now, stored, lamp requested"),
        # After a clear, before any test has run [M]; passed since the clear.
        (0x50, "not tested since clear, not tested this drive"),
        (0x00, "none set"),
    ],
)
def test_a_status_is_said_in_the_words_of_the_shop(byte: int, words: str) -> None:
    assert in_words(from_byte(byte)) == words


def test_every_status_byte_is_the_sum_of_its_words() -> None:
    for byte in range(256):
        assert sum(status.mask for status in from_byte(byte)) == byte
    for no_byte in (-1, 256):
        with pytest.raises(ValueError, match="one byte"):
            from_byte(no_byte)
    assert in_words(reversed(FlagStatus)) == in_words(FlagStatus)
