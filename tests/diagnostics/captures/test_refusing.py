"""Files that are no capture: each is refused with a sentence that says what and where."""

from __future__ import annotations

import contextlib
import gzip
import io
import zipfile

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image

from diagnostics.captures import (
    MAX_BYTES,
    MAX_CHANNELS,
    MAX_SAMPLES,
    CaptureError,
    Samples,
    read_capture,
)
from shop.units import spaced
from tests.diagnostics.captures.files import GOOD, written


def refusal(content: bytes, **chosen: str) -> str:
    with pytest.raises(CaptureError) as caught:
        read_capture(content, **chosen)  # type: ignore[arg-type]
    return caught.value.sentence


def a_picture() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (40, 40), "red").save(file, "PNG")
    return file.getvalue()


def an_archive() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("a.csv", GOOD)
    return file.getvalue()


JUNK = np.random.default_rng(7).integers(0, 256, 5000, dtype=np.uint8).tobytes()

BAD = {
    "empty": (b"", "The file is empty."),
    "blank": (b" \n\r\n\n", "The file is empty."),
    "picture": (a_picture(), "This is a picture, not a text of numbers."),
    "archive": (an_archive(), "This is a spreadsheet or an archive"),
    "compressed": (gzip.compress(GOOD), "This is a compressed file"),
    "PDF": (b"%PDF-1.7\n1 0 obj\n", "This is a PDF"),
    "junk": (JUNK, "This is not a text file"),
    "letter": (
        b"Dear Sir,\nthe lamp is on.\nYours\n",
        "No line of numbers was found in the first 3",
    ),
    "head only": (b"Time (s),A (V)\n", "No line of numbers was found in the first 1"),
    "one line": (b"Time (s),A (V)\n0.001,2\n", "The file has one line of numbers."),
    "no time": (b"A (V)\n1\n2\n3\n", "volts without time. Give the sample rate"),
    "no volts": (b"Time (s)\n1\n2\n3\n", "a column of time and none of volts"),
    "a word": (b"0,1\n0.001,2\n0.002,abc\n0.003,1\n", "Line 3, column 2: “abc” is no number."),
    "a word first": (b"0.001,abc\n0.002,2\n0.003,1\n", "Line 1, column 2: “abc” is no number."),
    "over range": (b"T (s),A (V)\n0.1,1\n0.2,OL\n0.3,1\n", "Line 3, column 2: “OL” is no number."),
    "not a number": (b"t,A\n0.1,1\n0.2,NaN\n0.3,2\n", "Line 3, column 2: “NaN” is no number."),
    "not a number first": (b"t,A\n0.1,nan\n0.2,1\n", "Line 2, column 2: “nan” is no number."),
    "infinite": (b"t,A\n0.1,1\n\n0.2,-inf\n0.3,2\n", "Line 4, column 2: “-inf” is no number."),
    "too large": (b"t,A\n0.1,1\n0.2,1e400\n", "Line 3, column 2: “1e400” is too large a number."),
    "no such volts": (b"t,A\n0.1,1\n0.2,1e9\n", "Line 3, column 2: no voltage or current at a car"),
    "cell empty": (b"0,1,2\n0.001,,2\n0.002,1,2\n", "Line 2, column 2: there is no number."),
    "cell missing": (
        b"0,1,2\n0.001,2\n0.002,1,2\n",
        "Line 2 has 2 numbers where the others have 3.",
    ),
    "cell too many": (
        b"0,1\n0.001,2,3\n0.002,1\n",
        "Line 2 has 3 numbers where the others have 2.",
    ),
    "last cell missing": (
        b"0;1;\n0.001;\n0.002;1;\n",
        "Line 2 has 1 number where the others have 2.",
    ),
    "first line short": (b"0\n0.001,2\n0.002,1\n0.003,1\n", "Line 1 has 1 number where the others"),
    "backwards": (b"t (s),A\n0.1,1\n0.2,1\n0.15,2\n0.3,1\n", "Line 4: the time runs backwards."),
    "repeats": (
        b"t (s),A\n0.1,1\n0.1,1\n0.2,2\n",
        "Line 3: the time is the same as on the line before.",
    ),
    "repeats later": (
        b"t (s),A\n0.1,1\n0.2,1\n0.3,2\n0.3,2\n0.1,2\n",
        "Line 5: the time is the same as on the line before.",
    ),
    "decimals mixed": (
        b"0,1;1,5\n0,2;1.5\n0,3;1,5\n",
        "Line 2, column 2: “1.5” has a decimal point where the others have a decimal comma.",
    ),
    "decimals mixed, other way": (
        b"0.1;1.5\n0.2;1,5\n0.3;1.5\n",
        "Line 2, column 2: “1,5” has a decimal comma where the others have a decimal point.",
    ),
    "commas for both": (b"Time (s),A (V)\n0,001,1,5\n0,002,2,5\n", "cannot be told apart"),
    "commas for both, no head": (b"0,001,1,5\n0,002,2,5\n", "cannot be told apart"),
    "half in quotes": (b'0.1,"1,5"\n0.2,"2,5"\n', "Some cells are in quotes and some are not"),
    "time of day": (b"Time,A\n12:00:00.1,1\n12:00:00.2,2\n", "Line 2 begins with a time of day."),
    "too many channels": (b"0,1,2,3,4,5,6,7,8,9\n1,1,2,3,4,5,6,7,8,9\n", "The file has 9 channels"),
    "far too many columns": (
        b"1," * 400 + b"1\n" + b"2," * 400 + b"1\n",
        "The file has 401 columns",
    ),
    "two times": (
        b"Time (s),A,Time (s),B\n0,1,0,5\n0.001,2,0.002,6\n",
        "Columns 1 and 3 both hold",
    ),
    "odd steps": (b"0,1\n50000,1\n100000,1\n", "steps of 50\u202f000 fit none. Choose seconds"),
    "next to no steps": (b"0,1\n1e-300,1\n2e-300,1\n", "steps of next to nothing fit none"),
    "too close": (b"t (s),A\n0,1\n1e-300,1\n2e-300,1\n", "less than a nanosecond apart"),
    "half of a UTF-16 letter": (b"\xff\xfe0", "not readable as such"),
    "one long line": (b"1," * 500_000, "Line 1 is longer than 2000 characters"),
}


