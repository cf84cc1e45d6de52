"""How far the linings will last, from two measurements with the distance between. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from diagnostics.compute.linings import Life, Pair, Wear, life_left, thickness_at
from diagnostics.measurements.disc_words import CAUTIONS
from diagnostics.measurements.fields import Day, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import least_allowed, refused_at, tool_uncertainty
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.charting import Axis, Band, Chart, Dots, Layer, Level, Line, Table
from shop.units import Kind, format_number, format_value, from_si, with_unit

_USUAL_GAUGE = 1e-4
_PER = 1e7
"""Wear is told for 10 000 km."""
_GB_LEAST, _US_LEAST = 1.5e-3, 0.0254 / 32
_TEN_YEARS = 3653
_LONGEST_ROAD = 2e9
_FAN_STEPS = 24


@dataclass(frozen=True, slots=True)
class _Minimum:
    """`own`: not the catalogue's, so the figure is judged by it directly."""

    value: float
    source: str
    own: bool


def _work_out(given: Given, known: Known) -> Outcome:
    minimum = _minimum(given, known)
    gauge = given.number_or_none("uncertainty")
    if gauge is None:
        gauge = tool_uncertainty("lining_thickness", known, _USUAL_GAUGE)
    start, end = given.number("odometer_before"), given.number("odometer_now")
    if end <= start:
        raise InputError("The second odometer reading must be above the first.", "odometer_now")
    pair = Pair(given.number("before"), given.number("now"), end - start, minimum.value, gauge)
    with refused_at("now"):
        found = life_left(pair)
    if found.wear is Wear.GREW:
        raise InputError(
            f"The lining grew by {_mm(-found.worn)}, more than the gauge can err. It was renewed "
            "meanwhile, or measured elsewhere: begin again from the new one.",
            "now",
        )
    return Outcome(
        _leading(found),
        _figures(pair, found, minimum),
        _findings(pair, found, known),
        _notes(pair, found, given, known, minimum),
        _table(pair, found, start),
        (_picture(pair, found, start),),
        (
            (
                "Straight-line wear; range from both gauge readings by Fieller’s theorem, k = 2 "
                "(from memory; checked by simulation)."
            ),
            minimum.source,
        ),
    )


def _minimum(given: Given, known: Known) -> _Minimum:
    typed = given.number_or_none("minimum")
    if typed is not None:
        return _Minimum(typed, "Minimum as typed in.", own=True)
    ours = least_allowed("lining_thickness", known)
    if ours is not None:
        return _Minimum(ours, known.limits["lining_thickness"].source, own=False)
    if known.brake_rule == "gb":
        source = "GB inspection manual section 1: below 1.5 mm is dangerous (read in a copy)"
        return _Minimum(_GB_LEAST, source, own=True)
    if known.brake_rule == "us":
        source = "49 CFR 570.5(g): not under 1/32 in over the fastener or the shoe (from memory)"
        return _Minimum(_US_LEAST, source, own=True)
    raise InputError(
        "No minimum is known here: type the one from the vehicle maker’s information.", "minimum"
    )


def _leading(found: Life) -> str:
    if found.left is None or found.shortest is None or found.longest is None:
        return "Not determinable yet: the wear is lost in what the gauge can err."
    if found.left == 0:
        return "The lining is down to its minimum: no distance is left."
    return (
        f"At the wear so far about {_km(found.left)} are left to the minimum, between "
        f"{_km(found.shortest)} and {_km(found.longest)}."
    )


def _figures(pair: Pair, found: Life, minimum: _Minimum) -> tuple[Figure, ...]:
    allowed = Allowed("mm", minimum.source, low=minimum.value) if minimum.own else None
    figures = [
        Figure(
            "lining_thickness",
            "Lining thickness now",
            pair.now,
            "mm",
            keep=True,
            allowed=allowed,
            uncertainty=pair.uncertainty,
            decimals=2,
            reason="The second of the two measurements.",
        )
    ]
    if found.left is None:
        return tuple(figures)
    figures.append(
        Figure(
            "lining_wear_10000km",
            "Wear in 10 000 km",
            found.rate * _PER,
            "mm",
            uncertainty=found.worn_uncertainty / pair.driven * _PER,
            decimals=2,
            reason=f"{_mm(found.worn)} in {_km(pair.driven)}.",
        )
    )
    figures.append(
        Figure(
            "lining_distance_left",
            "Distance left to the minimum",
            _rounded(found.left),
            "km",
            decimals=0,
            reason=found.reason,
        )
    )
    return tuple(figures)


