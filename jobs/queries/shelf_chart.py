"""The whole shelf as a picture: how much money spares how many waits."""

from __future__ import annotations

from decimal import Decimal

from jobs.queries.shelf_advice import Shelf
from shop.charting import Axis, Chart, Dots, Line, Table
from shop.money import format_amount, total

TARGETS = (0.5, 0.8, 0.9, 0.95, 0.98, 0.99)


def money_against_waits(shelf: Shelf, currency: str) -> Chart | None:
    """Waits of the last twelve months over the money, from target to target; None without any."""
    if not shelf.wanted:
        return None
    targets = sorted({*TARGETS, shelf.target})
    points = [_at(shelf, target) for target in targets]
    line = tuple((float(money), float(waited)) for waited, money in points)
    none = shelf.wanted
    now = (float(shelf.money_kept), float(shelf.kept_wait))
    advised = (float(shelf.money_advised), float(shelf.would_wait))
    rows = tuple(
        (f"{target:.1%}", format_amount(money, currency), str(waited))
        for target, (waited, money) in zip(targets, points, strict=True)
    )
    return Chart(
        title="Money on the shelf against waits",
        says=(
            f"Of {none} pieces wanted in twelve months, {shelf.kept_wait} would have waited with "
            f"what is kept now, {shelf.would_wait} with what is advised "
            f"for {format_amount(shelf.money_advised, currency)}."
        ),
        x=Axis("Money tied up", currency, zero=True),
        y=Axis("Would have waited", "pieces", zero=True),
        layers=(
            Line("Other service levels", _once(line), "second", dots=True),
            Dots("As kept now", (now,), "near"),
            Dots("As advised", (advised,), "value"),
        ),
        table=Table(
            "By service level",
            ("The shelf lasts", "Money tied up", "Would have waited"),
            (
                *rows,
                ("As kept now", format_amount(shelf.money_kept, currency), str(shelf.kept_wait)),
            ),
        ),
    )


def _at(shelf: Shelf, target: float) -> tuple[int, Decimal]:
    found = [row.had_been(target, shelf.seen) for row in shelf.rows]
    return sum(waited for waited, _money in found), total(money for _waited, money in found)


def _once(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Targets that come to the same shelf are one point."""
    return tuple(dict.fromkeys(points))
