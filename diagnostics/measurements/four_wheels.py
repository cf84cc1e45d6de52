"""Four wheels of one car compared, by speeds as shown or by the sensors' frequencies. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product

from diagnostics.compute.four_wheels import AGREES_WITHIN, Comparison, compare
from diagnostics.measurements.fields import FOUR_WHEELS, Grid, Number, Words
from diagnostics.measurements.four_wheels_picture import chart_of, table_of
from diagnostics.measurements.four_wheels_words import NAMES, Car, findings_of, headline
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Outcome
from diagnostics.measurements.wheel_tyres import (
    FORMULA,
    TYRE_SOURCE,
    Tyre,
    teeth_field,
    tyre_field,
    tyre_given,
    tyre_of,
)
from shop.units import Kind, format_value, from_si, to_si

_SETS = ("first", "second", "third")
_QUANTITY = "speed_deviation"
_RULE = (
    "Wheels of one car agree to 1.5 % on a straight road at a steady speed, tyres of one size: "
    "common practice, no source."
)
_MOST_DECIMALS = 2
_WHOLE = 1e-6


@dataclass(frozen=True, slots=True)
class _Seen:
    """sets: what each wheel showed for each reading, as typed (SI). speeds: the same, brought to
    one scale; road_unit: the unit of that scale. step: the smallest step shown, same scale;
    step_words: the same as it is said; decimals: shown by the tester."""

    sets: tuple[Mapping[str, float], ...]
    speeds: tuple[Mapping[str, float], ...]
    shown_unit: str
    road_unit: str
    step: float
    step_words: str
    decimals: int


def by_speed(given: Given, known: Known) -> Outcome:
    """Compare the speeds that a tester shows. Raises InputError beside the field."""
    sets = _sets(given)
    unit, step, decimals = _smallest_step(sets, ("km/h", "mph"))
    words = format_value(step, unit)
    return _outcome(given, known, _Seen(sets, sets, unit, unit, step, words, decimals))


def by_frequency(given: Given, known: Known) -> Outcome:
    """Compare frequencies, each divided by its own ring's teeth where they differ. Raises
    InputError beside the field."""
    sets = _sets(given)
    _, step, decimals = _smallest_step(sets, ("Hz",))
    tyre, teeth = tyre_given(given), given.number_or_none("teeth")
    own = _rings(given)
    if teeth is None and own:
        raise InputError("Give the teeth of the other rings too.", "teeth")
    scale = 1.0
    unit = "Hz"
    if teeth is not None and tyre is not None:
        scale, unit = tyre.rolling / teeth, "km/h"
    speeds = tuple(
        {
            wheel: value * scale * (teeth or 1.0) / own.get(wheel, teeth or 1.0)
            for wheel, value in one.items()
        }
        for one in sets
    )
    words = format_value(step, "Hz")
    return _outcome(given, known, _Seen(sets, speeds, "Hz", unit, step * scale, words, decimals))


def _sets(given: Given) -> tuple[Mapping[str, float], ...]:
    """The readings that were made, each with the same wheels."""
    rows = given.rows("wheels")
    if len(rows) < 3:
        raise InputError("Fill in at least three wheels, to tell which one disagrees.", "wheels")
    found = []
    for name in _SETS:
        values = {wheel: row.get(name) for wheel, row in rows.items()}
        filled = {wheel: v for wheel, v in values.items() if isinstance(v, float)}
        missing = [wheel for wheel in values if wheel not in filled]
        if filled and missing:
            raise InputError(
                "Fill this in too: the others of this reading are.",
                f"wheels-{missing[0]}-{name}",
            )
        if filled:
            found.append(filled)
    return tuple(found)


def _rings(given: Given) -> dict[str, int]:
    """Teeth of the rings that are not like the others."""
    counts = {wheel: row.get("teeth") for wheel, row in given.rows("fitted").items()}
    return {wheel: round(n) for wheel, n in counts.items() if isinstance(n, float)}


def _smallest_step(
    sets: Sequence[Mapping[str, float]], units: tuple[str, ...]
) -> tuple[str, float, int]:
    """In which unit and steps the tester shows its values, and with how many decimals: the coarsest
    of whole numbers, tenths and hundredths that makes them all, SI. The first unit and a step of
    nought when none does."""
    values = [value for one in sets for value in one.values()]
    for decimals, unit in product(range(_MOST_DECIMALS + 1), units):
        parts = 10**decimals
        shown = [from_si(value, unit) * parts for value in values]
        if all(abs(value - round(value)) < _WHOLE for value in shown):
            return unit, to_si(1 / parts, unit), decimals
    return units[0], 0.0, _MOST_DECIMALS


def _outcome(given: Given, known: Known, seen: _Seen) -> Outcome:
    with refused_at("wheels"):
        found = compare(seen.speeds, resolution=seen.step)
    car = Car(
        tyre=tyre_given(given),
        teeth=_whole(given.number_or_none("teeth")),
        rings=_rings(given),
        fitted=_fitted(given),
        road_unit=seen.road_unit,
    )
    return Outcome(
        says=headline(found),
        figures=(*_deviations(found, known), *_road(found, seen)),
        findings=findings_of(found, car),
        notes=_notes(found, seen, car),
        table=table_of(found, seen.sets, seen.shown_unit, seen.decimals),
        charts=(chart_of(found, seen.road_unit, _limits(found, known)),),
        sources=(_RULE, FORMULA, TYRE_SOURCE) if car.tyre else (_RULE, FORMULA),
    )


def _whole(value: float | None) -> int | None:
    return None if value is None else round(value)


def _fitted(given: Given) -> dict[str, Tyre]:
    found = {}
    for wheel, row in given.rows("fitted").items():
        words = row.get("tyre")
        tyre = tyre_of(words, f"fitted-{wheel}-tyre") if isinstance(words, str) else None
        if tyre:
            found[wheel] = tyre
    return found


def _deviations(found: Comparison, known: Known) -> tuple[Figure, ...]:
    """Of each wheel the reading furthest off."""
    return tuple(
        Figure(
            _QUANTITY,
            f"{NAMES[wheel.wheel]} against the others",
            wheel.worst,
            "%",
            position=wheel.wheel,
            # In a bend nothing is proved, but a wheel that shows nothing is.
            keep=found.pattern not in ("sides", "none_agree") or wheel.lost,
            decimals=1,
            allowed=None if _limit_of(known, wheel.wheel) else _rule(found.allowed[wheel.at]),
            uncertainty=found.steps[wheel.at] or None,
            reason=found.reason,
        )
        for wheel in found.wheels
    )


def _rule(most: float) -> Allowed:
    return Allowed("%", _RULE, -most, most, "straight and steady")


def _limit_of(known: Known, wheel: str) -> tuple[float | None, float | None] | None:
    limit = known.limits.get(f"{_QUANTITY}/{wheel}") or known.limits.get(_QUANTITY)
    return (limit.limit.low, limit.limit.high) if limit else None


def _limits(found: Comparison, known: Known) -> tuple[float, float]:
    """What the picture draws: the catalogue's limit for the first wheel, or the rule."""
    low, high = _limit_of(known, found.wheels[0].wheel) or (None, None)
    most = max(found.allowed)
    return (-most if low is None else low, most if high is None else high)


