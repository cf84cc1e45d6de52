"""An amount that several share, split so that the parts make it to the cent. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_DOWN, Decimal

from shop.money import total

_CENT = Decimal("0.01")


def split(amount: Decimal, weights: Sequence[Decimal]) -> tuple[Decimal, ...]:
    """`amount`, in cents and not below zero, in proportion to the weights.

    Each part is cut to whole cents; those left over go one by one to the parts that lost most,
    the earlier before the later (method of largest remainders, from memory). Without any weight
    nothing is given. Raises ValueError for an amount or a weight below zero.
    """
    if amount < 0 or any(weight < 0 for weight in weights):
        raise ValueError("What is split, and by what, is not below zero.")
    whole = sum(weights, Decimal(0))
    if not whole:
        return tuple(Decimal("0.00") for _weight in weights)
    exact = [amount * weight / whole for weight in weights]
    parts = [one.quantize(_CENT, ROUND_DOWN) for one in exact]
    over = int(total((amount, *(-part for part in parts))) / _CENT)
    by_loss = sorted(range(len(parts)), key=lambda at: (parts[at] - exact[at], at))
    for at in by_loss[:over]:
        parts[at] += _CENT
    return tuple(parts)
