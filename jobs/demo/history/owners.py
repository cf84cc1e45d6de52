"""Invented owners and plates for the vehicles of the history."""

from __future__ import annotations

from random import Random

from shop.models import Customer, Workshop
from shop.search_keys import name_key

_FIRST = (
    "Ada Alba Anton Arne Astrid Bas Berit Bram Carla Cleo Dagny Dirk Edda Elin Emil Esra Femke "
    "Fritz Gerda Gijs Greta Hanno Hedda Hilma Ida Ilse Imke Ivo Jan Jette Jonah Joost Kaja "
    "Karel Kirsa Lars Leonie Lotte Magda Maud Mees Nils Noor Odile Otto Paavo Piet Rosa Rune "
    "Sanne Silas Siri Tessa Thea Tove Ulla Viggo Wanda Wim Yara Ynes Zeno"
)
_PLACES = "Harbour Saltpan Quarry Lock Sluice Tide Lantern Ropewalk Millpond Chandler Ferry"
_TRADES = "Bakery Laundry Florist Nurses Joiners Nursery Cycles Couriers Caterers Glaziers"
_LETTERS = "ABCDEFGHJKLMNPRSTVWXYZ"
_BUSINESS = 0.12


class Owners:
    """Draws one after the other; names may come twice, plates do not."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng

    def next(self, workshop: Workshop) -> Customer:
        rng = self.rng
        if rng.random() < _BUSINESS:
            name = f"{rng.choice(_PLACES.split())} {rng.choice(_TRADES.split())}"
        else:
            name = f"{rng.choice(_FIRST.split())} {rng.choice(_LETTERS)}."
        phone = f"555 {rng.randrange(1000, 9999)}"
        return Customer(workshop=workshop, name=name, name_key=name_key(name), phone=phone)

    def plate(self, taken: set[str]) -> str:
        """A plate that no vehicle has; it is added to those taken."""
        rng = self.rng
        while True:
            letters = "".join(rng.choices(_LETTERS, k=2))
            plate = f"{rng.randrange(1, 10)}{letters} {rng.randrange(10_000):04d}"
            if plate not in taken:
                taken.add(plate)
                return plate
