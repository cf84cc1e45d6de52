"""Tyre sizes against printed ones."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.tyres import TyreError, TyreSize, parse_tyre
from tests.reference import named, rows

SIZES = rows("tyre_sizes")
METRES_PER_MILE = 1609.344


@pytest.mark.parametrize("row", SIZES, ids=lambda row: named(row, "size"))
def test_a_printed_size_comes_out_as_printed(row: dict[str, str]) -> None:
    tyre = parse_tyre(row["size"])
    found = {
        "sidewall_mm": tyre.sidewall_mm,
        "sidewall_in": tyre.sidewall_mm / 25.4,
        "outer_diameter_mm": tyre.outer_diameter_mm,
        "outer_diameter_in": tyre.outer_diameter_mm / 25.4,
        "circumference_mm": tyre.circumference_mm,
        "circumference_in": tyre.circumference_mm / 25.4,
        "rolling_circumference_mm": tyre.rolling_circumference_mm,
        "revs_per_mile": METRES_PER_MILE * 1000 / tyre.circumference_mm,
        "rolling_revs_per_mile": METRES_PER_MILE * 1000 / tyre.rolling_circumference_mm,
    }
    for name, value in found.items():
        if row[name]:
            # The printed figures were cut off as often as rounded: one unit of the last place.
            last_place = 10.0 ** -len(row[name].partition(".")[2])
            assert value == pytest.approx(float(row[name]), abs=last_place), name


@pytest.mark.parametrize(
    ("typed", "normal"),
    [
        ("185/65 R15 88T", "185/65 R15 88T"),
        ("205/55R16", "205/55 R16"),
        ("  205 / 55 r 16  91v ", "205/55 R16 91V"),
        ("225/45ZR17 (94Y) XL", "225/45 R17 94Y XL"),
        ("P215/60R16 94H", "215/60 R16 94H"),
        ("195/70 R15C 104/102R", "195/70 R15C 104/102R"),
        ("175/65 R14 82T M+S", "175/65 R14 82T"),
        ("165R15", "165 R15"),
        ("185/65 B15", "185/65 B15"),
        ("185/80-15", "185/80 D15"),
        ("245/70 R19.5", "245/70 R19.5"),
    ],
)
def test_it_reads_a_sidewall_and_writes_it_one_way(typed: str, normal: str) -> None:
    assert parse_tyre(typed).normal_form() == normal


def test_the_parts_are_kept() -> None:
    assert parse_tyre("195/70 R15C 104/102R") == TyreSize(
        width_mm=195,
        aspect=70,
        rim_in=15.0,
        commercial=True,
        load_index="104/102",
        speed_symbol="R",
    )


def test_an_unmarked_aspect_is_taken_as_80_and_said_so() -> None:
    tyre = parse_tyre("165R15")

    assert tyre.aspect == 80
    assert tyre.aspect_assumed
    assert "80 % is assumed" in tyre.notes[0]
    assert parse_tyre("165/80R15").notes == ()
    assert parse_tyre("165/80R15").outer_diameter_mm == tyre.outer_diameter_mm


def test_an_odd_width_is_questioned_but_kept() -> None:
    assert "usually end in 5" in parse_tyre("186/65R15").notes[0]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "Type the size from the sidewall"),
        ("185/65/15", "for example 185/65 R15"),
        ("205/55 16", "for example 205/55 R16"),
        ("185/65", "construction and the rim are missing"),
        ("31x10.50R15", "size in inches is not understood"),
        ("18/65R15", "A width of 18 mm"),
        ("185/6R15", "An aspect of 6 %"),
        ("185/65R1", "A rim of 1 in"),
        ("185/65R150", "A rim of 150 in"),
        ("185/65R15 SNOW", "“SNOW” at the end is not understood"),
        ("no idea", "is not a tyre size"),
    ],
)
def test_it_refuses_what_is_no_size_and_shows_one(typed: str, said: str) -> None:
    with pytest.raises(TyreError, match=said) as refused:
        parse_tyre(typed)
    assert refused.value.sentence.endswith(".")


@given(st.text(max_size=30))
def test_nothing_that_is_typed_breaks_it(text: str) -> None:
    try:
        assert parse_tyre(text).outer_diameter_mm > 0
    except TyreError as refused:
        assert refused.sentence


SIZE = st.builds(
    TyreSize,
    width_mm=st.integers(105, 395),
    aspect=st.integers(20, 95),
    rim_in=st.integers(16, 48).map(lambda halves: halves / 2),
    construction=st.sampled_from(["R", "B", "D"]),
    commercial=st.booleans(),
    load_index=st.sampled_from(["", "88", "104/102"]),
    speed_symbol=st.just(""),
    extra_load=st.booleans(),
)


@given(SIZE)
def test_the_normal_form_reads_back_as_the_same_size(tyre: TyreSize) -> None:
    whole = TyreSize(
        width_mm=tyre.width_mm,
        aspect=tyre.aspect,
        rim_in=tyre.rim_in,
        construction=tyre.construction,
        commercial=tyre.commercial,
        load_index=tyre.load_index,
        speed_symbol="T" if tyre.load_index else "",
        extra_load=tyre.extra_load,
    )
    assert parse_tyre(whole.normal_form()) == whole


@given(SIZE)
def test_a_tyre_rolls_some_three_per_cent_less_than_its_circle(tyre: TyreSize) -> None:
    # A loaded tyre is printed as about 3.1 % shorter [R]; others lie further off [M].
    shorter = 1 - tyre.rolling_circumference_mm / tyre.circumference_mm
    assert shorter == pytest.approx(0.03 if tyre.construction == "R" else 0.048, abs=0.002)
    assert tyre.circumference_mm == pytest.approx(math.pi * tyre.outer_diameter_mm)
