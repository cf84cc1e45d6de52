"""What a braking test on the road means, in sentences. Pure."""

from __future__ import annotations

from diagnostics.compute.braking import Rule, Standing, gb_standing
from diagnostics.compute.deceleration import MeanDeceleration, Stop, stopping_distance
from diagnostics.measurements.brake_rules import efficiency_says, no_rule, percent, tone_of_standing
from diagnostics.measurements.outcome import Finding
from shop.units import format_value, to_si

TWENTY_MPH = to_si(20, "mph")
US_DISTANCE = to_si(25, "ft")
_HIGHWAY = to_si(25, "mph")
_ABOUT = 0.10
"""Within a tenth, a stop counts as one from about 20 mph: this product's own rule."""
_LEVEL = 0.01


def from_about_20(speed: float) -> bool:
    """Whether a speed in m/s is within a tenth of 20 mph."""
    return abs(speed / TWENTY_MPH - 1) <= _ABOUT + 1e-9


def at_20(found: Stop) -> float:
    """The level braking distance from 20 mph at this stop's deceleration, metres."""
    # To a nanometre: exactly 25 ft is exactly 25 ft.
    return round(stopping_distance(TWENTY_MPH, found.value), 9)


def of_least(
    found: MeanDeceleration | Stop, least: float | None, rule: Rule | None
) -> list[Finding]:
    """How a mean deceleration stands before the GB figure."""
    if rule is None:
        return [no_rule()]
    if rule is not Rule.GB:
        return []
    if least is None:
        says = (
            "The rule’s road test is from about 20 mph (32 km/h): this one, from another speed, is "
            "not judged by it."
        )
        return [Finding("unknown", says)]
    standing = gb_standing(found.share_of_gravity, least)
    says = efficiency_says(standing, found.share_of_gravity, least)
    if standing is not Standing.MET:
        says += (
            " It does not show which wheel: rollers, or pressures and temperatures wheel by wheel, "
            "do. Grip of the road and a locking wheel limit it too."
        )
    return [Finding(tone_of_standing(standing), says)]


def of_whole_stop(found: Stop, least: float | None, rule: Rule | None) -> list[Finding]:
    """A stop measured by tape beside the GB figure, which is meant for a decelerometer."""
    if rule is None:
        return [no_rule()]
    if rule is not Rule.GB or least is None:
        return of_least(found, least, rule)
    value, needed = percent(found.share_of_gravity), percent(least)
    standing = gb_standing(found.share_of_gravity, least)
    if standing is Standing.MET:
        return [
            Finding("good", f"Even over the whole stop, {value} reaches the {needed} required.")
        ]
    if standing is Standing.DANGEROUS:
        return [Finding("bad", efficiency_says(standing, found.share_of_gravity, least))]
    says = (
        f"Over the whole stop {value} is below {needed}. The build-up counts in it, and the "
        f"rule asks for rollers, plates or a decelerometer: try it there before you judge."
    )
    return [Finding("near", says)]


def of_us(found: Stop, speed: float, rule: Rule | None) -> list[Finding]:
    """How a stop stands before the 25 ft of the US rule (from memory)."""
    if rule is not Rule.US:
        return []
    if not from_about_20(speed):
        return [Finding("unknown", "The rule’s stop is from 20 mph: this one is not judged by it.")]
    needed = at_20(found)
    shown = format_value(needed, "ft", decimals=1)
    if needed > US_DISTANCE:
        says = (
            f"From 20 mph it would take {shown}; the rule allows 25 ft, inside a lane of 12 ft. It "
            "does not show which wheel is weak."
        )
        return [Finding("bad", says)]
    return [Finding("good", f"From 20 mph it takes {shown} of the 25 ft that the rule allows.")]


def of_prescribed(found: MeanDeceleration) -> list[Finding]:
    """Said when the run began too slowly to count."""
    if found.fast_enough is not False:
        return []
    says = (
        "The initial speed was less than 98 % of the prescribed one: the run does not count and is "
        "not kept."
    )
    return [Finding("unknown", says)]


def of_speed(speed: float) -> list[Finding]:
    """Said when a test was faster than belongs on a highway."""
    if speed <= _HIGHWAY:
        return []
    says = "From more than 25 mph: such a test belongs on a closed track, not on a highway."
    return [Finding("near", says)]


def of_slope(found: MeanDeceleration | Stop, slope: float) -> tuple[str, ...]:
    """What the slope did, or that none was counted."""
    if not slope:
        return ("Taken as on a level road. One per cent of slope alone changes it by 1 % of g.",)
    way = "uphill" if slope > 0 else "downhill"
    says = f"{rate(found.as_driven)} as driven {way}; the slope is taken out."
    if abs(slope) > _LEVEL:
        says += " Rules want a level road, within 1 % (California’s Vehicle Code 26456, read)."
    return (says,)


def rate(value: float) -> str:
    """A deceleration in m/s² with two places."""
    return format_value(value, "m/s2", decimals=2)
