"""How much a finding is worth an owner's time against others, in one place. Pure.

People first: what may hurt somebody, then what goes on failing now, then money, then trends. Within
a kind the larger number of jobs weighs more: add `more(count)`, which never reaches the next kind.
"""

from __future__ import annotations

from typing import Final

ALARM: Final = 90.0  # a batch or component fails more often than it did
WORSE_THAN_OTHERS: Final = 70.0  # a supplier or batch lies outside its funnel
UNDECIDED: Final = 60.0  # returns that wait for a decision
COMEBACKS: Final = 50.0
MONEY: Final = 40.0
TREND: Final = 30.0
RATE: Final = 20.0
NOTHING_NEW: Final = 0.0


def more(count: float) -> float:
    """From 0 towards 9 as the count grows."""
    return 9.0 * count / (count + 20.0) if count > 0 else 0.0


def sort_of(weight: float) -> float:
    """The weight without what its count adds: 90.0 for any alarm."""
    return weight // 10.0 * 10.0
