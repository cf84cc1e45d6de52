"""A switched drive from an instrument's file: duty, frequency, levels and mean current. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.captures import Samples
from diagnostics.compute.pwm_capture import Pwm, judge_pwm, mean_current, mean_over_periods
from diagnostics.compute.waveform_arrays import Numbers
from diagnostics.measurements.channels import CHANNEL, channel_given, level_text, unit_of
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import TONES, refused_at
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from diagnostics.measurements.pwm_charts import draw
from shop.units import Kind, format_value

_FORMULA = "I = D V / R for a coil switched fast: mean voltage over resistance (textbook)."
_OWN = "Duty and frequency of each period by its edges: definition; thresholds are own ones."

# Common practice, no source: so far apart two duties are different, and two currents disagree.
_DUTY_APART, _CURRENTS_APART = 0.05, 0.15
_DRIVEN_VOLTS = 6.0


@dataclass(frozen=True, slots=True)
class _Current:
    """Mean current by what was given, ampere; None where it was not."""

    reckoned: float | None
    measured: float | None

    @property
    def best(self) -> float | None:
        return self.reckoned if self.measured is None else self.measured


def work_out(given: Given, known: Known) -> Outcome:
    """Read the drive in `known.capture`. Raises InputError without one, for a channel that the file
    has not, and for a current's channel in volts without its resistor."""
    capture = known.capture
    if capture is None:
        raise InputError("Give the instrument's file: the drive is read from it.")
    channel = channel_given(given, capture)
    across = given.choice("connected") == "across"
    seconds, volts = capture.seconds, capture.channels[channel]
    pwm = judge_pwm(seconds, volts, on_when_high=across)
    current = _Current(
        _reckoned(pwm, given.number_or_none("resistance"), across=across),
        _measured(pwm, given, capture, channel),
    )
    told = _findings(pwm, given, current, across=across)
    return Outcome(
        says=_says(pwm, current),
        figures=_figures(pwm, current) if pwm.switches else (),
        findings=tuple(sorted(told, key=lambda one: TONES.index(one.tone))),
        notes=(pwm.reason, *_notes(given, current), *capture.read_as),
        charts=draw(pwm, seconds, volts, unit_of(capture, channel)),
        sources=(_OWN, _FORMULA) if current.reckoned is not None else (_OWN,),
        engine=given.choice("engine"),
    )


def _reckoned(pwm: Pwm, ohms: float | None, *, across: bool) -> float | None:
    if ohms is None or not pwm.switches:
        return None
    on, off = pwm.on_volts, pwm.off_volts
    if not across:
        # The far end is at the supply, where the switched end stands too while it is off.
        on, off = pwm.off_volts - pwm.on_volts, 0.0
    with refused_at("resistance"):
        return mean_current(pwm.duty_at, on, off, ohms)


def _measured(pwm: Pwm, given: Given, capture: Samples, drive: int) -> float | None:
    if given.number_or_none("current_channel") is None:
        return None
    channel = channel_given(given, capture, "current_channel")
    if channel == drive:
        raise InputError("The current needs a channel of its own.", "current_channel")
    ohms = 1.0 if unit_of(capture, channel) == "A" else given.number_or_none("shunt")
    if ohms is None:
        raise InputError(
            "This channel is in volts: give the resistor across which it was captured.", "shunt"
        )
    begin, end = (
        (float(pwm.seconds[0]), float(pwm.seconds[-1])) if pwm.duty.size > 1 else (0.0, 0.0)
    )
    values: Numbers = capture.channels[channel]
    return abs(mean_over_periods(capture.seconds, values, begin, end)) / ohms


def _says(pwm: Pwm, current: _Current) -> str:
    if not pwm.switches:
        return f"{pwm.reason} The line stands at {level_text(pwm.resting, 'V')}."
    amps = current.best
    flows = f", {format_value(amps, 'A', digits=3)} on the mean" if amps is not None else ""
    return (
        f"Driven for {format_value(pwm.duty_at, '%', digits=3)} of the time at "
        f"{format_value(pwm.hertz_at, 'Hz', digits=3)}{flows}."
    )


def _figures(pwm: Pwm, current: _Current) -> tuple[Figure, ...]:
    figures = [
        Figure(
            "pwm_duty",
            "Duty",
            pwm.duty_at,
            "%",
            keep=True,
            decimals=1,
            reason=f"Median of {pwm.duty.size} periods.",
        ),
        Figure(
            "pwm_frequency",
            "Frequency",
            pwm.hertz_at,
            "Hz",
            keep=True,
            reason=f"Median of {pwm.duty.size} periods.",
        ),
        Figure("pwm_duty_spread", "Duty moves by", pwm.duty_to - pwm.duty_from, "%", decimals=1),
        Figure("pwm_on_level", "Level while driven", pwm.on_volts, "V", decimals=2),
        Figure("pwm_off_level", "Level while off", pwm.off_volts, "V", decimals=2),
    ]
    if current.best is not None:
        how = (
            "Mean voltage over the resistance given."
            if current.measured is None
            else "Mean of the current's channel over whole periods."
        )
        figures.append(
            Figure("actuator_current", "Mean current", current.best, "A", keep=True, reason=how)
        )
    return tuple(figures)


