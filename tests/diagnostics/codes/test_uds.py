"""Answers to reading by status, against frames decoded by an independent library."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from obd.decoders import parse_dtc  # type: ignore[import-untyped]
from udsoncan.exceptions import InvalidResponseException
from udsoncan.Response import Response
from udsoncan.services.ReadDTCInformation import ReadDTCInformation

from diagnostics.codes.refusals import REFUSALS
from diagnostics.codes.status import EVERY_BIT, FlagStatus, Said, bits, from_byte, most_telling
from diagnostics.codes.two_byte import from_bytes
from diagnostics.codes.uds import Answer, Record, UdsError, decode, encode
from tests.reference import named, rows

FRAMES = rows("uds_frames")
READ_BY_STATUS = ReadDTCInformation.Subfunction.reportDTCByStatusMask


def by_udsoncan(message: bytes) -> tuple[int, list[tuple[int, int]]]:
    """(availability, [(three bytes of code, status)]) as udsoncan decodes an answer."""
    data = ReadDTCInformation.interpret_response(
        Response.from_payload(message), subfunction=READ_BY_STATUS
    ).service_data
    assert data.status_availability is not None
    return (
        data.status_availability.get_byte_as_int(),
        [(dtc.id, dtc.status.get_byte_as_int()) for dtc in data.dtcs],
    )


def decoded(message: bytes) -> tuple[int, list[tuple[int, int]]]:
    answer = decode(message)
    return answer.availability, [
        (int.from_bytes(record.to_bytes()[:3], "big"), record.status) for record in answer.records
    ]


@pytest.mark.parametrize("row", FRAMES, ids=lambda row: named(row, "frame"))
def test_the_frames_of_the_table(row: dict[str, str]) -> None:
    message = bytes.fromhex(row["frame"])
    if not row["availability"]:
        with pytest.raises(UdsError) as refused:
            decode(message)
        assert row["left"] in refused.value.sentence
        return
    answer = decode(message)
    assert answer.availability == int(row["availability"], 16)
    shown = [f"{record.code.full}={record.status:02X}" for record in answer.records]
    assert shown == row["decoded"].split()
    assert decoded(message) == by_udsoncan(message)


codes = st.builds(
    from_bytes,
    st.integers(0, 0xFF),
    st.integers(1, 0xFF),
    failure_type=st.integers(0, 0xFF),
)
answers = st.integers(0, 0xFF).flatmap(
    lambda mask: st.builds(
        Answer,
        st.just(mask),
        st.lists(
            st.builds(Record, codes, st.integers(0, 0xFF), availability=st.just(mask)), max_size=40
        ).map(tuple),
    )
)


@given(answers)
def test_an_answer_survives_its_bytes_and_the_library_reads_the_same(answer: Answer) -> None:
    again = decode(encode(answer))

    assert (again.availability, again.records) == (answer.availability, answer.records)
    assert decoded(encode(answer)) == by_udsoncan(encode(answer))


@given(st.binary(max_size=60))
@example(b"\x40\x35\x13")
@example(b"\x00\x00\x13\x2f")
@example(b"\x40\x35\x13\x2f\x00\x00\x00")
def test_random_bytes_are_read_as_the_library_reads_them_or_refused_as_it_does(
    body: bytes,
) -> None:
    message = b"\x59\x02\xff" + body
    try:
        theirs = by_udsoncan(message)
    except InvalidResponseException:
        with pytest.raises(UdsError, match="is left over at the end"):
            decode(message)
        return
    availability, records = theirs
    # A record that begins with two zeros names no code: the library lists it, we say so instead.
    nameless = [record for record in records if record[0] >> 8 == 0]
    assert decoded(message) == (availability, [one for one in records if one not in nameless])
    said = [note for note in decode(message).notes if "names no code" in note]
    assert len(said) == len(nameless)


@given(st.binary(max_size=20))
def test_no_bytes_at_all_break_it(message: bytes) -> None:
    try:
        decode(message)
    except UdsError as refused:
        assert refused.sentence.endswith(".")


def test_every_two_byte_code_reads_as_an_independent_library_reads_it_both_ways() -> None:
    for both in range(1, 0x10000):
        pair = both.to_bytes(2, "big")
        name, _text = parse_dtc(pair)
        code = from_bytes(*pair)
        assert code.text == name.upper()  # python-OBD writes the letters A to F small
        assert code.to_bytes() == pair


@pytest.mark.parametrize(
    ("message", "said"),
    [
        ("", "no bytes"),
        ("59", "59 alone breaks off"),
        ("59 02", "breaks off before the availability mask"),
        ("59 06 40 35 13 2F 01", "counters of one flag .sub-function 06."),
        ("59 0A FF 40 35 13 2F", "every flag that the module could ever set"),
        ("59 7E 40", "another question about flags .sub-function 7E."),
        ("19", "19 is what the tester asked"),
        ("19 0A", "not an answer"),
        ("43 01 40 35", "emissions answer"),
        ("58 01 40 35 13", "older protocol"),
        ("62 F1 90", "no answer to reading flags by status"),
        ("7F 19", "breaks off"),
        ("7F 22 31", "refuses another service .22."),
        ("7F 19 78", "asked for more time"),
        ("7F 19 33", "is locked"),
        ("7F 19 E0", "reason E0. It is not in this list"),
    ],
)
def test_anything_else_is_refused_in_words(message: str, said: str) -> None:
    with pytest.raises(UdsError, match=said):
        decode(bytes.fromhex(message))


def test_every_reason_of_a_refusal_is_one_that_the_library_knows() -> None:
    known = {
        value for name, value in vars(Response.Code).items() if isinstance(value, int) and name
    }
    assert set(REFUSALS) <= known
    # What the issue names: sub-function, length, conditions, range, security, more time.
    assert set(REFUSALS) >= {0x12, 0x13, 0x14, 0x22, 0x31, 0x33, 0x78}
    assert all(not sentence.endswith(".") for sentence in REFUSALS.values())


def test_zeros_that_fill_a_frame_are_dropped_and_said() -> None:
    assert decode(bytes.fromhex("590209 00000000 0000")).notes == (
        "6 bytes of zeros are filling, not a flag, and left out.",
    )
    assert "may be filling" in decode(bytes.fromhex("5902FF AAAAAAAA")).notes[0]


def test_a_record_says_its_eight_bits_and_what_is_not_known_is_not_called_no() -> None:
    record = Record(from_bytes(0x40, 0x35, 0x13), 0x2F, 0x0B)

    assert [(bit.label, bit.said.value) for bit in record.bits] == [
        ("present now", "yes"),
        ("happened this drive", "yes"),
        ("pending", "not known"),
        ("stored", "yes"),
        ("not tested since clear", "not known"),
        ("failed since clear", "not known"),
        ("not tested this drive", "not known"),
        ("lamp requested", "not known"),
    ]
    assert not Record(record.code, 0x80, 0x7F).lamp_requested
    assert Record(record.code, 0x80).lamp_requested


@pytest.mark.parametrize(
    ("byte", "availability", "telling"),
    [
        (0x2F, 0xFF, FlagStatus.PRESENT_NOW),
        (0xAF, 0xFF, FlagStatus.PRESENT_NOW),
        (0x2F, 0xFE, FlagStatus.THIS_DRIVE),
        (0x28, 0xFF, FlagStatus.STORED),
        (0x2C, 0xFF, FlagStatus.STORED),
        (0x24, 0xFF, FlagStatus.PENDING),
        (0x20, 0xFF, FlagStatus.SINCE_CLEAR),
        (0x50, 0xFF, FlagStatus.NOT_TESTED),
        (0x00, 0xFF, None),
        (0x40, 0xFF, None),
        (0xFF, 0x00, None),
    ],
)
def test_the_status_that_tells_most(
    byte: int, availability: int, telling: FlagStatus | None
) -> None:
    """2F and AF a present fault, 28 and 2C a stored one, 50 after a clear: [M]."""
    assert most_telling(byte, availability) is telling


def test_every_bit_is_yes_no_or_not_known() -> None:
    for byte in range(256):
        for availability in (0x00, 0x0F, 0x7F, EVERY_BIT):
            said = {bit.status: bit.said for bit in bits(byte, availability)}
            assert len(said) == 8
            for status, answer in said.items():
                if not status.mask & availability:
                    assert answer is Said.NOT_KNOWN
                else:
                    assert (answer is Said.YES) == bool(status.mask & byte)
            yes = {status for status, answer in said.items() if answer is Said.YES}
            assert yes == set(from_byte(byte, availability))


def test_a_record_without_failure_type_and_a_status_that_is_no_byte_are_refused() -> None:
    with pytest.raises(ValueError, match="three bytes"):
        Record(from_bytes(0x40, 0x35), 0)
    with pytest.raises(ValueError, match="one byte"):
        Record(from_bytes(0x40, 0x35, 0), 256)
