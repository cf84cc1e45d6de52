"""The VIN against 49 CFR 565.15 and an independent library."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vininfo import Vin

from shop.vin import VALUES, WEIGHTS, YEAR_CODES, VinError, check_digit, check_vin, with_check_digit
from tests.reference import named, rows

WORKED = rows("vin_worked")
MUST_FAIL = rows("vin_must_fail")
YEARS = rows("model_year_codes")

GOOD = "7XXC4DE59RA123456"
LETTERS = "".join(VALUES)


@pytest.mark.parametrize("row", WORKED, ids=lambda row: named(row, "vin"))
def test_a_published_vin_is_accepted_with_its_check_digit_and_year(row: dict[str, str]) -> None:
    check = check_vin(row["vin"])

    assert check.ok
    assert check.sentence == ""
    assert check_digit(row["vin"]) == row["check_digit"]
    assert check.check_digit_ok is True
    assert not check.needs_reason
    assert check.model_year.year == int(row["model_year"])


@pytest.mark.parametrize(
    "row", [row for row in WORKED if row["sum"]], ids=lambda row: named(row, "vin")
)
def test_the_weighted_sum_is_the_published_one(row: dict[str, str]) -> None:
    summed = sum(
        VALUES[character] * weight for character, weight in zip(row["vin"], WEIGHTS, strict=True)
    )
    assert summed == int(row["sum"])


@pytest.mark.parametrize("row", MUST_FAIL, ids=lambda row: named(row, "vin", "why"))
def test_a_vin_that_must_fail_is_stopped_or_questioned(row: dict[str, str]) -> None:
    check = check_vin(row["vin"])

    if row["kind"] == "check digit":
        assert check.ok
        assert check.needs_reason
        assert check.check_digit_expected == row["expected_check_digit"]
        assert row["expected_check_digit"] in check.warning
        assert not check_vin(row["vin"], check_digit_required=True).ok
    else:
        assert not check.ok
        assert check.problems[0].kind == row["kind"]
        if row["position"]:
            assert check.problems[0].position == int(row["position"])
            assert f"osition {row['position']}" in check.sentence


@given(st.text(alphabet=LETTERS, min_size=14, max_size=14))
def test_every_check_digit_satisfies_vininfo(rest: str) -> None:
    # 9ZZ is a maker's code that the library does not list; listed ones may skip the sum.
    vin = with_check_digit(f"9ZZ{rest}")

    assert Vin(vin).verify_checksum(check_year=False)
    assert check_vin(vin).check_digit_ok is True


@given(st.text(alphabet=LETTERS, min_size=14, max_size=14))
def test_it_agrees_with_vininfo_about_any_seventeen_characters(rest: str) -> None:
    vin = f"9ZZ{rest}"

    assert check_vin(vin).check_digit_ok is Vin(vin).verify_checksum(check_year=False)


@pytest.mark.parametrize("row", YEARS, ids=lambda row: named(row, "code"))
def test_position_7_tells_the_thirty_year_cycle(row: dict[str, str]) -> None:
    code, early, late = row["code"], int(row["first_cycle"]), int(row["second_cycle"])

    digit = check_vin(with_check_digit("7XXC4D150" + code + "A000123"))
    letter = check_vin(with_check_digit("7XXC4DE50" + code + "A000123"))

    assert digit.model_year.year == early
    assert letter.model_year.year == late
    assert digit.model_year.candidates == (early, late)


@pytest.mark.parametrize("row", YEARS, ids=lambda row: named(row, "code"))
def test_the_candidates_include_every_year_of_vininfo(row: dict[str, str]) -> None:
    vin = with_check_digit("7XXC4DE50" + row["code"] + "A000123")

    assert set(Vin(vin).years) <= set(check_vin(vin).model_year.candidates)


def test_the_year_codes_leave_out_what_the_rule_leaves_out() -> None:
    assert set("IOQUZ0").isdisjoint(YEAR_CODES)
    assert "".join(row["code"] for row in YEARS) == YEAR_CODES


@pytest.mark.parametrize("light_vehicle", [False, None])
def test_it_offers_both_years_when_position_7_says_nothing(light_vehicle: bool | None) -> None:
    year = check_vin(GOOD, light_vehicle=light_vehicle).model_year

    assert year.year is None
    assert year.candidates == (1994, 2024)
    assert "1994 or 2024" in year.reason


def test_it_rules_out_a_year_that_has_not_come() -> None:
    heavy = check_vin(with_check_digit("7XXC4DE50XA000123"), light_vehicle=False, this_year=2026)
    assert heavy.model_year.year == 1999

    light = check_vin(with_check_digit("7XXC4DE50XA000123"), this_year=2026)
    assert light.model_year.year is None
    assert "has not come" in light.model_year.reason

    next_year = check_vin(with_check_digit("7XXC4DE50VA000123"), this_year=2026)
    assert next_year.model_year.year == 2027


@pytest.mark.parametrize("code", ["U", "Z", "0"])
def test_it_knows_no_year_for_a_code_that_is_never_used(code: str) -> None:
    year = check_vin(with_check_digit("7XXC4DE50" + code + "A000123")).model_year

    assert year.year is None
    assert code in year.reason


@pytest.mark.parametrize(
    "typed",
    ["7xxc4de59ra123456", " 7XXC4DE59 RA-123456 ", "*7XXC4DE59RA123456*", "7XX C4DE5 9 RA123456\n"],
)
def test_capitals_spaces_hyphens_and_stars_do_not_matter(typed: str) -> None:
    check = check_vin(typed)

    assert check.vin == GOOD
    assert check.ok


@pytest.mark.parametrize(
    ("letter", "digit"), [("I", "1"), ("O", "0"), ("Q", "0")], ids=["I", "O", "Q"]
)
def test_a_forbidden_letter_is_named_at_once_with_what_it_probably_is(
    letter: str, digit: str
) -> None:
    check = check_vin(f"7XX{letter}4", still_typing=True)

    assert [problem.position for problem in check.problems] == [4]
    assert check.problems[0].probably == digit
    assert f"Position 4 is the letter {letter}" in check.sentence


def test_it_says_how_many_characters_are_to_go_while_typing() -> None:
    assert check_vin("7XXC4", still_typing=True).sentence == "12 characters to go."
    assert check_vin(GOOD[:16], still_typing=True).sentence == "One character to go."
    assert check_vin("", still_typing=True).problems == ()
    assert check_vin(GOOD, still_typing=True).sentence == ""


def test_too_few_characters_are_a_problem_once_the_form_is_sent() -> None:
    check = check_vin(GOOD[:16])

    assert not check.ok
    assert check.missing == 1
    assert "17 characters; this has 16" in check.sentence
    assert not check_vin("").ok


def test_it_suggests_the_vin_that_was_probably_meant() -> None:
    assert check_vin("1M8GDM9AXKPO42788").suggestion == "1M8GDM9AXKP042788"
    assert check_vin("1M8GDM9AIKP042788").suggestion == "1M8GDM9AXKP042788"
    # The I in front of a scanned import label [CP].
    assert check_vin(f"I{GOOD}").suggestion == GOOD
    assert "scanned label" in check_vin(f"I{GOOD}").sentence
    # A look-alike that does not make the check digit right is no suggestion.
    assert check_vin("7XXC4DE59RAO23456").suggestion == ""
    assert check_vin(GOOD).suggestion == ""


@pytest.mark.parametrize("character", ["/", "Ä", "ß", "٣", "²"])
def test_a_character_of_no_vin_is_named(character: str) -> None:
    check = check_vin(GOOD[:-1] + character)

    assert not check.ok
    assert check.problems[0].kind == "character"
    assert check.problems[0].position == 17


def test_a_wrong_check_digit_casts_doubt_on_the_year() -> None:
    assert "check digit is wrong" in check_vin("7XXC4DE58RA123456").model_year.reason
    assert "check digit is wrong" not in check_vin(GOOD).model_year.reason


@given(st.text(max_size=40))
def test_nothing_that_is_typed_breaks_it(text: str) -> None:
    check = check_vin(text)

    assert check.ok == bool(re.fullmatch(r"[A-HJ-NPR-Z0-9]{17}", check.vin))
    assert check.sentence or check.ok


def test_a_check_digit_needs_seventeen_characters_that_have_values() -> None:
    with pytest.raises(VinError, match="there are 16"):
        check_digit(GOOD[:16])
    with pytest.raises(VinError, match="O in position 17"):
        check_digit(GOOD[:16] + "O")
    assert check_digit(GOOD) == "9"