def _findings(pair: Pair, found: Life, known: Known) -> tuple[Finding, ...]:
    findings = []
    if pair.now < pair.minimum:
        says = (
            f"The lining is below its minimum, {_mm(pair.minimum)}. The car should not be "
            f"driven on with it; look at the other linings of the axle and at the disc."
        )
        findings.append(Finding("bad", says))
    elif found.left is None:
        findings.append(Finding("unknown", _not_yet(pair, found)))
    elif found.shortest is not None and found.shortest < pair.driven:
        says = (
            "The lining may not last as long again as between the two measurements. Agree with the "
            "customer when it is measured next."
        )
        findings.append(Finding("near", says))
    else:
        says = "The lining should last longer than the distance between the two measurements."
        findings.append(Finding("good", says))
    if known.brake_rule == "gb" and pair.now < _GB_LEAST:
        says = (
            "By the GB rule a lining below 1.5 mm is dangerous: the car does not go on the road "
            "like this."
        )
        findings.insert(0, Finding("bad", says))
    new = known.figure("lining_new")
    if new is not None and pair.before > new + pair.uncertainty:
        says = (
            f"The first measurement is thicker than a new lining, {_mm(new)}. Was the backing "
            f"plate measured with it?"
        )
        findings.append(Finding("near", says))
    return tuple(findings)


def _not_yet(pair: Pair, found: Life) -> str:
    says = (
        f"Worn by {_mm(found.worn)}, and the gauge can err by {_mm(found.worn_uncertainty)} over "
        "both measurements."
    )
    if found.needed is None:
        return f"{says} Measure again after a good distance."
    onward = _km(found.needed - pair.driven)
    if found.worn > 0:
        return f"{says} At this wear it takes about {_km(found.needed)} in all, {onward} more."
    return (
        f"{says} Even at the fastest wear that this allows it takes {_km(found.needed)} in all, "
        f"{onward} more."
    )


def _notes(
    pair: Pair, found: Life, given: Given, known: Known, minimum: _Minimum
) -> tuple[str, ...]:
    notes = [
        f"Minimum {_mm(minimum.value)}; gauge {format_value(pair.uncertainty, 'mm')} (k = 2).",
        (
            "Worn as so far: another driver, a sticking caliper or towing changes it. Measure "
            "at the thinnest place, the same one each time, without the backing plate."
        ),
    ]
    if given.number_or_none("uncertainty") is None:
        notes.append("The gauge’s uncertainty was not given; the usual one is taken.")
    when = _when(found, pair, given, known)
    if when:
        notes.append(when)
    return tuple(notes)


def _when(found: Life, pair: Pair, given: Given, known: Known) -> str:
    """Until when, at the distance driven in a day between the two measurements."""
    first, second = given.day("day_before"), given.day("day_now") or known.today
    if first is None or second is None:
        return ""
    days = (second - first).days
    if days <= 0:
        raise InputError("The second measurement must be later than the first.", "day_now")
    if not found.left or found.shortest is None or found.longest is None:
        return ""
    daily = pair.driven / days
    ends = [_month(second, distance / daily) for distance in (found.shortest, found.longest)]
    span = ends[0] if ends[0] == ends[1] else f"between {ends[0]} and {ends[1]}"
    return f"At {_km(daily)} a day, as so far, the minimum is reached {span}."


def _month(since: date, days: float) -> str:
    if days > _TEN_YEARS:
        return "more than ten years from now"
    return f"{since + timedelta(days=days):%B %Y}"


def _table(pair: Pair, found: Life, start: float) -> Table:
    rows = [
        ("Before", _read(start), _mm(pair.before)),
        ("Now", _read(start + pair.driven), _mm(pair.now)),
        ("Worn", _read(pair.driven), f"{_mm(found.worn)} ± {_mm(found.worn_uncertainty)}"),
        (
            "Wear in 10 000 km",
            "",
            (
                f"{_mm(found.rate * _PER)}, from {_mm(found.slowest * _PER)} to "
                f"{_mm(found.fastest * _PER)}"
            ),
        ),
    ]
    if found.left and found.shortest is not None and found.longest is not None:
        rows += [
            ("Minimum, soonest", _read(start + pair.driven + found.shortest), _mm(pair.minimum)),
            ("Minimum, likeliest", _read(start + pair.driven + found.left), _mm(pair.minimum)),
            ("Minimum, latest", _read(start + pair.driven + found.longest), _mm(pair.minimum)),
        ]
    return Table("Wear", ("", "Odometer", "Thickness"), tuple(rows))


