"""A measured value against its limit: within, near, outside, or not judged and why. Pure.

The rule for "near" follows the decision rule of ISO 14253-1 (from memory): a value closer to a
limit than the measuring uncertainty proves nothing. What lies inside by less is called near,
and what lies outside by less is called outside but doubtful. For a limit on both sides the last
tenth of the range at either end is near as well: that is this product's own rule.

All numbers are SI-coherent; sentences are written in the unit that the person reads.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum
from types import MappingProxyType
from typing import Literal

from shop.units import Kind, decimals_needed, format_number, format_value, from_si, kind_of

NEAR_SHARE = 0.1
_MOST_DIGITS = 12

Side = Literal["low", "high"]


class VerdictKind(StrEnum):
    """The four verdicts."""

    WITHIN = "within"
    NEAR = "near"
    OUTSIDE = "outside"
    NOT_JUDGED = "not_judged"

    @property
    def word(self) -> str:
        """The verdict as it is said: "not judged"."""
        return self.value.replace("_", " ")


class OverRange(Enum):
    """An instrument that shows over range (OL) has measured something, but no number."""

    OVER_RANGE = "over range"


OVER_RANGE = OverRange.OVER_RANGE

Measured = float | OverRange


@dataclass(frozen=True, slots=True)
class Condition:
    """What must hold for a limit to apply.

    key: what must be known, such as "engine" or "temperature".
    says: how the condition is said after "The limit holds": "with the engine running",
        "at 20 °C".
    needs: the state word that must be observed, None when any will do.
    low, high: the SI range in which a number must lie, None for no bound; `unit` to write it in.
    correctable: the condition only scales the value (the temperature of a copper winding), so
        that an open circuit is outside whether or not it holds.
    """

    key: str
    says: str
    needs: str | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    correctable: bool = False


@dataclass(frozen=True, slots=True)
class Limit:
    """What is allowed, SI-coherent.

    low, high: None for no limit on that side. Leave `low` empty for a quantity that merely
        cannot be negative (run-out, voltage drop): a natural zero is no limit, and with one
        good small values would be called near it.
    unit: in which sentences are written.
    uncertainty: expanded measuring uncertainty of the usual tool, SI, same quantity.
    near_margin: what counts as near, SI; None for the last tenth of a two-sided range and for
        the uncertainty alone with a single limit, which has no range to take a tenth of.

    Raises ValueError for nan, for low above high, and for a negative uncertainty or margin.
    """

    low: float | None
    high: float | None
    unit: str
    uncertainty: float = 0.0
    near_margin: float | None = None
    conditions: tuple[Condition, ...] = ()

    def __post_init__(self) -> None:
        bounds = [bound for bound in (self.low, self.high) if bound is not None]
        if not all(math.isfinite(bound) for bound in bounds):
            raise ValueError("A limit must be a finite number or empty.")
        if len(bounds) == 2 and bounds[0] > bounds[1]:
            raise ValueError("The low limit is above the high limit.")
        for share in (self.uncertainty, self.near_margin or 0.0):
            if not math.isfinite(share) or share < 0:
                raise ValueError("An uncertainty or margin must be a finite number from 0 up.")


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict and its reason, a sentence that stands alone.

    how_far: SI distance to the nearest limit, positive inside and negative outside; None when
        not judged or over range. side: the limit it is measured from. doubtful: outside, but
        by less than the measuring uncertainty.
    """

    kind: VerdictKind
    reason: str
    how_far: float | None = None
    side: Side | None = None
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class _Case:
    """A judged value with what is needed to speak about it."""

    value: float
    limit: Limit
    uncertainty: float
    unit: str
    notes: tuple[str, ...] = field(default=())


def judge(
    measured: Measured | None,
    limit: Limit | None,
    *,
    uncertainty: float | None = None,
    observed: Mapping[str, float | str] = MappingProxyType({}),
    corrected: Mapping[str, str] = MappingProxyType({}),
    unit: str | None = None,
) -> Verdict:
    """Judge one measured value.

    measured: SI-coherent number, OVER_RANGE, or None when nothing was read.
    limit: None when none is known.
    uncertainty: of the tool really used, SI; None for the limit's own.
    observed: condition key -> SI number or state word, as noted with the reading.
    corrected: condition key -> sentence saying that the value was already brought to that
        condition; the condition then counts as met and the sentence joins the reason.
    unit: in which to write the reason; None for the limit's own.

    A value exactly on a limit is inside, and near; a count that must be one
    figure is within when it is that figure. Raises ValueError for a negative or
    non-finite `uncertainty`, UnitError for an unknown unit.
    """
    if uncertainty is not None and not (math.isfinite(uncertainty) and uncertainty >= 0):
        raise ValueError("An uncertainty must be a finite number from 0 up.")
    if measured is None or (isinstance(measured, float | int) and not math.isfinite(measured)):
        return _not_judged("no number was read. Measure again")
    if limit is None or (limit.low is None and limit.high is None):
        return _not_judged(
            "no limit is known for this here. Look it up in the vehicle maker's information"
        )
    over_range = measured is OVER_RANGE
    for condition in limit.conditions:
        if condition.key in corrected or (over_range and condition.correctable):
            continue
        obstacle = _obstacle(condition, observed.get(condition.key))
        if obstacle:
            return _not_judged(obstacle)
    shown_in = unit or limit.unit
    if isinstance(measured, OverRange):
        return _over_range(limit, shown_in)
    case = _Case(
        value=float(measured),
        limit=limit,
        uncertainty=limit.uncertainty if uncertainty is None else uncertainty,
        unit=shown_in,
        notes=tuple(corrected[c.key] for c in limit.conditions if c.key in corrected),
    )
    return _judge_number(case)