def _findings(pwm: Pwm, given: Given, current: _Current, *, across: bool) -> list[Finding]:
    if not pwm.switches:
        return [_still(pwm, across=across)]
    found = []
    span = f"{_percent(pwm.duty_from)} to {_percent(pwm.duty_to)}"
    if pwm.duty_to - pwm.duty_from > _DUTY_APART:
        found.append(
            Finding(
                "unknown",
                f"The duty moves between {span}: the command changes, or the signal is disturbed. "
                "Hold speed and temperature, and capture again.",
            )
        )
    if not pwm.steady:
        found.append(
            Finding(
                "near",
                "The periods are not of equal length: a loose contact, noise, or a drive that "
                "skips. Look at the picture of the signal.",
            )
        )
    wanted = given.number_or_none("wanted_duty")
    if wanted is not None:
        found.append(_against(pwm.duty_at, wanted))
    if current.reckoned and current.measured is not None:
        found.append(_of_currents(current.reckoned, current.measured))
    if not found:
        found.append(
            Finding(
                "good",
                f"The drive is steady, {span}. It shows the command and the wire up to here, not "
                "whether the actuator follows it.",
            )
        )
    return found


def _percent(ratio: float) -> str:
    return format_value(ratio, "%", decimals=1)


def _still(pwm: Pwm, *, across: bool) -> Finding:
    shown = level_text(pwm.resting, "V")
    high = abs(pwm.resting) >= _DRIVEN_VOLTS
    if high == across:
        return Finding(
            "unknown",
            f"At {shown} the load is driven without a pause, if at all: a command of 100 %, a "
            "switch that stays closed, or a short. Compare with the module's own command.",
        )
    return Finding(
        "unknown",
        f"At {shown} nothing drives the load: no command, an open wire before this point, or a "
        "blown fuse. Compare with the module's own command.",
    )


def _against(duty: float, wanted: float) -> Finding:
    if abs(duty - wanted) <= _DUTY_APART:
        return Finding("good", f"{_percent(duty)} fits the {_percent(wanted)} that is wanted.")
    return Finding(
        "bad",
        f"{_percent(duty)} where {_percent(wanted)} is wanted. The duty is the module's command: "
        "look at what it goes by first. Driven and off change places when the capture was made "
        "at the other end of the load.",
    )


def _of_currents(reckoned: float, measured: float) -> Finding:
    both = (
        f"{format_value(measured, 'A', digits=3)} flow where the resistance lets expect "
        f"{format_value(reckoned, 'A', digits=3)}"
    )
    if abs(measured / reckoned - 1) <= _CURRENTS_APART:
        return Finding("good", f"{both}: coil and wiring carry what they should.")
    if measured < reckoned:
        return Finding(
            "bad",
            f"{both}. A bad contact in the circuit, or a coil hotter or of more ohms than given, "
            "does that.",
        )
    return Finding(
        "bad",
        f"{both}. Shorted turns, a second path, or a coil colder than given does that.",
    )


def _notes(given: Given, current: _Current) -> tuple[str, ...]:
    if current.reckoned is None:
        return ()
    ohms = format_value(given.number("resistance"), "ohm", digits=3)
    return (f"Reckoned with {ohms}: take the coil's resistance at the temperature it has now.",)


KIND = MeasurementKind(
    key="pwm_capture",
    name="Switched drive from a capture",
    group=Group.ELECTRICS,
    purpose="Duty, frequency, levels and mean current of an actuator that is switched fast.",
    place="any",
    capture="must",
    cautions=(
        (
            "Probe without piercing insulation, and without bridging two pins. Lead the "
            "instrument's wires clear of anything that turns or gets hot."
        ),
        "A coil switched off throws a spike of many times the supply: use a probe made for it.",
    ),
    fields=(
        Choice(
            "connected",
            "Captured",
            (
                ("across", "Across the load, high is on"),
                ("switched", "At the switched end, low is on"),
            ),
        ),
        Choice(
            "engine",
            "Engine during the capture",
            (("running", "Running"), ("off", "Off")),
            required=False,
            help="Some limits hold only with the engine running.",
        ),
        CHANNEL,
        Number(
            "resistance",
            "Resistance of the load",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            known="actuator_coil_resistance",
            lowest=0.05,
            highest=100_000,
            usual=(0.5, 500),
            help="For the mean current.",
        ),
        Number(
            "current_channel",
            "Channel of the current",
            Kind.COUNT,
            "count",
            required=False,
            lowest=1,
            highest=8,
            whole=True,
            help="Where the current was captured as well.",
        ),
        Number(
            "shunt",
            "Resistor for the current",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            lowest=0.0001,
            highest=1000,
            help="Where that channel is in volts.",
        ),
        Number(
            "wanted_duty",
            "Duty wanted",
            Kind.RATIO,
            "%",
            required=False,
            known="actuator_duty",
            lowest=0,
            highest=1,
            help="From the maker's information or the module's data.",
        ),
    ),
    quantities=(
        DerivedQuantity("pwm_duty", "Duty of the drive", Kind.RATIO, "%"),
        DerivedQuantity("pwm_frequency", "Frequency of the drive", Kind.FREQUENCY, "Hz"),
        DerivedQuantity("pwm_duty_spread", "Range of the duty", Kind.RATIO, "%"),
        DerivedQuantity("pwm_on_level", "Level while driven", Kind.VOLTAGE, "V"),
        DerivedQuantity("pwm_off_level", "Level while off", Kind.VOLTAGE, "V"),
        DerivedQuantity("actuator_current", "Mean current of the actuator", Kind.CURRENT, "A"),
    ),
    work_out=work_out,
)
