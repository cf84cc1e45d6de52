"""What was typed becomes SI numbers, or a sentence beside each field that cannot be read."""

from __future__ import annotations

from datetime import date

import pytest

from diagnostics.measurements.fields import (
    FOUR_WHEELS,
    Choice,
    Day,
    FieldOf,
    Grid,
    Number,
    Series,
    Tick,
    Words,
)
from diagnostics.measurements.reading_in import InputErrors, names_of, read_typed
from shop.units import Kind

PRESSURE = Number("pressure", "Pressure", Kind.PRESSURE, "bar", lowest=0, highest=3e7)
TEETH = Number("teeth", "Teeth", Kind.COUNT, "count", whole=True, required=False)
THICKNESS = Series("thickness", "Thickness", Kind.LENGTH, "mm", boxes=12, least=4)
DIAL = Series("dial", "Dial", Kind.LENGTH, "mm", boxes=12, counts=(8, 12))
WHEELS = Grid(
    "wheels",
    "Wheels",
    FOUR_WHEELS,
    (
        Number("speed", "Speed", Kind.SPEED, "km/h"),
        Words("tyre", "Tyre", required=False),
        Choice("turns", "Turns", (("yes", "Yes"), ("no", "No")), default="yes"),
    ),
    least=2,
)


def errors(fields: tuple[FieldOf, ...], **typed: str) -> dict[str, str]:
    with pytest.raises(InputErrors) as caught:
        read_typed(fields, {name.replace("__", "-"): text for name, text in typed.items()})
    return caught.value.errors


def test_numbers_are_read_in_the_unit_chosen_and_kept_in_si() -> None:
    given = read_typed((PRESSURE, TEETH), {"pressure": "1450", "pressure-unit": "psi"})
    assert given.number("pressure") == pytest.approx(99.974e5, rel=1e-5)
    assert given.number_or_none("teeth") is None


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "Fill this in"),
        ("abc", "not a number"),
        ("-1", "cannot be below 0"),
        ("301", "cannot be above 300"),
        ("0.0000000000001", "too small to be a measurement"),
        ("1" + "0" * 13, "too large to be a measurement"),
        ("OL", "over range"),
        ("1e400", "after it"),
        ("nan", "not a number"),
    ],
)
def test_a_number_that_cannot_be_is_said_beside_its_field(typed: str, says: str) -> None:
    assert says in errors((PRESSURE,), pressure=typed)["pressure"]


def test_nought_and_a_small_number_of_a_small_unit_are_taken() -> None:
    for text, unit, pascal in (("0", "bar", 0.0), ("0.000001", "bar", 0.1), ("-0", "Pa", 0.0)):
        given = read_typed((PRESSURE,), {"pressure": text, "pressure-unit": unit})
        assert given.number("pressure") == pytest.approx(pascal)


def test_a_unit_of_another_kind_is_refused_beside_the_unit() -> None:
    assert "pressure-unit" in errors((PRESSURE,), pressure="3", pressure__unit="mm")


def test_a_whole_number_is_asked_where_only_one_makes_sense() -> None:
    assert "whole" in errors((TEETH,), teeth="47.5")["teeth"]


def test_a_series_is_filled_in_order_and_to_the_numbers_allowed() -> None:
    boxes = {f"dial-{number}": f"0.0{number}" for number in range(1, 9)}
    assert len(read_typed((DIAL,), boxes).series("dial")) == 8
    assert "8 or 12" in errors((DIAL,), **{f"dial__{n}": "1" for n in range(1, 10)})["dial"]
    assert "Box 2" in errors((THICKNESS,), thickness__1="24", thickness__3="24")["thickness-2"]
    assert "At least 4" in errors((THICKNESS,), thickness__1="24")["thickness"]


def test_a_row_begun_needs_its_required_columns_and_an_empty_one_is_left_out() -> None:
    typed = {"wheels-LF-speed": "50", "wheels-RF-speed": "51", "wheels-RF-tyre": "185/65 R15"}
    typed |= {f"wheels-{wheel}-turns": "yes" for wheel, _ in FOUR_WHEELS[1:]}
    rows = read_typed((WHEELS,), typed).rows("wheels")
    assert list(rows) == ["LF", "RF"]
    assert rows["RF"]["tyre"] == "185/65 R15"
    assert rows["LF"]["turns"] == "yes"
    assert rows["LF"]["speed"] == pytest.approx(50 / 3.6)
    del typed["wheels-LF-speed"]
    typed["wheels-LF-tyre"] = "185/65 R15"
    with pytest.raises(InputErrors) as caught:
        read_typed((WHEELS,), typed)
    assert set(caught.value.errors) == {"wheels-LF-speed"}


def test_every_mistake_is_told_at_once() -> None:
    fields = (PRESSURE, THICKNESS, Day("seen", "Seen"), Tick("moved", "Moved"))
    found = errors(fields, pressure="x", thickness__1="y", seen="31.05.2026")
    assert set(found) == {"pressure", "thickness", "seen"}


def test_a_day_is_a_date() -> None:
    given = read_typed((Day("seen", "Seen"),), {"seen": "2026-05-31"})
    assert given.day("seen") == date(2026, 5, 31)


def test_the_names_on_the_form_are_known_beforehand() -> None:
    assert names_of(PRESSURE) == ("pressure", "pressure-unit")
    assert names_of(DIAL)[-1] == "dial-unit"
    assert "wheels-LR-speed" in names_of(WHEELS)
    assert "wheels-speed-unit" in names_of(WHEELS)
