"""What an invoice says of the replaced parts. Pure.

16 CCR 3355, as summarised in the strict profile: returned when asked for as the work is
authorised; exchange parts and parts that go back under warranty are shown instead, and the
invoice says that they are not returnable. Local law decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.holding import Why, wanted_back


@dataclass(frozen=True, slots=True)
class Returned:
    """One part that came off: what it was replaced by, and why it is held ("" when it is not)."""

    text: str
    why: str = ""


def parts_statement(
    parts: Sequence[Returned], *, wanted: str, unless_waived: bool, keep_days: int = 0
) -> str:
    """The sentences; nothing when no part came off. `wanted` is "wanted", "not_wanted" or ""."""
    if not parts:
        return ""
    exchanged = [one.text for one in parts if one.why == Why.CORE]
    warranty = [one.text for one in parts if one.why == Why.PAYER]
    others = [one.text for one in parts if one.why not in (Why.CORE, Why.PAYER)]
    said = []
    if others:
        said.append(_fate(others, wanted, unless_waived, all_of_them=len(others) == len(parts)))
    if exchanged:
        said.append(_shown(exchanged, "exchanged for credit, so the old part"))
    if warranty:
        said.append(_shown(warranty, "kept for whoever bears the cost, so the old part"))
    if keep_days:
        days = "1 day" if keep_days == 1 else f"{keep_days} days"
        said.append(f"Replaced parts are kept for {days} after delivery.")
    return " ".join(said)


def _fate(texts: list[str], wanted: str, unless_waived: bool, *, all_of_them: bool) -> str:
    which = "The replaced parts" if all_of_them else f"What came off for {'; '.join(texts)}"
    if wanted_back(unless_waived=unless_waived, answer=wanted):
        return f"{which}: returned to the customer."
    if wanted == "not_wanted":
        said = "waived them" if unless_waived else "did not want them"
        return f"{which}: not returned, the customer {said}."
    return f"{which}: not returned, nobody asked for them when the work was authorised."


def _shown(texts: list[str], why: str) -> str:
    return f"{'; '.join(texts)}: {why} is not returnable; it is shown on request."
