"""A wheel-speed sensor's signal from an instrument's file, and a switched drive's. Pure."""

from __future__ import annotations

from diagnostics.compute.waveform import Pulses, Sensor, Waveform, analyse
from diagnostics.compute.waveform_modulation import OncePerTurn
from diagnostics.measurements import pwm_capture
from diagnostics.measurements.channels import CHANNEL, channel_given, unit_of
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import least_allowed, refused_at
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from diagnostics.measurements.waveform_charts import draw, unit_of_height
from diagnostics.measurements.waveform_findings import Currents, findings
from diagnostics.measurements.wheel_tyres import (
    FORMULA,
    TYRE_SOURCE,
    Tyre,
    teeth_field,
    tyre_field,
    tyre_given,
)
from shop.units import Kind, format_number, format_value

_PP_LEAST = 0.13
_HAND_TURNS = 2.0
_PP_SOURCE = (
    "At least 130 mV peak to peak turned by hand, a passive sensor: as printed on makers' service "
    "pages in a public archive (read there)."
)
_CURRENT_SOURCE = (
    "Two-wire active sensor on 12 V: 5.9 to 8.4 mA low, 11.8 to 16.8 mA high, as printed on "
    "makers' service pages in a public archive (read there)."
)
_OWN_SOURCE = (
    "Edges, missing teeth, once-per-turn waves and drop-outs: own method, tried on made signals "
    "with known faults; its thresholds are common practice, no source."
)
_SENSORS = {"passive": Sensor.COIL, "current": Sensor.CURRENT, "voltage": Sensor.VOLTAGE}


def work_out(given: Given, known: Known) -> Outcome:
    """Read the signal in `known.capture`. Raises InputError without one, and for a channel that the
    file has not."""
    capture = known.capture
    if capture is None:
        raise InputError("Give the instrument's file: the signal is read from it.")
    channel = channel_given(given, capture)
    seconds, signal = capture.seconds, capture.channels[channel]
    unit = unit_of(capture, channel)
    sensor = _SENSORS[given.choice("sensor")]
    teeth = given.number_or_none("teeth")
    with refused_at("teeth"):
        waveform = analyse(seconds, signal, sensor, teeth=int(teeth) if teeth else None)
    currents = _currents(waveform, given.number_or_none("sense_resistance"), unit)
    moved = given.choice("moved") == "yes"
    told = findings(waveform, known, moved=moved, currents=currents, unit=unit)
    tyre = tyre_given(given)
    figures: tuple[Figure, ...] = ()
    if waveform.pulses is not None:
        figures = _figures(waveform, waveform.pulses, known, currents, tyre, unit)
        weak = _too_weak(waveform, waveform.pulses, known)
        told = (weak, *told) if weak else told
    return Outcome(
        says=_says(waveform, tyre, unit),
        figures=figures,
        findings=told,
        notes=(*_notes(waveform, given, unit), *capture.read_as),
        charts=draw(waveform, seconds, signal, unit=unit),
        sources=_sources(sensor, tyre),
    )


def _says(waveform: Waveform, tyre: Tyre | None, unit: str) -> str:
    pulses = waveform.pulses
    if pulses is None:
        return f"No wheel-speed signal was read. {waveform.reason}"
    slow, fast = (format_value(f, "Hz", digits=3) for f in (pulses.lowest_hz, pulses.highest_hz))
    shown = unit_of_height(pulses, unit)
    speed = ""
    if tyre and pulses.ring.teeth:
        low, high = (
            format_value(f * tyre.rolling / pulses.ring.teeth, "km/h", decimals=1)
            for f in (pulses.lowest_hz, pulses.highest_hz)
        )
        speed = f" ({low} to {high} on this tyre)"
    turns = f" and {pulses.ring.turns:.1f} turns" if pulses.ring.turns else ""
    return (
        f"{pulses.train.places.size} pulses{turns}, {slow} to {fast}{speed}, "
        f"{format_value(pulses.swing_at_lowest, shown, digits=3)} peak to peak at the slowest."
    )


def _currents(waveform: Waveform, ohms: float | None, unit: str) -> Currents | None:
    if waveform.sensor is not Sensor.CURRENT or waveform.pulses is None:
        return None
    levels = waveform.pulses.levels
    per = 1.0 if unit == "A" else ohms
    if levels is None or per is None or not levels.two:
        return None
    # Leads the other way round turn both levels' signs and their order.
    low, high = sorted((abs(levels.low), abs(levels.high)))
    return Currents(low / per, high / per)