def _road(found: Comparison, seen: _Seen) -> tuple[Figure, ...]:
    if seen.road_unit == "Hz":
        return ()
    return tuple(
        Figure("wheel_road_speed", f"Road speed, {name} reading", road, seen.road_unit, decimals=1)
        for name, road in zip(_SETS, found.road, strict=False)
    )


def _notes(found: Comparison, seen: _Seen, car: Car) -> tuple[str, ...]:
    notes = [found.reason]
    most = max(found.allowed)
    if most > AGREES_WITHIN:
        notes.append(
            f"The values are in steps of {seen.step_words}, so differences below "
            f"{format_value(most, '%', digits=2)} prove nothing at the lowest speed. Read at a "
            "higher one."
        )
    if len(found.road) == 1 and found.pattern != "sides" and _some(found, "off"):
        notes.append(
            "One speed does not show whether a difference stays the same. A second reading at "
            "another speed tells a tyre or ring from a failing sensor."
        )
    if len(found.wheels) == 3:
        notes.append(
            "Three wheels were read: with three, a single one that disagrees is less sure."
        )
    if car.tyre:
        notes += car.tyre.size.notes
    return tuple(notes)


def _some(found: Comparison, state: str) -> bool:
    return any(wheel.state == state for wheel in found.wheels)


def _grid(kind: Kind, unit: str, highest: float, help: str) -> Grid:
    column = partial(Number, kind=kind, unit=unit, lowest=0.0, highest=highest)
    return Grid(
        "wheels",
        "What each wheel shows",
        FOUR_WHEELS,
        (
            column("first", "First"),
            column("second", "Second", required=False),
            column("third", "Third", required=False),
        ),
        least=3,
        help=help,
    )


def _fitted_grid(*, teeth: bool) -> Grid:
    size = Words("tyre", "Tyre fitted", required=False)
    ring = teeth_field(required=False)
    return Grid(
        "fitted",
        "Where a wheel is not like the others",
        FOUR_WHEELS,
        (size, ring) if teeth else (size,),
        least=0,
        help="Only wheels with another tyre size" + (" or another ring." if teeth else "."),
    )


_CAUTIONS = (
    "Two people: one drives, the other reads.",
    "Straight road, steady speed, all wheels at the same moment: in a bend they differ by nature.",
    "Make sure of a firm pedal first. With the red brake lamp on, keep off the public road.",
)
_QUANTITIES = (
    DerivedQuantity(_QUANTITY, "Wheel speed against the others", Kind.RATIO, "%"),
    DerivedQuantity("wheel_road_speed", "Road speed of the wheel", Kind.SPEED, "km/h"),
)
_NOUGHT = (
    "One reading is enough; a second at another speed makes it surer. Type 0 for a wheel that "
    "shows nothing."
)

BY_SPEED = MeasurementKind(
    key="four_wheels",
    name="Four wheel speeds compared",
    group=Group.WHEEL_SPEED,
    purpose="Which wheel disagrees with the others, by how much, and what that looks like.",
    cautions=_CAUTIONS,
    fields=(
        _grid(Kind.SPEED, "km/h", 100.0, _NOUGHT),
        tyre_field(required=False, help="Of the wheels that are right."),
        teeth_field(required=False),
        _fitted_grid(teeth=False),
    ),
    quantities=_QUANTITIES,
    work_out=by_speed,
)

BY_FREQUENCY = MeasurementKind(
    key="four_wheel_frequencies",
    name="Four wheel frequencies compared",
    group=Group.WHEEL_SPEED,
    purpose="The same from the frequencies of the sensors, where the tester shows no speeds.",
    cautions=_CAUTIONS,
    fields=(
        _grid(Kind.FREQUENCY, "Hz", 20_000.0, _NOUGHT),
        tyre_field(required=False, help="Of the wheels that are right."),
        teeth_field(required=False, help="Of the rings that are alike."),
        _fitted_grid(teeth=True),
    ),
    quantities=_QUANTITIES,
    work_out=by_frequency,
)

KINDS: tuple[MeasurementKind, ...] = (BY_SPEED, BY_FREQUENCY)
