"""At every step that works something out, a sound car's numbers give the figure it asks for.

The numbers are invented; what is tried is that pages, figures, limits and kinds fit together.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
import pytest

from diagnostics import figures
from diagnostics.captures import Samples
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure
from diagnostics.measurements.reading_in import read_typed
from diagnostics.measurements.registry import KINDS
from diagnostics.models import Limit, Session, Step
from diagnostics.places import resolve
from diagnostics.queries.known import known_for
from diagnostics.queries.limits import most_specific
from shop.actor import Actor
from tests import factories

CORNER = "RF"

# What is typed at a sound car, by kind; `{teeth}` and the like come from the pages where they can.
TYPED: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "brake_fluid": {"grade": "dot4", "boiling": "215", "water": "1"},
        "hand_spin": {
            "teeth": "{teeth}",
            "turns": "10",
            "seconds": "10",
            "sensor": "passive",
            "volts": "320",
            "measured_as": "ac",
        },
        "sensor_waveform": {"sensor": "passive", "teeth": "{teeth}", "moved": "{moved}"},
        "four_wheels": {
            "wheels-LF-first": "50.0",
            "wheels-RF-first": "50.1",
            "wheels-LR-first": "49.9",
            "wheels-RR-first": "50.0",
        },
        "voltage_drop": {"sort": "{sort}", "drop": "40", "load": "on"},
        "ground_quality": {"load": "on", "points-module-drop": "20", "points-unit-drop": "30"},
        "pressure_hold": {
            "readings-1-time": "0",
            "readings-1-pressure": "60.0",
            "readings-2-time": "10",
            "readings-2-pressure": "59.8",
            "readings-3-time": "30",
            "readings-3-pressure": "59.7",
            "engine": "off",
            "pedal": "steady",
        },
        "line_pressures": {
            "pushes-1-LF": "60",
            "pushes-1-RF": "58",
            "pushes-1-LR": "40",
            "pushes-1-RR": "41",
        },
        "brake_forces": {
            "system": "service",
            "forces-LF-force": "2800",
            "forces-RF-force": "2700",
            "forces-LR-force": "1600",
            "forces-RR-force": "1500",
            **{f"forces-{wheel}-locked": "no" for wheel in ("LF", "RF", "LR", "RR")},
            "weight": "1180",
            "steered": "front",
            "rule": "gb",
            "first_used": "new",
        },
        "free_play": {
            "diameter": "370",
            "play": "12",
            "rule": "us",
            "gear": "rack",
            "engine": "running",
            "locks": "free",
        },
        "linkage_play": {"left": "1", "right": "1", "bearings": "right", "joints": "loaded"},
        "stop_pressure": {"left": "110", "right": "108", "fluid": "55"},
        "relief_pressure": {"pressure": "{relief}", "closed": "3", "fluid": "55"},
        "toe": {"wheels-left-toe": "0.07", "wheels-right-toe": "0.08"},
        "alignment": {
            **{f"wheels-{wheel}-toe": "0.07" for wheel in ("LF", "RF", "LR", "RR")},
            "thrust_sign": "right",
        },
        "side_slip": {"slip": "1.5"},
        "pump_test": {
            "points-open-pressure": "5",
            "points-open-flow": "8.2",
            "speed": "900",
            "fluid": "55",
        },
        "assist_by_speed": {
            "points-1-speed": "0",
            "points-1-duty": "0",
            "points-2-speed": "30",
            "points-2-duty": "22",
            "points-3-speed": "80",
            "points-3-duty": "61",
            "flag": "none",
            "fast_turn": "not tried",
        },
        "stopping_distance": {"speed": "32", "distance": "6.2", "rule": "us"},
        "disc_thickness": {f"thickness-{n}": "25.002" for n in range(1, 9)},
        "disc_runout": dict(
            zip(
                (f"readings-{n}" for n in range(1, 9)),
                ("0.00", "0.01", "0.02", "0.03", "0.03", "0.02", "0.01", "0.00"),
                strict=True,
            )
        ),
        "disc_on_hub": {
            "disc_where": "on_car",
            "bolts": "5",
            **{f"hub-{n}": "0.01" if n % 4 else "0.02" for n in range(1, 9)},
            **{f"disc-{n}": "0.02" if n % 4 else "0.03" for n in range(1, 9)},
        },
    }
)
SORTS = {"supply_drop": "cable", "contact_drop": "contacts", "ground_drop": "ground"}
# In the middle of each platform's limit.
RELIEF = {"PL2": "80", "PL4": "85", "OR1": "90", "OR1-S": "90", "DR3": "106", "GEN": "80"}


def a_signal(teeth: int) -> Samples:
    """Four even turns of a passive sensor, one a second."""
    seconds = np.arange(0.0, 4.0, 1 / 5000)
    volts = 0.4 * np.sin(2 * np.pi * teeth * seconds)
    return Samples(seconds, volts[np.newaxis, :], ("A",), ("V",))


def typed_at(step: Step, kind: MeasurementKind, known: Known, code: str) -> dict[str, str]:
    assert step.quantity is not None
    fill = {
        "teeth": f"{known.figure('teeth') or 48:g}",
        "moved": "yes" if step.quantity.key == "drop_outs" else "no",
        "sort": SORTS.get(step.quantity.key, "cable"),
        "relief": RELIEF[code],
    }
    return {name: text.format(**fill) for name, text in TYPED[kind.key].items()}


@pytest.mark.parametrize("code", ["PL2", "PL4", "OR1", "OR1-S", "DR3", "GEN"])
def test_a_sound_car_answers_every_such_step_and_is_found_good(ines: Actor, code: str) -> None:
    vehicle = factories.a_vehicle(ines, platform=code, tyre_size="185/65 R15")
    session = factories.a_session(ines, vehicle=vehicle)
    steps = Step.objects.filter(procedure__version=session.version).exclude(works_out="")
    answers = {
        f"{step.procedure.key}, {step.key}": answer_of(session, step, code)
        for step in steps.select_related("procedure", "quantity", "component")
    }
    assert len(answers) >= 15
    # Pages for any other vehicle have few limits, so that much is recorded and not judged.
    right = {"within", "near"} | ({"not_judged"} if code == "GEN" else set())
    assert {at: verdict for at, verdict in answers.items() if verdict not in right} == {}


def answer_of(session: Session, step: Step, code: str) -> str:
    """The verdict that the step gets, or "no figure"."""
    kind = KINDS[step.works_out]
    place = resolve(step.position, CORNER) or ""
    samples = None
    if kind.capture == "must":
        samples = a_signal(int(known_for(session, kind, None, place).figure("teeth") or 48))
    known = known_for(session, kind, step.component, place, capture=samples)
    given = read_typed(kind.fields, typed_at(step, kind, known, code))
    outcome = kind.work_out(given, known)
    assert step.quantity is not None
    kept = [one for one in outcome.figures if one.keep and one.quantity == step.quantity.key]
    here = [one for one in kept if (one.position or place) == place] or kept
    if not here:
        return "no figure"
    rows = list(
        Limit.objects.filter(version=session.version_id, quantity=step.quantity)
        .select_related("component")
        .order_by("pk")
    )

    def verdict(one: Figure) -> str:
        limit = most_specific(rows, step.component, one.position or place)
        return str(figures.judged(one, limit, outcome)["verdict"])

    return min((verdict(one) for one in here), key=[str(v) for v in figures.WORST_FIRST].index)