def _too_weak(waveform: Waveform, pulses: Pulses, known: Known) -> Finding | None:
    """A coil whose whole turn is low."""
    if waveform.sensor is not Sensor.COIL:
        return None
    least = least_allowed("signal_peak_to_peak", known)
    least = _PP_LEAST if least is None and _by_hand(pulses) else least
    if least is None or pulses.swing_at_lowest >= least:
        return None
    return Finding(
        "bad",
        f"The signal is weak all round: {format_value(pulses.swing_at_lowest, 'mV', digits=3)} at "
        f"{format_value(pulses.slow_hz, 'Hz', digits=3)}. A wide gap, a packed ring, a weak sensor "
        "and a partly shorted winding all look like this: measure gap and winding next.",
    )


def _by_hand(pulses: Pulses) -> bool:
    return pulses.ring.teeth is not None and pulses.slow_hz <= _HAND_TURNS * pulses.ring.teeth


def _figures(
    waveform: Waveform,
    pulses: Pulses,
    known: Known,
    currents: Currents | None,
    tyre: Tyre | None,
    unit: str,
) -> tuple[Figure, ...]:
    figures = [*_height_figures(waveform, pulses, known, unit), *_ring_figures(pulses)]
    drop_outs = pulses.drop_outs
    figures.append(
        Figure(
            "drop_outs",
            "Drop-outs",
            float(len(drop_outs.silent) + drop_outs.more),
            "count",
            keep=True,
            reason=drop_outs.reason,
        )
    )
    if currents is not None:
        for key, name, value in (
            ("sensor_low_current", "Low level", currents.low),
            ("sensor_high_current", "High level", currents.high),
        ):
            reason = "Median of the samples on this level, outside of drop-outs."
            figures.append(Figure(key, name, value, "mA", keep=True, decimals=2, reason=reason))
    if pulses.levels is not None:
        figures.append(Figure("signal_duty", "High for", pulses.levels.duty, "%", decimals=1))
    figures += [
        Figure("signal_frequency_low", "Lowest frequency", pulses.lowest_hz, "Hz"),
        Figure("signal_frequency_high", "Highest frequency", pulses.highest_hz, "Hz"),
    ]
    if tyre and pulses.ring.teeth:
        speed = pulses.highest_hz * tyre.rolling / pulses.ring.teeth
        figures.append(Figure("wheel_road_speed", "Highest road speed", speed, "km/h", decimals=1))
    return tuple(figures)


def _height_figures(waveform: Waveform, pulses: Pulses, known: Known, unit: str) -> list[Figure]:
    if unit == "A":
        return []
    coil = waveform.sensor is Sensor.COIL
    own = known.limits.get("signal_peak_to_peak")
    allowed = None
    if coil and own is None and _by_hand(pulses):
        allowed = Allowed("mV", _PP_SOURCE, low=_PP_LEAST, conditions="turned by hand")
    return [
        Figure(
            "signal_peak_to_peak",
            "Peak to peak at the slowest",
            pulses.swing_at_lowest,
            "mV",
            keep=coil,
            allowed=allowed,
            reason=f"Median of the slowest tenth of the teeth, at "
            f"{format_value(pulses.slow_hz, 'Hz', digits=3)}.",
        )
    ]


def _ring_figures(pulses: Pulses) -> list[Figure]:
    ring = pulses.ring
    figures = []
    if ring.teeth is not None and ring.turns >= 2:
        count = ring.count("missing") + ring.count("damaged")
        figures.append(
            Figure(
                "missing_teeth",
                "Missing or damaged teeth",
                float(count),
                "count",
                keep=True,
                reason=ring.reason,
            )
        )
    for key, name, wave, keep in (
        ("once_per_turn_modulation", "Height, once a turn", pulses.height_wave, True),
        ("pitch_modulation", "Pitch, once a turn", pulses.pitch_wave, False),
    ):
        if isinstance(wave, OncePerTurn):
            figures.append(
                Figure(
                    key,
                    name,
                    wave.size,
                    "%",
                    keep=keep,
                    uncertainty=2 * wave.error,
                    decimals=2,
                    reason=f"To either side of the mean. {wave.reason}",
                )
            )
    return figures


