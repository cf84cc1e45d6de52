"""A drawn signature: what is kept, what is refused, and its path."""

from __future__ import annotations

import pytest

from jobs import signature
from jobs.signature import SignatureError

DRAWN = "12,80 14,82 20,90;300,90 310,95"


def test_strokes_are_read_written_and_drawn() -> None:
    strokes = signature.parse(f" {DRAWN} ")
    assert strokes == (((12, 80), (14, 82), (20, 90)), ((300, 90), (310, 95)))
    assert signature.written(strokes) == DRAWN
    assert signature.path(strokes) == "M12 80L14 82L20 90M300 90L310 95"
    assert signature.picture_of(DRAWN).startswith("data:image/svg+xml,%3Csvg")


def test_nothing_drawn_is_no_signature_and_no_error() -> None:
    assert signature.parse("  ") == ()
    assert signature.path_of("") == signature.picture_of("") == ""


@pytest.mark.parametrize(
    "text",
    [
        "nan,3 4,5",
        "1e9,3 4,5",
        "-1,3 4,5",
        "601,3 4,5",
        "3,201 4,5",
        "3,4,5 6,7",
        "1.5,2 3,4",
        "1,2 3,4;",
        ";1,2 3,4",
        '"><script>,1 2,3',
        "١,٢ ٣,٤",
    ],
)
def test_what_is_no_drawing_is_refused(text: str) -> None:
    with pytest.raises(SignatureError, match="Clear it and sign again"):
        signature.parse(text)
    assert signature.path_of(text) == ""


def test_size_and_count_are_bounded() -> None:
    with pytest.raises(SignatureError, match="too many lines"):
        signature.parse(";".join(["1,2 3,4"] * (signature.MOST_STROKES + 1)))
    with pytest.raises(SignatureError, match="too many lines"):
        signature.parse(" ".join(["1,2 3,4"] * (signature.MOST_POINTS // 2 + 1)))
    with pytest.raises(SignatureError, match="too large"):
        signature.parse("1" * (signature.LONGEST + 1))
    assert len(signature.parse(";".join(["1,2 3,4"] * signature.MOST_STROKES))) == 80


def test_single_dots_are_no_signature() -> None:
    with pytest.raises(SignatureError, match="Only dots"):
        signature.parse("5,5;9,9 9,9")
    assert signature.path(signature.parse("5,5;9,9 12,9")) == "M5 5L5 5M9 9L12 9"
