"""The steering pump: flow and power at several pressures. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.hydraulics import (
    POWER_SOURCE,
    TEST_SPEED,
    USUAL_FLOW,
    WARM_FLUID,
    hydraulic_power,
    pump_flow,
    shaft_power,
    volumetric_efficiency,
)
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.fields import Grid, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.hydraulics_pictures import flow_chart
from diagnostics.measurements.hydraulics_words import (
    FLUID,
    PUMP_CAUTIONS,
    PUMP_TEST_SOURCE,
    USUAL_SOURCE,
    bar,
    litres,
    percent,
    power,
    warm_enough,
)
from diagnostics.measurements.judging import refused_at, verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.charting import Table
from shop.units import Kind, from_si

_USUAL_EFFICIENCY = 0.85
"""Overall, where the pages give none: common practice, no source."""
_FALLS_TOO_MUCH = 0.2
"""Share of the flow lost between open and nearly closed valve that is worth a word."""
_TOO_GOOD = 1.05


@dataclass(frozen=True, slots=True)
class _Pump:
    """points: (Pa, m³/s) by rising pressure. expected: m³/s by displacement and efficiency."""

    points: tuple[tuple[float, float], ...]
    turning: float | None
    expected: float | None
    share: float | None
    overall: float

    @property
    def open_flow(self) -> float:
        return self.points[0][1]

    @property
    def strongest(self) -> tuple[float, float]:
        return max(self.points, key=lambda point: point[0] * point[1])


def _pump(given: Given) -> _Pump:
    points = []
    for row in given.rows("points").values():
        pressure, flow = row["pressure"], row["flow"]
        if not isinstance(pressure, float | int) or not isinstance(flow, float | int):
            raise InputError("Fill this in.", "points")
        points.append((float(pressure), float(flow)))
    turning, displacement = given.number_or_none("speed"), given.number_or_none("displacement")
    efficiency = given.number_or_none("volumetric")
    overall = given.number_or_none("overall")
    expected = share = None
    ordered = tuple(sorted(points))
    if turning is not None and displacement is not None:
        with refused_at("displacement"):
            share = volumetric_efficiency(ordered[0][1], displacement, turning)
        if efficiency is not None:
            with refused_at("volumetric"):
                expected = pump_flow(displacement, turning, efficiency)
    return _Pump(
        ordered, turning, expected, share, _USUAL_EFFICIENCY if overall is None else overall
    )


def _work_out(given: Given, known: Known) -> Outcome:
    pump = _pump(given)
    pressure, flow = pump.strongest
    with refused_at("points"):
        most = hydraulic_power(pressure, flow)
    fluid = given.number_or_none("fluid")
    says = f"{litres(pump.open_flow)} at {bar(pump.points[0][0])}"
    if pump.expected is not None:
        says += f", where {litres(pump.expected)} is expected"
    return Outcome(
        f"{says}; at most {power(most)}.",
        _figures(pump, most),
        worst_first(_findings(pump, known, fluid)),
        tuple(_notes(given, pump)),
        table=_table(pump),
        charts=(flow_chart(pump.points, pump.expected),) if len(pump.points) > 1 else (),
        sources=(
            f"{POWER_SOURCE}; divided by the overall efficiency for the belt.",
            "Expected flow = displacement x speed x volumetric efficiency.",
            PUMP_TEST_SOURCE,
            USUAL_SOURCE,
        ),
        temperature_k=fluid,
        engine="running",
    )


def _figures(pump: _Pump, most: float) -> tuple[Figure, ...]:
    figures = [
        Figure(
            "pump_flow",
            "Steering pump flow",
            pump.open_flow,
            "l/min",
            keep=True,
            decimals=2,
            reason=f"At {bar(pump.points[0][0])}, the lowest pressure measured.",
            pressure_pa=pump.points[0][0],
        )
    ]
    if pump.expected is not None:
        figures.append(Figure("expected_flow", "Flow expected", pump.expected, "l/min", decimals=2))
    if pump.share is not None:
        figures.append(
            Figure(
                "volumetric_efficiency",
                "Volumetric efficiency of the pump",
                pump.share,
                "%",
                # Above one it is no efficiency but a wrong figure, or a pump geared up.
                keep=pump.share <= _TOO_GOOD,
                decimals=0,
                reason=f"{litres(pump.open_flow)} of {litres(pump.open_flow / pump.share)}."
                if pump.share > 0
                else "No flow.",
            )
        )
    pressure, flow = pump.strongest
    return (
        *figures,
        Figure(
            "hydraulic_power",
            "Hydraulic power",
            most,
            "kW",
            decimals=3,
            reason=f"{bar(pressure)} and {litres(flow)}.",
        ),
        Figure(
            "shaft_power",
            "Power from the belt",
            shaft_power(most, pump.overall),
            "kW",
            decimals=3,
            reason=f"At an overall efficiency of {percent(pump.overall, 0)}.",
        ),
    )


def _findings(pump: _Pump, known: Known, fluid: float | None) -> list[Finding]:
    findings = [_of_flow(pump, known)]
    warm = warm_enough(fluid, *WARM_FLUID)
    if warm:
        findings.append(warm)
    if pump.share is not None and pump.share > _TOO_GOOD:
        findings.append(
            Finding(
                "unknown",
                f"{percent(pump.share, 0)} of its displacement cannot come out of a pump. Look at "
                "the speed (the pump’s, not the engine’s), the displacement and the flow meter.",
            )
        )
    findings += _of_falling(pump)
    return findings


def _of_flow(pump: _Pump, known: Known) -> Finding:
    judged = verdict_of(pump.open_flow, "pump_flow", known, engine="running")
    if judged and judged.kind is not VerdictKind.NOT_JUDGED:
        if judged.kind is VerdictKind.OUTSIDE:
            return Finding(
                "bad",
                "Too little or too much flow points to a worn pump, a slipping belt, air or low "
                "fluid, or a flow-control valve that sticks. See to belt and fluid first.",
            )
        return Finding("good", "The flow is there. Pressure is another test.")
    low, high = USUAL_FLOW
    return Finding(
        "unknown",
        f"No limit is known for this pump. Cars usually have {low:g} to {high:g} l/min (common "
        "practice, no source); the vehicle maker’s figure counts.",
    )


def _of_falling(pump: _Pump) -> list[Finding]:
    """What flow does as pressure rises: a sound pump hardly minds."""
    if len(pump.points) < 2 or pump.open_flow <= 0:
        return []
    last = pump.points[-1]
    lost = 1 - last[1] / pump.open_flow
    if lost < _FALLS_TOO_MUCH:
        return [
            Finding(
                "good",
                f"Flow falls by {percent(max(0.0, lost), 0)} up to {bar(last[0], 0)}: little is "
                "lost inside the pump.",
            )
        ]
    return [
        Finding(
            "near",
            f"Flow falls by {percent(lost, 0)} up to {bar(last[0], 0)}. Near the relief pressure "
            "that is the relief valve; well below it, the pump loses it inside.",
        )
    ]


def _notes(given: Given, pump: _Pump) -> list[str]:
    notes = [
        (
            "The flow-control valve holds the flow back above idle: displacement tells the flow "
            "only below the speed at which it begins."
        )
    ]
    if given.number_or_none("overall") is None:
        notes.append(f"Overall efficiency taken as {percent(_USUAL_EFFICIENCY, 0)}: not given.")
    if pump.turning is not None:
        rpm, (low, high) = from_si(pump.turning, "rpm"), TEST_SPEED
        notes.append(
            f"Pump at {rpm:.0f} rev/min. Makers’ pages test at an engine speed of {low:.0f} to "
            f"{high:.0f} rev/min, or at idle: go by this vehicle’s."
        )
    return notes


def _table(pump: _Pump) -> Table:
    return Table(
        "Pressure, flow and power",
        ("Pressure", "Flow", "Hydraulic power", "From the belt"),
        tuple(
            (bar(p), litres(q), power(p * q), power(shaft_power(p * q, pump.overall)))
            for p, q in pump.points
        ),
    )


PUMP_TEST = MeasurementKind(
    key="pump_test",
    name="Steering pump: flow and power",
    group=Group.HYDRAULICS,
    purpose="Compares what the pump delivers with what its size and speed promise.",
    fields=(
        Grid(
            "points",
            "From open to nearly closed valve",
            (
                ("open", "Valve open"),
                ("2", "A little closed"),
                ("3", "Half closed"),
                ("4", "More"),
                ("5", "Nearly closed"),
            ),
            (
                Number("pressure", "Pressure", Kind.PRESSURE, "bar", lowest=0.0, highest=4e7),
                Number(
                    "flow",
                    "Flow",
                    Kind.FLOW,
                    "l/min",
                    lowest=0.0,
                    highest=0.01,
                    usual=(1e-5, 1e-3),
                ),
            ),
            help="The first row alone will do. Read each quickly and open the valve again.",
        ),
        Number(
            "speed",
            "Speed of the pump",
            Kind.TURNING_RATE,
            "rpm",
            required=False,
            help="Engine speed times the pulleys’ ratio.",
            lowest=1.0,
            highest=2000.0,
        ),
        Number(
            "displacement",
            "Displacement, each revolution",
            Kind.VOLUME,
            "ml",
            required=False,
            known="pump_displacement",
            lowest=1e-7,
            highest=1e-3,
        ),
        Number(
            "volumetric",
            "Volumetric efficiency of a good one",
            Kind.RATIO,
            "%",
            required=False,
            known="pump_volumetric_efficiency",
            lowest=0.01,
            highest=1.0,
        ),
        Number(
            "overall",
            "Overall efficiency",
            Kind.RATIO,
            "%",
            required=False,
            known="pump_overall_efficiency",
            lowest=0.01,
            highest=1.0,
        ),
        FLUID,
    ),
    quantities=(
        DerivedQuantity("pump_flow", "Steering pump flow at idle", Kind.FLOW, "l/min"),
        DerivedQuantity("expected_flow", "Flow expected", Kind.FLOW, "l/min"),
        DerivedQuantity(
            "volumetric_efficiency", "Volumetric efficiency of the pump", Kind.RATIO, "%"
        ),
        DerivedQuantity("hydraulic_power", "Hydraulic power", Kind.POWER, "kW"),
        DerivedQuantity("shaft_power", "Power from the belt", Kind.POWER, "kW"),
    ),
    work_out=_work_out,
    cautions=PUMP_CAUTIONS,
)