def not_noted(
    measured: Measured, limit: Limit, observed: Mapping[str, float | str]
) -> Condition | None:
    """The first condition of a limit about which nothing was noted, so that it can be asked."""
    for condition in limit.conditions:
        if measured is OVER_RANGE and condition.correctable:
            continue
        if observed.get(condition.key) in (None, ""):
            return condition
    return None


def _not_judged(why: str) -> Verdict:
    return Verdict(VerdictKind.NOT_JUDGED, f"Not judged: {why}.")


def _obstacle(condition: Condition, seen: float | str | None) -> str:
    """Why the condition does not let the limit apply; "" when it does."""
    holds = f"the limit holds {condition.says}"
    if seen is None or seen == "" or (not isinstance(seen, str) and not math.isfinite(seen)):
        return f"{holds}, and that was not noted"
    if condition.needs is not None:
        return "" if seen == condition.needs else f"{holds}, and what was noted is “{seen}”"
    if isinstance(seen, str):
        return "" if condition.low is None and condition.high is None else f"{holds}: note a number"
    below = condition.low is not None and seen < condition.low
    above = condition.high is not None and seen > condition.high
    if not (below or above):
        return ""
    shown = format_value(seen, condition.unit) if condition.unit else f"{seen:g}"
    return f"{holds}, and it was {shown}"


def _over_range(limit: Limit, unit: str) -> Verdict:
    is_open = kind_of(unit) is Kind.RESISTANCE
    shown = "the meter shows over range" + (" (an open circuit)" if is_open else "")
    if limit.high is not None:
        return Verdict(
            VerdictKind.OUTSIDE,
            f"Outside: {shown}, which is above {format_value(limit.high, unit)}.",
            side="high",
        )
    return Verdict(
        VerdictKind.WITHIN,
        f"Within: {shown}, which is above {format_value(_bound(limit, 'low'), unit)}, "
        "and nothing limits it from above.",
        side="low",
    )


def _judge_number(case: _Case) -> Verdict:
    side, how_far = _nearest(case.value, case.limit)
    if how_far < 0:
        doubtful = -how_far < case.uncertainty
        return Verdict(VerdictKind.OUTSIDE, _outside(case, side, -how_far), how_far, side, doubtful)
    if not _is_exact(case) and (how_far == 0 or _clearly_less(how_far, _margin(case))):
        return Verdict(VerdictKind.NEAR, _near(case, side, how_far), how_far, side)
    return Verdict(VerdictKind.WITHIN, _within(case), how_far, side)


def _is_exact(case: _Case) -> bool:
    """One figure and a tool without uncertainty: a count, say of teeth, is right or wrong."""
    return case.limit.low == case.limit.high and case.uncertainty == 0


def _nearest(value: float, limit: Limit) -> tuple[Side, float]:
    """The limit that the value is closest to, or breaks, and the distance inside it."""
    to_low = math.inf if limit.low is None else value - limit.low
    to_high = math.inf if limit.high is None else limit.high - value
    return ("low", to_low) if to_low < to_high else ("high", to_high)


def _margin(case: _Case) -> float:
    own = case.limit.near_margin
    if own is None:
        low, high = case.limit.low, case.limit.high
        own = 0.0 if low is None or high is None else NEAR_SHARE * (high - low)
    return max(own, case.uncertainty)


def _clearly_less(one: float, other: float) -> bool:
    # The edge of a tenth is a product of floats; a hair's breadth must not decide.
    return one < other and not math.isclose(one, other, rel_tol=1e-9)


# ---- sentences ----