def _picture(pair: Pair, found: Life, start: float) -> Chart:
    """Both measurements, the line through them, and the fan of what they leave open."""
    # As far as the fan's last meeting with the minimum, or as far again as was driven.
    reach = pair.driven if found.longest is None else max(1.05 * found.longest, 0.1 * pair.driven)
    middle, fan = [], []
    for step in range(_FAN_STEPS + 1):
        ahead = reach * step / _FAN_STEPS
        thickness, doubt = thickness_at(pair, ahead)
        at = _odometer(start + pair.driven + ahead)
        fan.append((at, max(0.0, _in_mm(thickness - doubt)), max(0.0, _in_mm(thickness + doubt))))
        if thickness >= 0:
            middle.append((at, _in_mm(thickness)))
    read = (
        (_odometer(start), _in_mm(pair.before)),
        (_odometer(start + pair.driven), _in_mm(pair.now)),
    )
    layers: list[Layer] = [
        Band("Uncertainty", tuple(fan), "soft"),
        Line("At this wear", tuple(middle), "second", dashed=True),
        Line("Measured", read, "value", dots=True),
        Level("Minimum", _in_mm(pair.minimum)),
    ]
    if found.left:
        end = _odometer(start + pair.driven + found.left)
        layers.append(Dots("Likeliest end", ((end, _in_mm(pair.minimum)),), "near"))
    return Chart(
        "Lining thickness over distance",
        f"From {_mm(pair.before)} to {_mm(pair.now)} in {_km(pair.driven)}. {_leading(found)}",
        Axis("Odometer", "km"),
        Axis("Thickness", "mm", zero=True),
        tuple(layers),
    )


def _in_mm(metres: float) -> float:
    return from_si(metres, "mm")


def _odometer(metres: float) -> float:
    return from_si(metres, "km")


def _mm(metres: float) -> str:
    return format_value(metres, "mm", decimals=2)


def _read(metres: float) -> str:
    """As an odometer shows it."""
    return format_value(metres, "km", decimals=0)


def _km(metres: float) -> str:
    """An estimate: three figures are enough."""
    km = _rounded(metres) / 1000
    return with_unit(format_number(km, decimals=0 if km >= 10 or km == int(km) else 1), "km")


def _rounded(metres: float) -> float:
    """A distance to three figures, and to a tenth of a kilometre at least."""
    if metres < 1000:
        return round(metres, -2)
    return float(round(metres, 2 - math.floor(math.log10(metres))))


LINING_LIFE = MeasurementKind(
    key="lining_life",
    name="Life left of the linings",
    group=Group.DISCS,
    purpose="To tell the customer how far the linings will last, and how sure that is.",
    fields=(
        Number(
            "before",
            "Lining thickness at the earlier measurement",
            Kind.LENGTH,
            "mm",
            help="Without the backing plate, at the thinnest place.",
            lowest=1e-4,
            highest=0.04,
            usual=(1e-3, 0.025),
        ),
        Number(
            "odometer_before",
            "Odometer then",
            Kind.LENGTH,
            "km",
            lowest=0.0,
            highest=_LONGEST_ROAD,
        ),
        Day("day_before", "Day then", required=False, help="With both days, the month is told."),
        Number(
            "now",
            "Lining thickness now",
            Kind.LENGTH,
            "mm",
            help="Same place, same gauge.",
            lowest=1e-4,
            highest=0.04,
            usual=(1e-3, 0.025),
        ),
        Number(
            "odometer_now",
            "Odometer now",
            Kind.LENGTH,
            "km",
            lowest=0.0,
            highest=_LONGEST_ROAD,
        ),
        Day("day_now", "Day of this measurement", required=False, help="Empty: today."),
        Number(
            "uncertainty",
            "Uncertainty of the gauge",
            Kind.LENGTH,
            "mm",
            required=False,
            help="Expanded (k = 2). Empty: the usual gauge’s, or 0.1 mm (common practice).",
            lowest=0.0,
            highest=2e-3,
        ),
        Number(
            "minimum",
            "Minimum thickness",
            Kind.LENGTH,
            "mm",
            required=False,
            help="Empty: the platform’s, or that of the rule set for the workshop.",
            lowest=0.0,
            highest=0.01,
        ),
    ),
    quantities=(
        DerivedQuantity("lining_thickness", "Lining thickness", Kind.LENGTH, "mm"),
        DerivedQuantity("lining_wear_10000km", "Lining wear in 10 000 km", Kind.LENGTH, "mm"),
        DerivedQuantity("lining_distance_left", "Distance left on the linings", Kind.LENGTH, "km"),
    ),
    work_out=_work_out,
    place="wheel",
    cautions=CAUTIONS,
)