@pytest.mark.parametrize(("content", "sentence"), BAD.values(), ids=BAD.keys())
def test_a_file_that_is_no_capture_is_refused_with_what_and_where(
    content: bytes, sentence: str
) -> None:
    assert sentence in refusal(content)


def test_a_good_file_is_not_refused() -> None:
    assert read_capture(GOOD).channels.shape == (1, 3)


def test_a_choice_that_fits_nothing_is_said() -> None:
    assert "with the separator and the decimal mark chosen" in refusal(GOOD, separator=";")


@pytest.mark.parametrize("rate", [0.0, -1.0, 1e-300, 1e12, float("nan"), float("inf")])
def test_a_rate_that_no_instrument_has_is_refused(rate: float) -> None:
    with pytest.raises(CaptureError, match="sample rate lies between"):
        read_capture(b"A (V)\n1\n2\n3\n", sample_rate=rate)


def test_one_bad_line_of_a_million_is_found() -> None:
    lines = [b"%d,%d" % (n, n % 7) for n in range(1_000_000)]
    lines[123_456] = b"123456,abc"
    assert refusal(b"\n".join(lines)) == "Line 123\u202f457, column 2: “abc” is no number."


def test_too_many_lines_are_counted() -> None:
    content = b"0,1\n" * (MAX_SAMPLES + 1)
    assert f"The file has {spaced(MAX_SAMPLES + 1)} lines of numbers" in refusal(content)


def test_too_large_a_file_is_refused_before_it_is_looked_at() -> None:
    assert "larger than 32 MiB" in refusal(bytes(MAX_BYTES + 1))


def test_as_many_channels_as_are_allowed() -> None:
    samples = read_capture(written([0.0, 0.001], *[[1.0, 2.0]] * MAX_CHANNELS))
    assert len(samples.names) == MAX_CHANNELS


@given(content=st.binary(max_size=300))
@settings(max_examples=400, deadline=None)
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    _read_or_refused(content)


NEARLY = st.text(alphabet='0123456789.,;\t \n\r"eE+-()VmsnaifTtA:#µ\ufeff', max_size=120)


@given(text=NEARLY, encoding=st.sampled_from(["utf-8", "latin-1", "utf-16"]), head=st.booleans())
@settings(max_examples=1500, deadline=None)
@example(text="0;1,5\n1;2.5", encoding="utf-8", head=False)
@example(text='0,"1\n1,"2', encoding="utf-8", head=False)
def test_what_is_nearly_a_capture_is_read_or_refused(text: str, encoding: str, head: bool) -> None:
    _read_or_refused((("Time (s);A (V)\n" if head else "") + text).encode(encoding, "replace"))


@given(data=st.data(), separator=st.sampled_from([",", ";", "tab", "space"]))
@settings(max_examples=300, deadline=None)
def test_a_spoiled_capture_is_read_or_refused(data: st.DataObject, separator: str) -> None:
    good = written([n / 1000 for n in range(20)], [1.0] * 20, separator=separator, head="Time;A")
    at = data.draw(st.integers(0, len(good)))
    cut = data.draw(st.integers(0, 5))
    _read_or_refused(good[:at] + data.draw(st.binary(max_size=4)) + good[at + cut :])


def _read_or_refused(content: bytes) -> None:
    with contextlib.suppress(CaptureError):
        samples = read_capture(content)
        _assert_sound(samples)


def _assert_sound(samples: Samples) -> None:
    assert samples.seconds.ndim == 1
    assert len(samples.seconds) >= 2
    assert (np.diff(samples.seconds) > 0).all()
    assert np.isfinite(samples.seconds).all()
    assert np.isfinite(samples.channels).all()
    assert samples.channels.shape == (len(samples.names), len(samples.seconds))
    assert len(samples.units) == len(samples.names) == len(set(samples.names))
    assert all(samples.names)
    assert samples.read_as
