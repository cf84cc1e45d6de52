"""The coil of a relay or valve at work: current, power, pull-in, and what sits beside it. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.electrics import resistance_at_20c
from diagnostics.compute.electrics_coil import (
    RELEASE_SHARE,
    CoilAtWork,
    coil_at_work,
    pull_in_when_warm,
    without_parallel,
)
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.electrics_coils import COILS, NAMES
from diagnostics.measurements.electrics_words import (
    COLDEST,
    HOTTEST,
    IEC_60028,
    NO_SQUIB,
    OHM,
    POWER_OFF,
    amps,
    celsius,
    degrees,
    ohms,
    volts,
    watts,
)
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at, verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.charting import Table
from shop.units import Kind, format_value, to_si

_TWENTY = to_si(20, "degC")
_HOT = to_si(80, "degC")
_RATED = 12.0
_POLARITY = (
    "A diode beside the coil has a right way round: supply the coil the other way and the diode, "
    "or the module’s output, is destroyed."
)
_WORKS = ("relay", "inlet", "outlet", "isolation", "actuator", "other")


@dataclass(frozen=True, slots=True)
class _Case:
    coil: str
    quantity: str
    measured: float
    alone: float
    at_20: float
    kelvin: float
    hot_k: float
    supply: float
    now: CoilAtWork
    hot: CoilAtWork
    pull_in: float | None
    drop_out: float | None

    @property
    def corrected(self) -> str:
        return (
            f"{ohms(self.alone)} at {degrees(self.kelvin)} is {ohms(self.at_20)} at 20 °C "
            "(copper, IEC 60028)."
        )

    def pull_in_at(self, kelvin: float) -> float | None:
        if self.pull_in is None:
            return None
        return pull_in_when_warm(self.pull_in, celsius(self.kelvin), celsius(kelvin))


def _case(given: Given) -> _Case:
    coil, measured, supply = (
        given.choice("coil"),
        given.number("resistance"),
        given.number("supply"),
    )
    kelvin = given.number("temperature")
    hot_k = given.number_or_none("hot") or _HOT
    alone = measured
    if given.choice("beside") == "resistor":
        resistor = given.number_or_none("resistor")
        if resistor is None:
            raise InputError("Give the resistance of the resistor beside the coil.", "resistor")
        with refused_at("resistor"):
            alone = without_parallel(measured, resistor)
    with refused_at("temperature"):
        at_20 = resistance_at_20c(alone, celsius(kelvin))
        now = coil_at_work(at_20, supply, celsius(kelvin))
    with refused_at("hot"):
        hot = coil_at_work(at_20, supply, celsius(hot_k))
    pull_in, drop_out = given.number_or_none("pull_in"), given.number_or_none("drop_out")
    if pull_in is not None and drop_out is not None and drop_out >= pull_in:
        raise InputError("A coil lets go at less than it pulls in at.", "drop_out")
    return _Case(
        coil,
        COILS[coil].quantity,
        measured,
        alone,
        at_20,
        kelvin,
        hot_k,
        supply,
        now,
        hot,
        pull_in,
        drop_out,
    )


def _work_out(given: Given, known: Known) -> Outcome:
    case = _case(given)
    beside = given.choice("beside")
    says = (
        f"{ohms(case.alone)} on {format_value(case.supply, 'V')} draws {amps(case.now.amps)} and "
        f"takes {watts(case.now.watts)}; at {degrees(case.hot_k)} {amps(case.hot.amps)}."
    )
    if beside == "resistor":
        says = f"Without the resistor beside it the coil has {ohms(case.alone)}. {says}"
    return Outcome(
        says,
        _figures(case),
        worst_first(_findings(case, known)),
        tuple(_notes(beside, case)),
        table=_table(case),
        sources=(
            OHM,
            IEC_60028,
            (
                "A warm coil needs its old current to pull in, so more voltage: common "
                "practice, no source."
            ),
            "A relay lets go above a tenth of its rated voltage: relay sheets, from memory.",
        ),
        temperature_k=case.kelvin,
        corrected=case.corrected,
    )


def _figures(case: _Case) -> tuple[Figure, ...]:
    figures = [
        Figure(
            case.quantity,
            NAMES[case.quantity] + " at 20 °C",
            case.at_20,
            "ohm",
            keep=True,
            reason=case.corrected,
        ),
        Figure("coil_current", "Coil current", case.now.amps, "mA"),
        Figure("coil_power", "Power of the coil", case.now.watts, "W"),
        Figure("coil_current_hot", "Coil current when hot", case.hot.amps, "mA"),
    ]
    at_20 = case.pull_in_at(_TWENTY)
    if at_20 is not None:
        figures.append(
            Figure(
                "pull_in_voltage",
                "Pull-in voltage at 20 °C",
                at_20,
                "V",
                keep=True,
                decimals=1,
                reason=f"Measured with the coil at {degrees(case.kelvin)}.",
            )
        )
    if case.drop_out is not None:
        let_go = pull_in_when_warm(case.drop_out, celsius(case.kelvin), 20.0)
        figures.append(
            Figure(
                "drop_out_voltage", "Drop-out voltage at 20 °C", let_go, "V", keep=True, decimals=1
            )
        )
    return tuple(figures)


def _findings(case: _Case, known: Known) -> list[Finding]:
    findings = []
    judged = verdict_of(case.at_20, case.quantity, known, corrected=case.corrected)
    if judged and judged.kind is VerdictKind.OUTSIDE:
        findings.append(
            Finding(
                "bad",
                "Too little resistance points to shorted turns or a path beside the coil."
                if judged.side == "low"
                else "Too much resistance points to a bad joint inside or at the pins.",
            )
        )
    hot = case.pull_in_at(case.hot_k)
    if hot is not None:
        findings.append(_margin(hot, case))
    if case.drop_out is not None and case.drop_out < RELEASE_SHARE * _RATED:
        findings.append(
            Finding(
                "near",
                f"It lets go only at {volts(case.drop_out)}, below a tenth of "
                f"{format_value(_RATED, 'V')}: it may hang when a little current leaks through "
                "the module’s output.",
            )
        )
    return findings


def _margin(hot: float, case: _Case) -> Finding:
    left = case.supply - hot
    where = (
        f"At {degrees(case.hot_k)} it pulls in at {volts(hot)}, and {volts(case.supply)} is there"
    )
    if left <= 0:
        return Finding("bad", f"{where}: hot, it will not pull in.")
    if left < 0.1 * case.supply:
        return Finding("near", f"{where}: little is left for a weak battery or a bad ground.")
    return Finding("good", f"{where}: {volts(left)} in hand.")


def _notes(beside: str, case: _Case) -> list[str]:
    notes = []
    if beside == "diode":
        notes.append(
            "Measure both ways round and take the higher: the lower goes through the diode. "
            + _POLARITY
        )
    elif beside == "resistor":
        notes.append(
            f"{ohms(case.measured)} was measured with the resistor in parallel. Across supply it "
            "draws its own current besides."
        )
    else:
        notes.append(
            "A coil without diode or resistor gives a sharp kick of voltage when it is switched "
            "off: keep fingers off, and do not fit a plain relay where a suppressed one was."
        )
    notes.append("The coil says nothing of the contacts: measure their drop under load.")
    return notes


def _table(case: _Case) -> Table:
    rows = []
    for kelvin in sorted({case.kelvin, case.hot_k, _TWENTY}):
        work = coil_at_work(case.at_20, case.supply, celsius(kelvin))
        pull_in = case.pull_in_at(kelvin)
        rows.append(
            (
                degrees(kelvin),
                ohms(work.ohms),
                amps(work.amps),
                watts(work.watts),
                "–" if pull_in is None else volts(pull_in),
            )
        )
    return Table(
        f"The coil on {format_value(case.supply, 'V')}",
        ("Coil at", "Resistance", "Current", "Power", "Pulls in at"),
        tuple(rows),
    )


COIL_OPERATION = MeasurementKind(
    key="coil_operation",
    name="Relay or solenoid coil at work",
    group=Group.ELECTRICS,
    purpose="Shows whether a coil draws what it should, and still pulls in when it is hot.",
    fields=(
        Choice("coil", "Coil of", tuple((key, COILS[key].says) for key in _WORKS)),
        Number(
            "resistance",
            "Resistance measured",
            Kind.RESISTANCE,
            "ohm",
            help="Part out, at its own pins.",
            lowest=1e-3,
            highest=1e5,
        ),
        Number(
            "temperature",
            "Temperature of the coil",
            Kind.TEMPERATURE,
            "degC",
            lowest=COLDEST,
            highest=HOTTEST,
        ),
        Number(
            "supply",
            "Supply at the coil",
            Kind.VOLTAGE,
            "V",
            help="At its socket, switched on, so that what the wires lose is already off.",
            lowest=0.0,
            highest=60.0,
            usual=(9.0, 16.0),
        ),
        Choice(
            "beside",
            "Beside the coil",
            (("none", "Nothing"), ("resistor", "A resistor"), ("diode", "A diode")),
            default="none",
            help="Often drawn on the relay’s case.",
        ),
        Number(
            "resistor",
            "Resistor beside it",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            help="680 Ω is common; it stands in the vehicle maker’s information.",
            lowest=1.0,
            highest=1e6,
        ),
        Number(
            "pull_in",
            "Pulls in at",
            Kind.VOLTAGE,
            "V",
            required=False,
            help="Voltage raised slowly from nought, on the bench, the right way round.",
            lowest=0.0,
            highest=60.0,
        ),
        Number(
            "drop_out",
            "Lets go at",
            Kind.VOLTAGE,
            "V",
            required=False,
            help="Voltage lowered slowly.",
            lowest=0.0,
            highest=60.0,
        ),
        Number(
            "hot",
            "Hottest it gets",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            help="Left empty: 80 °C.",
            lowest=COLDEST,
            highest=HOTTEST,
        ),
    ),
    quantities=(
        *(
            DerivedQuantity(COILS[key].quantity, NAMES[COILS[key].quantity], Kind.RESISTANCE, "ohm")
            for key in _WORKS
        ),
        DerivedQuantity("coil_current", "Coil current", Kind.CURRENT, "mA"),
        DerivedQuantity("coil_current_hot", "Coil current when hot", Kind.CURRENT, "mA"),
        DerivedQuantity("coil_power", "Power of the coil", Kind.POWER, "W"),
        DerivedQuantity("pull_in_voltage", "Relay pull-in voltage", Kind.VOLTAGE, "V"),
        DerivedQuantity("drop_out_voltage", "Relay drop-out voltage", Kind.VOLTAGE, "V"),
    ),
    work_out=_work_out,
    place="any",
    cautions=(POWER_OFF, NO_SQUIB, _POLARITY),
)
