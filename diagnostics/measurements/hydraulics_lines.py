"""Line pressures of the four wheels at several pedal forces. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnostics.compute.hydraulics import Compared, compared
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.fields import FOUR_WHEELS, Grid, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.hydraulics_pictures import pushes_chart, sides_chart
from diagnostics.measurements.hydraulics_words import BRAKE_CAUTIONS, bar, percent
from diagnostics.measurements.judging import verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.charting import Chart, Table
from shop.units import Kind, format_value

_AXLES = {"front": ("LF", "RF"), "rear": ("LR", "RR")}
_WHEELS = tuple(key for key, _label in FOUR_WHEELS)
_NAMES = dict(FOUR_WHEELS)
_TOO_LITTLE = 5e5
"""Pa: below this a gauge's own error makes any difference. Common practice, no source."""
_DIFFERENCE = 0.25
_DIFFERENCE_SOURCE = (
    "49 CFR 570.5(d)(1) allows this for brake forces on one axle, from memory; for pressures no "
    "rule was found"
)
_ONE_DIAGONAL = (frozenset({"LF", "RR"}), frozenset({"RF", "LR"}))
_FAR_BEHIND = 0.1


@dataclass(frozen=True, slots=True)
class _Push:
    number: str
    force: float | None
    pressures: Mapping[str, float]

    def axle(self, name: str) -> dict[str, float]:
        return {wheel: self.pressures[wheel] for wheel in _AXLES[name] if wheel in self.pressures}


@dataclass(frozen=True, slots=True)
class _Axle:
    """The push at which an axle's sides lie furthest apart."""

    name: str
    push: _Push
    found: Compared


def _pushes(given: Given) -> list[_Push]:
    pushes = []
    for number, row in given.rows("pushes").items():
        pressures = {
            wheel: float(value)
            for wheel in _WHEELS
            if isinstance(value := row.get(wheel), float | int)
        }
        force = row.get("force")
        pushes.append(
            _Push(number, float(force) if isinstance(force, float | int) else None, pressures)
        )
    return pushes


def _axles(pushes: Sequence[_Push]) -> list[_Axle]:
    found = []
    for name in _AXLES:
        both = [push for push in pushes if len(push.axle(name)) == 2]
        # A difference at hardly any pressure is the gauge's.
        firm = [push for push in both if max(push.axle(name).values()) >= _TOO_LITTLE] or both
        if firm:
            worst = max(firm, key=lambda push: compared(push.axle(name)).share)
            found.append(_Axle(name, worst, compared(worst.axle(name))))
    if not found:
        raise InputError(
            "Give the pressures of both wheels of an axle at one pedal force at least.", "pushes"
        )
    return found


def _work_out(given: Given, known: Known) -> Outcome:
    pushes = _pushes(given)
    axles = _axles(pushes)
    worst = max(axles, key=lambda axle: axle.found.share)
    return Outcome(
        f"At most {percent(worst.found.share)} apart on the {worst.name} axle: "
        f"{_NAMES[worst.found.lowest].lower()} is the lower.",
        _figures(axles, pushes, known),
        worst_first(_findings(axles, pushes, known)),
        (
            (
                "In per cent of the higher side. Gauges read best side by side: two gauges that "
                "were compared at one place, or one gauge moved over, the press left as it is."
            ),
        ),
        table=_table(pushes),
        charts=tuple(_charts(pushes, axles, worst, known)),
        sources=(
            f"Side to side, at most 25 %: {_DIFFERENCE_SOURCE}.",
            (
                "(highest less lowest) / highest: as section 1 of the GB inspection manual does it "
                "for brake forces, read."
            ),
        ),
    )


def _key(axle: str, known: Known) -> str:
    """Under which key the limit of an axle is known, "" for none."""
    for key in (f"pressure_difference/{axle}", "pressure_difference"):
        if key in known.limits:
            return key
    return ""


def _figures(axles: Sequence[_Axle], pushes: Sequence[_Push], known: Known) -> tuple[Figure, ...]:
    figures = [
        Figure(
            "pressure_difference",
            "Brake pressure difference",
            axle.found.share,
            "%",
            position=axle.name,
            keep=True,
            allowed=None if _key(axle.name, known) else _allowed(),
            decimals=1,
            reason=(
                f"Push {axle.push.number}: {_side(axle.found.lowest, axle)} against "
                f"{_side(axle.found.highest, axle)}."
            ),
        )
        for axle in axles
    ]
    return tuple(figures + [_rear(push, share) for push, share in _rear_to_front(pushes)])


def _allowed() -> Allowed:
    return Allowed(
        "%", _DIFFERENCE_SOURCE, high=_DIFFERENCE, conditions="same axle, same pedal force"
    )


def _side(wheel: str, axle: _Axle) -> str:
    return f"{_NAMES[wheel].lower()} {bar(axle.push.pressures[wheel])}"


def _rear_to_front(pushes: Sequence[_Push]) -> list[tuple[_Push, float]]:
    found = []
    for push in pushes:
        front, rear = push.axle("front"), push.axle("rear")
        if front and rear and (ahead := sum(front.values()) / len(front)) > 0:
            found.append((push, sum(rear.values()) / len(rear) / ahead))
    return found


