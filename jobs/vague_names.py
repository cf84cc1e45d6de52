"""Names under which nobody can tell what was charged. Pure.

A charged material is a line that says what it is: the rules that the strict set of terms follows
do not allow billing under names such as "shop supplies" or "miscellaneous parts" (as summarised
for 16 CCR 3356; older text, so the present wording may differ).
"""

from __future__ import annotations

import re

# Common practice, no source: the words such lines are made of.
_EMPTY_WORDS = frozenset(
    """
    shop workshop garage supply supplies material materials misc miscellaneous sundry sundries
    consumable consumables small parts part items item stuff general various other others extra
    extras charge charges fee fees hardware disposal environmental allowance cost costs incidental
    incidentals bits pieces etc used usual the and of for a as needed required
    """.split()  # noqa: SIM905 - a list of words reads best as words
)


def is_vague(name: str) -> bool:
    """Whether nothing but empty words is in it: "Shop supplies", "Misc. parts", "other 10 %"."""
    words = re.findall(r"[^\W\d_]+", name.casefold())
    return all(word in _EMPTY_WORDS for word in words)
