"""How far a job's price may go beyond what was authorised. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from shop.money import cents, format_amount, line_total, total

_HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Limit:
    """All before tax, in cents: what was authorised, what that allows, what the job comes to.

    With `customers` it is the part of all this that the customer pays, where others bear some.
    """

    authorised: Decimal
    allowed: Decimal
    now: Decimal
    tolerance: Decimal  # percent
    customers: bool = False

    @property
    def over(self) -> bool:
        return self.now > self.allowed

    def sentence(self, currency: str) -> str:
        """What stops the job, with the sums; for a job that is not stopped it would be untrue."""
        now, authorised = (
            format_amount(self.now, currency),
            format_amount(self.authorised, currency),
        )
        if not self.authorised and not self.customers:
            return (
                f"The job comes to {now} before tax and nothing has been authorised. Ask for "
                "authority and record the answer first."
            )
        allowed = format_amount(self.allowed, currency)
        most = f"; {plain(self.tolerance)} % more is allowed, {allowed}" if self.tolerance else ""
        comes_to = "The customer would pay" if self.customers else "The job would come to"
        return (
            f"{comes_to} {now} before tax, but {authorised} is authorised{most}. "
            "Ask for authority for the addition and record the answer first."
        )


def limit(
    authorised: Decimal, tolerance: Decimal, now: Decimal, *, customers: bool = False
) -> Limit:
    """`tolerance` in percent; 0 means that any rise needs authority (16 CCR 3354(a)).

    Raises shop.money.AmountError for an amount that is none.
    """
    more = line_total(cents(authorised), tolerance * _HUNDREDTH)
    return Limit(cents(authorised), total((authorised, more)), cents(now), tolerance, customers)


def plain(percent: Decimal) -> str:
    """ "12.50" as "12.5", "10.00" as "10"."""
    text = f"{percent:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
