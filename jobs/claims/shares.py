"""Money shared out among kinds in proportion, to the cent. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_DOWN, Decimal

from shop.money import CENT, cents, total


def shared_out(amount: Decimal, weights: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """`amount` in proportion to `weights` (none below nought), in whole cents that add up to it.

    The cents that are left over go to the largest remainders, of equal ones to the first. Without
    any weight everything goes to the first kind. Raises ValueError when there is no kind.
    """
    if not weights:
        raise ValueError("There is nothing to share among.")
    amount = cents(amount)
    whole = sum(weights.values(), Decimal(0))
    if not whole:
        first = next(iter(weights))
        return {key: amount if key == first else Decimal("0.00") for key in weights}
    exact = {key: abs(amount) * weight / whole for key, weight in weights.items()}
    shares = {key: share.quantize(CENT, rounding=ROUND_DOWN) for key, share in exact.items()}
    left = int((abs(amount) - total(shares.values())) / CENT)
    order = sorted(exact, key=lambda key: shares[key] - exact[key])
    for key in order[:left]:
        shares[key] += CENT
    return {key: cents(-share if amount < 0 else share) for key, share in shares.items()}
