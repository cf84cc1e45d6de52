"""How names and plates are stored for finding them."""

from __future__ import annotations

import pytest

from shop.search_keys import name_key, plate_key


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("Zoë  Ångström", "zoe angstrom"),
        ("  MARA k. ", "mara k."),
        ("Großmann", "grossmann"),
        ("", ""),
    ],
)
def test_a_name_is_found_without_its_accents_and_capitals(typed: str, key: str) -> None:
    assert name_key(typed) == key


@pytest.mark.parametrize("typed", ["7kd 3318", "7KD-3318", " 7kd·3318 ", "7KD3318"])
def test_a_plate_is_found_however_it_is_spaced(typed: str) -> None:
    assert plate_key(typed) == "7KD3318"
