"""What the law of a place asks of estimate, invoice and replaced parts: sets to begin with. Pure.

Each set is our reading of the rules it names, in our own words; local law decides. What a rule
that was read does not speak of stays as in the strict set. Choosing one fills in the terms, and
every figure may then be set to what holds where the workshop stands.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from decimal import Decimal

ON_REQUEST = "on_request"
UNLESS_WAIVED = "unless_waived"
CAVEAT = "This is our reading. Local law decides: ask there before you rely on it."


@dataclass(frozen=True, slots=True)
class Figures:
    """What a set fills in; the names are those of the terms that are kept.

    `tolerance_percent` is how far the work may go over what was authorised, in percent of it;
    days are calendar days, and `record_years` whole years.
    """

    tolerance_percent: Decimal = Decimal(0)
    list_condition: bool = True
    list_unpaid_work: bool = True
    return_parts: str = ON_REQUEST
    keep_replaced_days: int = 0
    hold_days: int = 30
    record_years: int = 3

    def named(self) -> dict[str, object]:
        return {field.name: getattr(self, field.name) for field in fields(self)}


@dataclass(frozen=True, slots=True)
class Profile:
    key: str
    name: str
    words: str
    source: str
    figures: Figures


STRICT = Profile(
    "strict",
    "Strict: estimate first, nothing over it",
    "An estimate is given and authorised before any work. Nothing is done above the authorised "
    "amount until the rest, and the new total, are authorised and recorded. Replaced parts go "
    "back to the customer who asks for them when authorising, except exchange and warranty "
    "parts, which are shown. The invoice lists diagnosis and warranty work too, and says of each "
    "part whether it is new, used, reconditioned or rebuilt. Records are kept three years.",
    "California, 16 CCR 3353 to 3358, as read in public copies; how long parts are held for a "
    "payer is common practice, no source",
    Figures(),
)
TEN_PERCENT = Profile(
    "ten_percent",
    "Ten percent over the estimate, records for a year",
    "Consent is needed for more than ten percent over the estimate. A copy of the invoice is "
    "kept one year, or as long as the warranty runs if that is longer: set the years to your "
    "longest warranty.",
    "Prince George’s County, Maryland, county code 26A-107, as read in a public copy",
    Figures(tolerance_percent=Decimal(10), record_years=1),
)
PARTS_BACK = Profile(
    "parts_back",
    "Replaced parts back unless waived",
    "Replaced parts go back to the customer unless the customer waives it; only parts that must "
    "be returned under a warranty are kept.",
    "Montgomery County, Maryland, as read on the county’s page",
    Figures(return_parts=UNLESS_WAIVED),
)
TWO_BUSINESS_DAYS = Profile(
    "two_business_days",
    "Replaced parts held two business days",
    "Replaced parts are held at least two business days after delivery, and longer in a "
    "dispute. Five calendar days cover a weekend and one public holiday.",
    "Michigan, administrative rule R 257.144, as read in a public copy",
    Figures(keep_replaced_days=5),
)
PROFILES = (STRICT, TEN_PERCENT, PARTS_BACK, TWO_BUSINESS_DAYS)


def profile(key: str) -> Profile:
    """The set of this key; the strict one for a key that is not known here."""
    return next((one for one in PROFILES if one.key == key), STRICT)


def departures(key: str, figures: Figures) -> tuple[str, ...]:
    """The names of the figures that were set otherwise than the set says."""
    own, set_now = profile(key).figures.named(), figures.named()
    return tuple(name for name in own if own[name] != set_now[name])
