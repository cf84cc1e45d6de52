"""A payer's file, read. The ways of writing amounts and dates are common practice, no source."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.claims.payment_file import AMOUNTS, SPLIT, ReadFile, read
from jobs.claims.payment_text import MOST_BYTES, MOST_LINES, NAMES
from jobs.claims.payment_values import Habits, Unclear, amount_of, decimal_mark
from jobs.claims.shares import shared_out
from shop.money import total

TODAY = date(2026, 11, 28)
HEAD = "claim number,order,VIN,paid on,labour,parts,handling,sublet,tax,amount,reference"
GOOD = "QC12,Q400,9ZZAA,2026-11-25,100.00,200.00,20.00,0.00,32.00,352.00,REM-7"


def a_file(*lines: str, head: str = HEAD) -> bytes:
    return "\n".join((head, *lines)).encode()


def taken(raw: bytes, told: Habits | None = None) -> ReadFile:
    return read(raw, today=TODAY, told=told or Habits())


def said(raw: bytes) -> str:
    """All that is wrong; there must be something, and no line is taken."""
    found = taken(raw)
    assert found.problems
    assert not found.lines
    return " | ".join(problem.words for problem in found.problems)


def test_a_line_is_read_with_all_it_holds() -> None:
    found = taken(a_file(GOOD))
    assert not found.problems
    (line,) = found.lines
    assert (line.line, line.claim_number, line.order_number, line.vin) == (
        2,
        "QC12",
        "Q400",
        "9ZZAA",
    )
    assert (line.paid_on, line.reference, line.amount) == (
        date(2026, 11, 25),
        "REM-7",
        Decimal("352.00"),
    )
    assert line.split is not None
    assert [line.split[key] for key in SPLIT] == [Decimal(each) for each in (100, 200, 20, 0, 32)]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_separator_encoding_and_line_ends_are_told_from_the_file(
    separator: str, encoding: str, ending: str
) -> None:
    text = ending.join((HEAD, GOOD.replace("REM-7", "REM-ä"))).replace(",", separator)
    (line,) = taken(text.encode(encoding)).lines
    assert (line.reference, line.amount) == ("REM-ä", Decimal("352.00"))


def test_an_amount_with_its_cents_settles_the_one_that_could_be_both() -> None:
    head = "claim;paid on;amount"
    comma = taken(a_file("QC1;2026-11-25;1.234", "QC2;2026-11-25;10,50", head=head))
    assert [line.amount for line in comma.lines] == [Decimal(1234), Decimal("10.50")]
    point = taken(a_file("QC1;2026-11-25;1,234", "QC2;2026-11-25;10.50", head=head))
    assert [line.amount for line in point.lines] == [Decimal(1234), Decimal("10.50")]


def test_an_amount_that_can_be_read_in_two_ways_is_asked() -> None:
    raw = a_file("QC1;2026-11-25;1.234", head="claim;paid on;amount")
    found = taken(raw)
    assert found.asks == {"decimal"}
    assert found.problems[0].words.startswith("Line 2, column “amount”: “1.234”")
    assert taken(raw, Habits(decimal=",")).lines[0].amount == Decimal(1234)
    assert "parts of a cent" in taken(raw, Habits(decimal=".")).problems[0].sentence


def test_a_date_that_can_be_read_in_two_ways_is_asked_unless_another_settles_it() -> None:
    head = "claim,paid on,amount"
    raw = a_file("QC1,04/05/2026,10.00", head=head)
    assert taken(raw).asks == {"dates"}
    assert taken(raw, Habits(dates="day")).lines[0].paid_on == date(2026, 5, 4)
    assert taken(raw, Habits(dates="month")).lines[0].paid_on == date(2026, 4, 5)
    more = taken(a_file("QC1,04/05/2026,10.00", "QC2,04/25/2026,10.00", head=head))
    assert [line.paid_on for line in more.lines] == [date(2026, 4, 5), date(2026, 4, 25)]
    points = taken(a_file("QC1,4.5.2026,10.00", "QC2,05/05/2026,10.00", head=head))
    assert [line.paid_on for line in points.lines] == [date(2026, 5, 4), date(2026, 5, 5)]


@pytest.mark.parametrize(
    ("line", "where", "words"),
    [
        (GOOD.replace("352.00", "353.00"), "column “amount”", "not the sum of its parts"),
        (GOOD.replace("352.00", "-352.00"), "column “amount”", "not the sum of its parts"),
        (GOOD.replace("352.00", ""), "column “amount”", "missing"),
        (GOOD.replace("352.00", "35x"), "column “amount”", "not an amount"),
        (GOOD.replace("352.00", "352.005"), "column “amount”", "parts of a cent"),
        (GOOD.replace("352.00", "99999999.00"), "column “amount”", "Check the digits"),
        (GOOD.replace("2026-11-25", ""), "column “paid on”", "missing"),
        (GOOD.replace("2026-11-25", "2026-02-30"), "column “paid on”", "no day"),
        (GOOD.replace("2026-11-25", "2026-11-29"), "column “paid on”", "still to come"),
        (GOOD.replace("2026-11-25", "1999-12-31"), "column “paid on”", "before the year 2000"),
        (GOOD.replace("2026-11-25", "25.11.26"), "column “paid on”", "four digits"),
        (GOOD.replace("QC12,Q400,9ZZAA", ",,"), "column “claim number”", "Nothing says"),
        (GOOD.replace("REM-7", "R" * 61), "column “reference”", "at most 60"),
        (GOOD + ",more", "Line 2", "cells under"),
        (GOOD.replace("REM-7", '"REM'), "Line 2", "quotation mark"),
    ],
)
def test_what_is_wrong_is_said_with_its_line_and_column(line: str, where: str, words: str) -> None:
    sentence = said(a_file(line))
    assert sentence.startswith("Line 2")
    assert where in sentence
    assert words in sentence
    assert taken(a_file(GOOD)).lines


def test_money_below_zero_is_refused_unless_it_is_said_to_be_taken_back() -> None:
    head = "claim,paid on,kind,labour,amount"
    sentence = said(a_file("QC1,2026-11-25,paid,-10.00,-10.00", head=head))
    assert "Line 2, column “amount”" in sentence
    assert "taken back" in sentence
    assert "neither" in said(a_file("QC1,2026-11-25,perhaps,10.00,10.00", head=head))
    for typed in ("-10.00", "10.00", "10.00-", "(10.00)", "−10.00"):
        (line,) = taken(a_file(f"QC1,2026-11-25,taken back,{typed},{typed}", head=head)).lines
        assert (line.taken_back, line.amount) == (True, Decimal("-10.00"))
        assert line.split is not None
        assert line.split["labour"] == Decimal("-10.00")


def test_a_part_of_the_other_sign_is_refused() -> None:
    head = "claim,paid on,kind,labour,parts,amount"
    assert "below zero" in said(a_file("QC1,2026-11-25,paid,-1.00,3.00,2.00", head=head))
    assert "some above" in said(a_file("QC1,2026-11-25,taken back,1.00,-3.00,-2.00", head=head))


def test_everything_wrong_is_said_at_once_and_nothing_is_taken() -> None:
    raw = a_file(GOOD, GOOD.replace("352.00", "1.00"), GOOD.replace("2026-11-25", "never"))
    found = taken(raw)
    assert [problem.line for problem in found.problems] == [3, 4]
    assert not found.lines


def test_the_same_line_twice_in_a_file_is_refused_and_another_reference_is_not() -> None:
    assert "line 2 once more" in said(a_file(GOOD, GOOD))
    assert len(taken(a_file(GOOD, GOOD.replace("REM-7", "REM-8"))).lines) == 2


def test_a_line_is_counted_as_the_file_counts_it() -> None:
    raw = a_file(GOOD.replace("REM-7", '"REM\n7"'), "", GOOD.replace("352.00", "1.00"))
    assert taken(raw).problems[0].line == 5


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf \r\n", "empty"),
        (HEAD.encode(), "nothing under the headings"),
        (b"PK\x03\x04\x00\x00", "not a text file"),
        (b"x" * (MOST_BYTES + 1), "larger than 2 MB"),
        (a_file(*[GOOD] * (MOST_LINES + 1)), "more than 5000 lines"),
        (b"a,b\n1,2", "No column is headed"),
        (b"claim,claim number,paid on,amount\n1,1,2026-11-01,2", "Two columns"),
        (a_file("QC1,2026-11-25,0.00", head="claim,paid on,amount"), "Nothing was paid"),
        (
            a_file("QC1,2026-11-25,1.50", 'QC2,2026-11-25,"1,50"', head="claim,paid on,amount"),
            "one way",
        ),
        (a_file("QC1,13/05/2026,1", "QC2,05/13/2026,1", head="claim,paid on,amount"), "one way"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(raw: bytes, words: str) -> None:
    assert words in said(raw)
    assert taken(a_file(GOOD)).lines


def test_lines_of_nothing_are_left_out_and_counted_and_unknown_columns_named() -> None:
    raw = a_file(
        "QC1,2026-11-25,0.00,x", "QC2,2026-11-25,5.00,y", head="claim,paid on,amount,dealer"
    )
    found = taken(raw)
    assert (found.left_out, found.ignored, len(found.lines)) == ((2,), ("dealer",), 1)


def test_a_payer_who_does_not_say_what_it_paid_for_leaves_it_open() -> None:
    (line,) = taken(a_file("QC1,2026-11-25,5.00", head="claim,paid on,amount")).lines
    assert line.split is None


@given(
    st.lists(st.integers(1, 999_999_999), min_size=1, max_size=8),
    st.sampled_from([(".", ","), (",", "."), (",", " "), (".", "")]),
)
def test_every_amount_comes_back_as_it_was_written(
    whole: list[int], signs: tuple[str, str]
) -> None:
    """Property: written with either sign and grouped or not, the amounts of a file are the same."""
    mark, group = signs
    texts = [
        f"{cents // 100:,}.{cents % 100:02}".replace(",", "\0")
        .replace(".", mark)
        .replace("\0", group)
        for cents in whole
    ]
    found = decimal_mark(texts)
    assert [amount_of(text, found) for text in texts] == [Decimal(one) / 100 for one in whole]


@given(st.binary(max_size=300))
def test_no_bytes_bring_it_down(raw: bytes) -> None:
    found = taken(raw)
    assert found.problems or found.lines


@given(st.text(alphabet='QC1,;\t"\n.-/ 0529paid', max_size=200))
def test_no_text_under_good_headings_brings_it_down(text: str) -> None:
    found = taken(f"{HEAD}\n{text}".encode())
    assert found.problems or found.lines


@given(
    st.integers(-10_000_000, 10_000_000),
    st.dictionaries(st.sampled_from(SPLIT), st.integers(0, 10_000_000), min_size=1),
)
def test_shares_add_up_and_none_is_off_by_a_cent(pennies: int, weights: dict[str, int]) -> None:
    """Property: the shares are cents that add up, each less than a cent from its exact part."""
    amount = Decimal(pennies) / 100
    shares = shared_out(amount, {key: Decimal(one) for key, one in weights.items()})
    assert total(shares.values()) == amount
    whole = sum(weights.values())
    for key, share in shares.items() if whole else ():
        assert abs(share - amount * weights[key] / whole) < Decimal("0.01")


def test_every_amount_has_its_name() -> None:
    assert set(AMOUNTS) <= set(NAMES)


@pytest.mark.parametrize("text", ["9" * 27, "9" * 400, "1" + "0" * 12])
def test_an_amount_of_many_digits_is_unclear_and_no_fault(text: str) -> None:
    with pytest.raises(Unclear, match="Check the digits"):
        amount_of(text, "")