def _notes(waveform: Waveform, given: Given, unit: str) -> tuple[str, ...]:
    pulses = waveform.pulses
    notes = list(waveform.doubts)
    if pulses is None:
        return tuple(notes)
    ring = pulses.ring
    if ring.inferred and not ring.contradicts:
        notes.append(
            f"The number of teeth, {ring.teeth}, was inferred from a pattern that repeats: count "
            "them before you trust the place."
        )
    notes.append(ring.reason)
    notes += [wave for wave in {pulses.height_wave, pulses.pitch_wave} if isinstance(wave, str)]
    if waveform.sensor is Sensor.COIL:
        notes.append(_per_hertz(pulses))
    unscaled = unit != "A" and given.number_or_none("sense_resistance") is None
    if waveform.sensor is Sensor.CURRENT and unscaled:
        notes.append("Without the sense resistor's value the levels stay volts.")
    if pulses.heights.noise_db is not None:
        more = "60 dB or more" if pulses.heights.noise_db >= 60 else None
        said = more or f"{format_number(pulses.heights.noise_db, decimals=0)} dB"
        notes.append(f"Signal to noise, rms to rms: {said}.")
    if pulses.drop_outs.holes:
        notes.append(
            f"{pulses.drop_outs.holes} gaps lie in holes of the recording itself and were left out."
        )
    return tuple(dict.fromkeys(notes))


def _per_hertz(pulses: Pulses) -> str:
    per = format_value(pulses.volts_per_hertz, "mV", digits=3)
    said = f"{per} peak to peak for each hertz: compare that with the other side, at any speed."
    if pulses.ring.teeth:
        turn = format_value(pulses.volts_per_hertz * pulses.ring.teeth, "mV", digits=3)
        said += f" At one turn a second that is {turn}."
    return said


def _sources(sensor: Sensor, tyre: Tyre | None) -> tuple[str, ...]:
    kind = {Sensor.COIL: (_PP_SOURCE,), Sensor.CURRENT: (_CURRENT_SOURCE,)}.get(sensor, ())
    return (_OWN_SOURCE, *kind, *((FORMULA, TYRE_SOURCE) if tyre else ()))


KIND = MeasurementKind(
    key="sensor_waveform",
    name="Wheel-speed signal from a capture",
    group=Group.WHEEL_SPEED,
    purpose=(
        "Tell a broken tooth, a ring out of true, a weak sensor and a wire that opens apart, from "
        "the signal itself."
    ),
    place="wheel",
    capture="must",
    cautions=(
        "Lift only at the maker's points, with stands under the car and the other wheels chocked.",
        (
            "Keep fingers, sleeves and leads away from the turning wheel. Where the engine drives "
            "it, one person stays at the pedal and nobody stands beside the wheel."
        ),
        "A raised wheel that turns with the key on sets a flag.",
    ),
    fields=(
        Choice(
            "sensor",
            "Sensor",
            (
                ("passive", "Passive, a coil"),
                ("current", "Active, two wires"),
                ("voltage", "Active, three wires"),
            ),
            known="sensor_kind",
        ),
        teeth_field(
            required=False,
            help="Of this wheel's ring; for an active sensor its pole pairs. Needed for the place "
            "of a bad tooth.",
        ),
        Choice(
            "moved",
            "Was the harness moved during the capture?",
            (("yes", "Yes"), ("no", "No")),
        ),
        Number(
            "sense_resistance",
            "Sense resistor",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            known="sense_resistance",
            lowest=0.1,
            highest=10_000,
            usual=(10, 1000),
            help="Two-wire sensor: the resistor across which the voltage was captured.",
        ),
        CHANNEL,
        tyre_field(required=False, help="To show the road speed."),
    ),
    quantities=(
        DerivedQuantity("signal_peak_to_peak", "Signal, peak to peak", Kind.VOLTAGE, "mV"),
        DerivedQuantity("missing_teeth", "Missing or broken teeth", Kind.COUNT, "count"),
        DerivedQuantity(
            "once_per_turn_modulation",
            "Once-per-turn change of the signal's height",
            Kind.RATIO,
            "%",
        ),
        DerivedQuantity(
            "pitch_modulation", "Once-per-turn change of the tooth pitch", Kind.RATIO, "%"
        ),
        DerivedQuantity("drop_outs", "Drop-outs of the signal", Kind.COUNT, "count"),
        DerivedQuantity("sensor_low_current", "Sensor current, low level", Kind.CURRENT, "mA"),
        DerivedQuantity("sensor_high_current", "Sensor current, high level", Kind.CURRENT, "mA"),
        DerivedQuantity("signal_duty", "Share of a pulse at the high level", Kind.RATIO, "%"),
        DerivedQuantity("signal_frequency_low", "Lowest frequency", Kind.FREQUENCY, "Hz"),
        DerivedQuantity("signal_frequency_high", "Highest frequency", Kind.FREQUENCY, "Hz"),
        DerivedQuantity("wheel_road_speed", "Road speed of the wheel", Kind.SPEED, "km/h"),
    ),
    work_out=work_out,
)

KINDS: tuple[MeasurementKind, ...] = (KIND, pwm_capture.KIND)