def limit_in_words(limit: Limit, unit: str | None = None) -> str:
    """What is allowed, without the conditions: "1.3 to 1.7 kΩ", "at most 0.1 mm"; "" for none."""
    shown_in = unit or limit.unit
    if limit.low is not None and limit.high is not None:
        low, high = (from_si(bound, shown_in) for bound in (limit.low, limit.high))
        decimals = max(decimals_needed(low), decimals_needed(high))
        least = format_number(low, decimals=decimals)
        return f"{least} to {format_value(limit.high, shown_in, decimals=decimals)}"
    if limit.high is not None:
        return f"at most {format_value(limit.high, shown_in)}"
    if limit.low is not None:
        return f"at least {format_value(limit.low, shown_in)}"
    return ""


def _outside(case: _Case, side: Side, excess: float) -> str:
    broken = _bound(case.limit, side)
    value, bound = _side_by_side(case, (case.value, broken))
    where = "above" if side == "high" else "below"
    sentence = f"Outside: {value} is {_how_much(case, broken, excess)}{where} {bound}."
    if excess < case.uncertainty:
        sentence += (
            f" That is less than the tool's uncertainty, {_shown(case, case.uncertainty)}: "
            "measure again with a finer tool before condemning anything."
        )
    return _with_notes(sentence, case)


def _how_much(case: _Case, broken: float, excess: float) -> str:
    low, high = case.limit.low, case.limit.high
    scale = abs(broken) if low is None or high is None else high - low
    if case.uncertainty and excess < case.uncertainty:
        return "just "
    return "far " if scale and excess > scale else ""


def _near(case: _Case, side: Side, how_far: float) -> str:
    closest = _bound(case.limit, side)
    value, bound = _side_by_side(case, (case.value, closest))
    which = f"the {side} limit, {bound}"
    low, high = case.limit.low, case.limit.high
    if how_far == 0:
        sentence = f"Near: {value} is exactly on {which}."
    elif low is not None and high is not None and 2 * case.uncertainty >= high - low:
        allowed = limit_in_words(case.limit, case.unit)
        sentence = (
            f"Near: {value} is inside, but the tool's uncertainty, "
            f"{_shown(case, case.uncertainty)}, is too coarse for the range {allowed}."
        )
    elif _clearly_less(how_far, case.uncertainty):
        sentence = (
            f"Near: {value} is inside {which}, by less than the tool's uncertainty, "
            f"{_shown(case, case.uncertainty)}."
        )
    elif case.limit.near_margin is not None:
        sentence = f"Near: {value} is inside, but close to {which}."
    else:
        sentence = f"Near: {value} is inside, but in the last tenth of the range before {which}."
    return _with_notes(sentence, case)


def _within(case: _Case) -> str:
    return _with_notes(f"Within: {_shown_with_range(case)}.", case)


def _with_notes(sentence: str, case: _Case) -> str:
    return " ".join((sentence, *case.notes))


def _bound(limit: Limit, side: Side) -> float:
    bound = limit.low if side == "low" else limit.high
    if bound is None:
        raise ValueError(f"There is no {side} limit.")
    return bound


def _shown_with_range(case: _Case) -> str:
    low, high = case.limit.low, case.limit.high
    if low is not None and low == high:
        return f"{format_value(case.value, case.unit)} is as it must be"
    if low is not None and high is not None:
        value, least, most = _side_by_side(case, (case.value, low, high))
        return f"{value} is between {least} and {most}"
    side: Side = "low" if high is None else "high"
    value, bound = _side_by_side(case, (case.value, _bound(case.limit, side)))
    return f"{value} is {'below' if side == 'high' else 'above'} {bound}"


def _side_by_side(case: _Case, numbers: tuple[float, ...]) -> list[str]:
    """The value and its limits with equal decimals, enough that different ones look different."""
    own = [from_si(number, case.unit) for number in numbers]
    shown: list[str] = []
    for digits in range(4, _MOST_DIGITS + 1):
        decimals = _decimals(own[0], own[1:], digits)
        shown = [format_value(number, case.unit, decimals=decimals) for number in numbers]
        if len(set(shown)) == len(set(numbers)):
            break
    return shown


def _decimals(value: float, bounds: list[float], digits: int) -> int:
    largest = max(abs(bound) for bound in bounds)
    # A stray small value must not draw a dozen zeros behind the limit.
    most = digits - 1 - (math.floor(math.log10(largest)) if largest else 0)
    own = min(decimals_needed(value, digits=digits), max(0, most))
    return max(own, *(decimals_needed(bound, digits=digits) for bound in bounds))


def _shown(case: _Case, width: float) -> str:
    """A width such as an uncertainty, in the reader's unit (a temperature's has no offset)."""
    if kind_of(case.unit) is Kind.TEMPERATURE:
        return f"{width:.3g} K"
    return format_value(width, case.unit)