def _rear(push: _Push, share: float) -> Figure:
    return Figure(
        "rear_to_front",
        f"Rear in per cent of front, push {push.number}",
        share,
        "%",
        decimals=0,
    )


def _findings(axles: Sequence[_Axle], pushes: Sequence[_Push], known: Known) -> list[Finding]:
    findings = [_of_axle(axle, known) for axle in axles]
    low = frozenset(
        axle.found.lowest
        for axle, finding in zip(axles, findings, strict=True)
        if finding.tone == "bad" or axle.found.share > _FAR_BEHIND
    )
    if low in _ONE_DIAGONAL:
        wheels = " and ".join(_NAMES[wheel].lower() for wheel in _WHEELS if wheel in low)
        findings.append(
            Finding(
                "bad",
                f"The low wheels, {wheels}, lie on one diagonal. On a car with diagonal circuits "
                "that points to one circuit of the master cylinder or the modulator.",
            )
        )
    findings += _proportion(pushes)
    return findings


def _of_axle(axle: _Axle, known: Known) -> Finding:
    key = _key(axle.name, known)
    judged = verdict_of(axle.found.share, key, known) if key else None
    bad = judged.kind is VerdictKind.OUTSIDE if judged else axle.found.share > _DIFFERENCE
    if bad:
        return Finding(
            "bad",
            f"Gets {percent(axle.found.share)} less than the other side. Follow it back from "
            "caliper to hose, pipe and modulator.",
            position=axle.found.lowest,
        )
    if judged and judged.kind is VerdictKind.NEAR:
        return Finding(
            "near", "Close to the limit: change the gauges over and measure again.", axle.name
        )
    return Finding(
        "good",
        f"Both sides get the same, within {percent(axle.found.share)}. That does not show whether "
        "both calipers make the same force of it, or let go again.",
        position=axle.name,
    )


def _proportion(pushes: Sequence[_Push]) -> list[Finding]:
    shares = _rear_to_front(pushes)
    if len(shares) < 2:
        return []
    by_pressure = sorted(shares, key=lambda one: max(one[0].pressures.values()))
    (light, first), (hard, last) = by_pressure[0], by_pressure[-1]
    if last > first * 1.05:
        return [
            Finding(
                "near",
                f"The rear gets {percent(first, 0)} of the front in push {light.number} and "
                f"{percent(last, 0)} in push {hard.number}. Its share should not grow with "
                "pressure: look at the proportioning, by valve or by modulator.",
            )
        ]
    return []


def _table(pushes: Sequence[_Push]) -> Table:
    rows = []
    for push in pushes:
        cells = [bar(push.pressures[w]) if w in push.pressures else "–" for w in _WHEELS]
        apart = [
            percent(compared(push.axle(name)).share) if len(push.axle(name)) == 2 else "–"
            for name in _AXLES
        ]
        force = "–" if push.force is None else format_value(push.force, "N", decimals=0)
        rows.append((push.number, force, *cells, *apart))
    return Table(
        "Line pressures",
        ("Push", "Pedal force", *_WHEELS, "Front apart", "Rear apart"),
        tuple(rows),
    )


def _charts(
    pushes: Sequence[_Push], axles: Sequence[_Axle], worst: _Axle, known: Known
) -> list[Chart]:
    low = [axle.found.lowest for axle in axles if _of_axle(axle, known).tone == "bad"]
    charts = [sides_chart(worst.push.pressures, low)]
    by_wheel = {
        wheel: sorted(
            (push.force, push.pressures[wheel])
            for push in pushes
            if push.force is not None and wheel in push.pressures
        )
        for wheel in _WHEELS
    }
    drawn = {wheel: points for wheel, points in by_wheel.items() if len(points) > 1}
    if drawn:
        charts.append(pushes_chart(drawn))
    return charts


LINE_PRESSURES = MeasurementKind(
    key="line_pressures",
    name="Line pressures, side to side",
    group=Group.HYDRAULICS,
    purpose="Finds the wheel, axle or circuit that gets less pressure than the others.",
    fields=(
        Grid(
            "pushes",
            "Pushes on the pedal",
            tuple((str(number), str(number)) for number in range(1, 7)),
            (
                Number(
                    "force",
                    "Pedal force",
                    Kind.FORCE,
                    "N",
                    required=False,
                    lowest=0.0,
                    highest=3000.0,
                ),
                *(
                    Number(
                        wheel, label, Kind.PRESSURE, "bar", required=False, lowest=0.0, highest=4e7
                    )
                    for wheel, label in FOUR_WHEELS
                ),
            ),
            help="Light, middle and hard: three pushes show more than one. Set by a pedal press.",
        ),
    ),
    quantities=(
        DerivedQuantity(
            "pressure_difference", "Brake pressure difference side to side", Kind.RATIO, "%"
        ),
        DerivedQuantity("rear_to_front", "Rear pressure in per cent of front", Kind.RATIO, "%"),
    ),
    work_out=_work_out,
    cautions=BRAKE_CAUTIONS,
)
