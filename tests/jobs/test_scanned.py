"""What a scanner types may be this or that, and nothing it types breaks anything.

The symbology identifiers are those of ISO/IEC 15424 (from memory: ]Q3 QR code, ]C0 Code 128,
]A0 Code 39, ]d2 Data Matrix).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.scanned import Guess, Kind, clean, read

HERE = {"prefix": "Q", "workshop": "quay-street"}
VIN = "9ZZPL2A00M1000007"


@pytest.mark.parametrize(
    "raw",
    ["QT1001", "qt1001\r\n", "]Q3QT1001\t", "]C0QT1001\r", "  Q T-1001 ", "\x02QT1001\x03\n"],
)
def test_what_a_scanner_adds_is_taken_off(raw: str) -> None:
    assert read(raw, **HERE).guesses[0] == Guess(Kind.TAG, "QT1001")


@pytest.mark.parametrize(
    ("raw", "kind", "key"),
    [
        ("Q1042", Kind.ORDER, "Q1042"),
        ("1042", Kind.ORDER, "Q1042"),
        ("QS1003", Kind.SUPPLY, "QS1003"),
        ("QI1007", Kind.INVOICE, "QI1007"),
        ("QC1001", Kind.INVOICE, "QC1001"),
        ("QR1001", Kind.INVOICE, "QR1001"),
        ("http://shop.test/quay-street/orders/Q1042/", Kind.ORDER, "Q1042"),
        ("]Q3https://shop.test:8443/quay-street/held/QT1001/\r\n", Kind.TAG, "QT1001"),
        ("/quay-street/held/qt1001", Kind.TAG, "QT1001"),
        (VIN, Kind.VIN, VIN),
        (f"I{VIN}", Kind.VIN, VIN),
        (f"*{VIN}*", Kind.VIN, VIN),
        ("PL2-20-214", Kind.PART, "PL220214"),
        ("1PHS24-2", Kind.PART, "HS242"),
        ("7kd-3318", Kind.PLATE, "7KD3318"),
    ],
)
def test_each_number_is_taken_for_what_it_may_be(raw: str, kind: Kind, key: str) -> None:
    assert key in read(raw, **HERE).keys(kind)


def test_letters_of_a_paper_need_the_letters_of_the_workshop() -> None:
    assert read("T1001", **HERE).keys(Kind.TAG) == ()
    assert read("MT1001", **HERE).keys(Kind.TAG) == ()
    assert read("MT1001", prefix="M", workshop="millrace").keys(Kind.TAG) == ("MT1001",)


def test_an_address_of_the_other_workshop_is_known_as_such() -> None:
    found = read("https://shop.test/millrace/orders/M1001/", **HERE)
    assert (found.guesses, found.elsewhere) == ((), "millrace")


@pytest.mark.parametrize("raw", ["http://[broken", "https://shop.test/", "/x", "ftp://a/b/c/d"])
def test_a_strange_address_leads_nowhere(raw: str) -> None:
    found = read(raw, **HERE)
    assert (found.guesses, found.elsewhere, found.is_address) == ((), "", True)


def test_nothing_is_nothing() -> None:
    assert read("\r\n", **HERE).guesses == ()
    assert clean("]Q3") == ""


@given(st.text(max_size=600), st.text(alphabet="ABCQ.[(1", max_size=3))
def test_no_text_ever_raises(raw: str, prefix: str) -> None:
    found = read(raw, prefix=prefix, workshop="quay-street")
    assert len(found.text) <= 400
    assert all(guess.key and len(guess.key) <= 60 for guess in found.guesses)


@given(st.sampled_from(["http://", "https://", "/"]), st.text(max_size=200))
def test_no_address_ever_raises(begins: str, rest: str) -> None:
    assert read(begins + rest, **HERE).is_address or not (begins + rest).strip()
