"""Road speed and sensor frequency into each other, by tyre and teeth; all kinds of wheel speed.
Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute import wheel_speed as compute
from diagnostics.measurements import four_wheels, hand_spin
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from diagnostics.measurements.wheel_tyres import (
    FORMULA,
    TYRE_SOURCE,
    Tyre,
    rolled_in_words,
    teeth_field,
    tyre_field,
    tyre_given,
)
from shop.charting import Axis, Chart, Dots, Line, Table
from shop.units import Kind, format_number, format_value, from_si, to_si

_SPEEDS = (10.0, 30.0, 50.0, 80.0, 100.0, 130.0)
_AGREES = 0.03
"""Ratio by which a measured pair may differ from its formula: tyre wear and a speedometer."""


@dataclass(frozen=True, slots=True)
class _Wheel:
    """teeth, and the distance rolled in one turn, m; `plain` of the unloaded circle."""

    teeth: float
    rolled: float
    plain: float | None
    words: str

    def hertz(self, speed: float) -> float:
        return compute.frequency(teeth=self.teeth, speed=speed, circumference=self.rolled)

    def speed(self, hertz: float) -> float:
        return compute.road_speed(teeth=self.teeth, hertz=hertz, circumference=self.rolled)


def convert(given: Given, known: Known) -> Outcome:
    """Speed into frequency or back, or both held against each other. Raises InputError."""
    tyre = tyre_given(given)
    wheel = _wheel(given, tyre)
    speed, hertz = given.number_or_none("speed"), given.number_or_none("frequency")
    if speed is None and hertz is None:
        raise InputError("Give the road speed, the frequency, or both to compare them.", "speed")
    if (speed == 0 or hertz == 0) and not (speed == 0 and hertz == 0):
        field = "speed" if speed == 0 else "frequency"
        raise InputError("Nought says nothing here: give a value of the turning wheel.", field)
    said, figures, findings = _answers(wheel, speed, hertz)
    shown = speed if speed is not None else wheel.speed(hertz or 0.0)
    notes = [rolled_in_words(tyre), *tyre.size.notes] if tyre else []
    if given.number_or_none("circumference") is not None:
        notes.append("Worked out with the distance measured, not with the tyre size.")
    return Outcome(
        says=said,
        figures=(*figures, *_of_the_wheel(wheel)),
        findings=findings,
        notes=tuple(notes),
        table=_table(wheel),
        charts=(_chart(wheel, shown, hertz),),
        sources=(FORMULA, TYRE_SOURCE) if tyre else (FORMULA,),
    )


def _wheel(given: Given, tyre: Tyre | None) -> _Wheel:
    measured = given.number_or_none("circumference")
    teeth = given.number("teeth")
    if measured is not None:
        words = f"{format_value(measured, 'mm', decimals=0)} rolled in one turn"
        return _Wheel(teeth, measured, tyre.plain if tyre else None, words)
    if tyre is None:
        raise InputError("Give the tyre size, or the distance rolled in one turn.", "tyre")
    return _Wheel(teeth, tyre.rolling, tyre.plain, tyre.words)


def _answers(
    wheel: _Wheel, speed: float | None, hertz: float | None
) -> tuple[str, list[Figure], tuple[Finding, ...]]:
    with_what = f"with {wheel.teeth:g} teeth and {wheel.words}"
    figures = []
    said = ""
    if speed is not None:
        expected = wheel.hertz(speed)
        said = (
            f"{format_value(speed, 'km/h')} gives {format_value(expected, 'Hz', digits=4)} "
            f"{with_what}."
        )
        name = "Expected frequency" if hertz is not None else "Frequency"
        figures.append(Figure("wheel_frequency", name, expected, "Hz", reason=FORMULA))
    if hertz is not None:
        rolling = wheel.speed(hertz)
        if speed is None:
            said = (
                f"{format_value(hertz, 'Hz')} is {format_value(rolling, 'km/h', digits=4)} "
                f"{with_what}."
            )
        figures.append(Figure("wheel_road_speed", "Road speed", rolling, "km/h", reason=FORMULA))
    if speed is None or hertz is None:
        return said, figures, ()
    return said, *_compared(wheel, speed, hertz, figures)


def _compared(
    wheel: _Wheel, speed: float, hertz: float, figures: list[Figure]
) -> tuple[list[Figure], tuple[Finding, ...]]:
    off = hertz / wheel.hertz(speed) - 1
    implied = compute.teeth_implied(hertz=hertz, speed=speed, circumference=wheel.rolled)
    more = [
        Figure("frequency_off", "Measured against expected", off, "%", decimals=1),
        Figure("teeth_implied", "Teeth that would fit", implied, "count", decimals=1),
    ]
    if abs(off) <= _AGREES:
        says = (
            f"The frequency fits speed, teeth and tyre to "
            f"{format_value(abs(off), '%', decimals=1)}. A worn tyre and a speedometer make that."
        )
        return figures + more, (Finding("good", says),)
    says = (
        f"The frequency is {format_value(abs(off), '%', decimals=1)} too "
        f"{'high' if off > 0 else 'low'} for {wheel.teeth:g} teeth; "
        f"{format_number(implied, decimals=1)} would fit. Count the teeth, read the tyre, and take "
        "the speed from something better than the speedometer before a sensor is blamed."
    )
    return figures + more, (Finding("bad", says),)


def _of_the_wheel(wheel: _Wheel) -> list[Figure]:
    per_hertz = wheel.speed(1.0)
    found = [
        Figure("rolled_in_one_turn", "Rolled in one turn", wheel.rolled, "mm", decimals=0),
        Figure("speed_per_hertz", "Road speed for each hertz", per_hertz, "km/h", decimals=4),
    ]
    if wheel.plain is not None:
        shorter = 1 - wheel.rolled / wheel.plain
        found += [
            Figure("plain_circumference", "Plain circumference", wheel.plain, "mm", decimals=0),
            Figure("rolls_shorter", "Rolls shorter than plain", shorter, "%", decimals=1),
        ]
    return found


def _table(wheel: _Wheel) -> Table:
    heads = ["Road speed", "Frequency"]
    plain = wheel.plain
    if plain is not None:
        heads.append("With the plain circle")
    rows = []
    for kmh in _SPEEDS:
        speed = to_si(kmh, "km/h")
        row = [format_value(speed, "km/h"), format_value(wheel.hertz(speed), "Hz", decimals=1)]
        if plain is not None:
            other = compute.frequency(teeth=wheel.teeth, speed=speed, circumference=plain)
            row.append(format_value(other, "Hz", decimals=1))
        rows.append(tuple(row))
    return Table("Frequency at usual speeds", tuple(heads), tuple(rows))


def _chart(wheel: _Wheel, speed: float, measured: float | None) -> Chart:
    end = max(to_si(_SPEEDS[-1], "km/h"), 1.1 * speed)
    top = wheel.hertz(end)
    line = Line("Worked out", ((0.0, 0.0), (from_si(end, "km/h"), top)))
    at = (from_si(speed, "km/h"), measured if measured is not None else wheel.hertz(speed))
    dot = Dots("Measured" if measured is not None else "Asked for", (at,), role="second")
    return Chart(
        title="Frequency over road speed",
        says=(
            f"A straight line from nought to {format_value(top, 'Hz', digits=3)} at "
            f"{format_value(end, 'km/h', digits=3)}, with one point at {format_number(at[0])} km/h."
        ),
        x=Axis("Road speed", "km/h", zero=True),
        y=Axis("Frequency", "Hz", zero=True),
        layers=(line, dot),
    )


CONVERT = MeasurementKind(
    key="wheel_speed_convert",
    name="Frequency and road speed",
    group=Group.WHEEL_SPEED,
    purpose="What a sensor should give at a road speed, or which road speed a frequency means.",
    fields=(
        tyre_field(required=False, help="From the sidewall, such as 185/65 R15."),
        Number(
            "circumference",
            "Rolled in one turn, measured",
            Kind.LENGTH,
            "mm",
            required=False,
            lowest=0.8,
            highest=4.0,
            usual=(1.4, 2.8),
            help="Chalk one turn on the floor. Leave empty to take it from the tyre size.",
        ),
        teeth_field(),
        Number("speed", "Road speed", Kind.SPEED, "km/h", required=False, lowest=0, highest=100),
        Number(
            "frequency",
            "Frequency",
            Kind.FREQUENCY,
            "Hz",
            required=False,
            lowest=0,
            highest=20_000,
            help="Fill in one of the two, or both to see whether they fit each other.",
        ),
    ),
    quantities=(
        DerivedQuantity("wheel_frequency", "Frequency of the wheel", Kind.FREQUENCY, "Hz"),
        DerivedQuantity("wheel_road_speed", "Road speed of the wheel", Kind.SPEED, "km/h"),
        DerivedQuantity("frequency_off", "Frequency against expected", Kind.RATIO, "%"),
        DerivedQuantity("teeth_implied", "Teeth that would fit", Kind.COUNT, "count"),
        DerivedQuantity("rolled_in_one_turn", "Rolled in one turn", Kind.LENGTH, "mm"),
        DerivedQuantity("plain_circumference", "Plain circumference", Kind.LENGTH, "mm"),
        DerivedQuantity("rolls_shorter", "Rolls shorter than plain", Kind.RATIO, "%"),
        DerivedQuantity("speed_per_hertz", "Road speed for each hertz", Kind.SPEED, "km/h"),
    ),
    work_out=convert,
    place="any",
)

KINDS: tuple[MeasurementKind, ...] = (*four_wheels.KINDS, hand_spin.KIND, CONVERT)
