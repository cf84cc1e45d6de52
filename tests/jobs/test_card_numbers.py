"""What looks like a payment card's number.

Sources: the check digit by ISO/IEC 7812-1 Annex B (Luhn); 79927398713 is the worked example that
explanations of the formula print (Wikipedia, "Luhn algorithm"); the card numbers are those that
card processors publish for testing, none of which is anybody's card. All from memory.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.card_numbers import LONGEST, SHORTEST, looks_like_a_card, luhn

PUBLISHED_FOR_TESTS = (
    "4111111111111111",
    "4242424242424242",
    "4222222222222",
    "5555555555554444",
    "378282246310005",
    "6011111111111117",
    "3530111333300000",
    "30569309025904",
)


def test_the_printed_example_holds_with_one_check_digit_only() -> None:
    assert [digit for digit in range(10) if luhn(f"7992739871{digit}")] == [3]


@pytest.mark.parametrize("number", PUBLISHED_FOR_TESTS)
def test_numbers_published_for_tests_are_seen_however_they_are_typed(number: str) -> None:
    spaced = " ".join(number[at : at + 4] for at in range(0, len(number), 4))
    for text in (number, spaced, spaced.replace(" ", "-"), f"card {spaced}, thanks"):
        assert looks_like_a_card(text), text


@pytest.mark.parametrize(
    "text", ["", "slip 8812", "4111111111111112", "0471-883 120", "QI1001", "A 17", "1234567890"]
)
def test_ordinary_references_pass(text: str) -> None:
    assert not looks_like_a_card(text)


def test_digits_of_another_script_do_not_slip_through() -> None:
    arabic = "4111111111111111".translate({ord("0") + n: 0x0660 + n for n in range(10)})
    assert looks_like_a_card(arabic)


def test_only_digits_have_a_check_digit() -> None:
    with pytest.raises(ValueError, match="digits"):
        luhn("12a")


@given(st.text("0123456789", min_size=SHORTEST - 1, max_size=LONGEST - 1))
def test_of_ten_last_digits_exactly_one_makes_a_card(digits: str) -> None:
    assert sum(looks_like_a_card(f"{digits}{last}") for last in range(10)) == 1


@given(st.text("0123456789", min_size=SHORTEST, max_size=LONGEST), st.data())
def test_one_wrong_digit_is_always_noticed(digits: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(digits) - 1))
    other = data.draw(st.sampled_from([n for n in "0123456789" if n != digits[place]]))
    changed = f"{digits[:place]}{other}{digits[place + 1 :]}"
    assert not (luhn(digits) and luhn(changed))
