"""What is still owed on a claim, and how its state follows the money. Pure.

The states are those of jobs.models.Claim by their kept names.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from shop.money import total

NOT_OUT = frozenset({"draft", "approved"})
OVER = frozenset({"paid", "written_off", "void"})
_NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class Standing:
    """A claim's money: what was claimed, agreed (None: no answer), paid and written off."""

    state: str
    claimed: Decimal
    agreed: Decimal | None
    paid: Decimal
    written_off: Decimal

    @property
    def owed(self) -> Decimal:
        """Below nought when more was paid than claimed."""
        return total((self.claimed, -self.paid, -self.written_off))


def unlike(state: str, number: str, *, sent: bool) -> str:
    """Why money for a claim in this state is unusual, or "". `sent`: it went out at least once."""
    if not sent and state in NOT_OUT:
        return f"{number} was not sent yet"
    if state == "void":
        return f"{number} is void"
    return f"{number} was written off" if state == "written_off" else ""


def after(standing: Standing, amount: Decimal) -> Standing:
    """The claim after `amount` came, or was taken back when it is below nought.

    Money for what was written off makes the loss smaller. All paid is paid; what is left after a
    part came, also beyond what the payer agreed to, stays owed until it is written off. What is
    being prepared to go out again stays so.
    """
    paid = total((standing.paid, amount))
    lost = standing.written_off
    if amount > 0 and lost:
        lost = min(lost, max(_NOTHING, total((standing.claimed, -paid))))
    now = Standing(standing.state, standing.claimed, standing.agreed, paid, lost)
    return Standing(_state(standing.state, now), now.claimed, now.agreed, paid, lost)


def _state(before: str, now: Standing) -> str:
    if now.owed <= 0:
        return "written_off" if now.written_off else "paid"
    if before in NOT_OUT:
        return before
    all_agreed = now.agreed is None or now.agreed >= now.claimed
    if before == "accepted" and all_agreed:
        return "accepted"
    return "short"
