"""One plausible filling of each kind's form: invented, to see every kind through the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from uuid import uuid4

import numpy as np

from diagnostics.measurements.reading_in import read_typed
from diagnostics.measurements.registry import KINDS
from diagnostics.models import Measurement, Session
from diagnostics.places import places_for
from diagnostics.services import captures, measurements
from diagnostics.services.captures import FileSent
from diagnostics.services.measurements import Taken
from shop.actor import Actor


def series(name: str, values: Sequence[str]) -> dict[str, str]:
    return {f"{name}-{number}": text for number, text in enumerate(values, 1)}


def rows(name: str, columns: Sequence[str], table: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """A grid: for each row's key the texts of the columns, "" for an empty cell."""
    return {
        f"{name}-{row}-{column}": text
        for row, texts in table.items()
        for column, text in zip(columns, texts, strict=True)
        if text
    }


_HUB = ("0.00", "0.005", "0.012", "0.018", "0.02", "0.016", "0.009", "0.003")
_DISC = ("0.00", "0.01", "0.03", "0.05", "0.06", "0.05", "0.03", "0.01")

TYPED: Mapping[str, dict[str, str]] = {
    "four_wheels": rows(
        "wheels",
        ("first", "second"),
        {
            "LF": ("50.0", "80.1"),
            "RF": ("50.1", "80.0"),
            "LR": ("52.9", "84.6"),
            "RR": ("50", "80"),
        },
    ),
    "four_wheel_frequencies": rows(
        "wheels",
        ("first",),
        {"LF": ("318",), "RF": ("319",), "LR": ("0",), "RR": ("318",)},
    )
    | {"teeth": "44"},
    "hand_spin": {
        "teeth": "44",
        "turns": "10",
        "seconds": "10",
        "volts": "420",
        "sensor": "passive",
        "measured_as": "ac",
    },
    "wheel_speed_convert": {"tyre": "205/55 R16", "teeth": "48", "speed": "100"},
    "assist_by_speed": rows(
        "points",
        ("speed", "duty", "flow"),
        {
            "1": ("0", "0", "7.0"),
            "2": ("30", "14", "6.9"),
            "3": ("60", "33", "6.9"),
            "4": ("90", "47", "6.8"),
        },
    )
    | {"flag": "none", "fast_turn": "not tried", "felt": "light_fast", "read_at": "plug"},
    "free_play": {
        "diameter": "370",
        "play": "40",
        "rule": "us",
        "gear": "rack",
        "engine": "running",
        "locks": "free",
    },
    "linkage_play": {"left": "2", "right": "7", "bearings": "right", "joints": "loaded"},
    "steering_ratio": {"wheel": "90", "left": "5.8", "right": "5.7"},
    "toe": rows("wheels", ("toe",), {"left": ("0.10",), "right": ("0.06",)}) | {"diameter": "381"},
    "alignment": rows(
        "wheels",
        ("toe", "camber", "caster", "sai"),
        {
            "LF": ("0.05", "-0.5", "4.0", "13.0"),
            "RF": ("0.05", "-0.4", "3.2", "13.1"),
            "LR": ("0.20", "-1.0", "", ""),
            "RR": ("0.06", "-1.1", "", ""),
        },
    )
    | {"thrust_sign": "right"},
    "caster_sweep": rows(
        "wheels", ("out", "in"), {"left": ("1.2", "-1.8"), "right": ("1.0", "-1.9")}
    )
    | {"sweep": "20"},
    "side_slip": {"slip": "3", "tyre": "185/65 R15"},
    "disc_thickness": series(
        "thickness",
        ("24.012", "24.010", "24.006", "24.004", "24.005", "24.009", "24.012", "24.015"),
    ),
    "disc_runout": series("readings", _DISC),
    "disc_on_hub": series("hub", _HUB)
    | series("disc", _DISC)
    | {"disc_where": "on_car", "bolts": "5", "hub_circle": "130", "disc_circle": "240"},
    "lining_life": {
        "before": "9.0",
        "odometer_before": "30000",
        "now": "6.5",
        "odometer_now": "52000",
        "uncertainty": "0.2",
    },
    "brake_forces": rows(
        "forces",
        ("force", "locked"),
        {
            "LF": ("2800", "no"),
            "RF": ("1900", "no"),
            "LR": ("1600", "no"),
            "RR": ("1500", "no"),
        },
    )
    | {
        "system": "service",
        "weight": "1450",
        "steered": "front",
        "rule": "gb",
        "first_used": "new",
    },
    "parking_brake_forces": rows(
        "forces", ("force", "locked"), {"LR": ("1300", "no"), "RR": ("1250", "no")}
    )
    | {"weight": "1450", "rule": "gb"},
    "road_deceleration": {"initial": "100", "distance_from": "15", "distance_to": "52"},
    "stopping_distance": {"speed": "20", "speed-unit": "mph", "distance": "7.0", "rule": "us"},
    "sensor_waveform": {"sensor": "passive", "teeth": "44", "moved": "no"},
    "pwm_capture": {"connected": "across", "resistance": "4.2"},
    "battery_rest": {"voltage": "12.58", "sort": "flooded", "rest": "8", "temperature": "18"},
    "voltage_drop": {
        "sort": "contacts",
        "drop": "620",
        "load": "on",
        "current": "12",
    },
    "ground_quality": rows(
        "points", ("drop",), {"module": ("240",), "stud": ("35",), "engine": ("20",)}
    )
    | {"load": "on", "current": "20", "sensitive": "on"},
    "circuit_budget": rows(
        "places",
        ("drop",),
        {
            "post_plus": ("20",),
            "fuse": ("50",),
            "relay": ("620",),
            "load_wire": ("110",),
            "ground_point": ("80",),
        },
    )
    | {"load": "on", "source": "12.6", "at_load": "11.5", "current": "15"},
    "wire": {
        "length": "5",
        "section": "2.5",
        "current": "20",
        "resistance": "0.3",
        "leads": "0.2",
    },
    "coil_resistance": {
        "coil": "sensor",
        "resistance": "1.4",
        "resistance-unit": "kohm",
        "temperature": "60",
    },
    "coil_operation": {
        "coil": "relay",
        "resistance": "75.6",
        "temperature": "35",
        "supply": "11.8",
        "beside": "resistor",
        "resistor": "680",
        "pull_in": "7.4",
        "drop_out": "2.2",
    },
    "pwm_actuator": {
        "supply": "13.5",
        "duty": "40",
        "frequency": "200",
        "resistance": "4.2",
        "temperature": "80",
        "measured_current": "0.62",
        "constant": "5",
    },
    "pressure_hold": rows(
        "readings",
        ("time", "pressure"),
        {
            "1": ("0", "60"),
            "2": ("5", "58.9"),
            "3": ("10", "58.3"),
            "4": ("15", "57.9"),
            "5": ("20", "57.5"),
            "6": ("30", "56.9"),
            "7": ("45", "56.0"),
            "8": ("60", "55.1"),
        },
    )
    | {"force": "560", "pedal": "steady", "warm_before": "24", "warm_after": "23"},
    "line_pressures": rows(
        "pushes",
        ("force", "LF", "RF", "LR", "RR"),
        {
            "1": ("100", "20", "19.5", "14", "14"),
            "2": ("200", "41", "33", "22", "28"),
            "3": ("300", "62", "45", "30", "41"),
        },
    ),
    "relief_pressure": {
        "pressure": "90",
        "other_scale": "1305",
        "closed": "4",
        "fluid": "55",
    },
    "stop_pressure": {"left": "80", "right": "66", "alone": "90", "area": "8", "fluid": "55"},
    "pump_test": rows(
        "points",
        ("pressure", "flow"),
        {"open": ("4", "7.1"), "2": ("30", "7.0"), "3": ("55", "6.8"), "5": ("80", "6.4")},
    )
    | {"speed": "800", "displacement": "10", "volumetric": "92", "overall": "85", "fluid": "55"},
    "brake_fluid": {"grade": "dot4", "boiling": "172", "water": "2.8"},
}


def _csv(seconds: np.ndarray, volts: np.ndarray) -> bytes:
    lines = (f"{t:.5f},{v:.4f}" for t, v in zip(seconds, volts, strict=True))
    return ("Time (s),Channel A (V)\n" + "\n".join(lines) + "\n").encode()


def a_wheel() -> bytes:
    """A coil at 2 turns a second over a ring of 44 teeth, the tenth of which is missing."""
    seconds = np.arange(0, 3, 1 / 4000)
    tooth = 44 * 2 * seconds
    there = (np.floor(tooth) % 44) != 9
    return _csv(seconds, 0.4 * np.sin(2 * np.pi * tooth) * there)


def an_actuator() -> bytes:
    """13.5 V switched 200 times a second, on for 40 % of the time."""
    seconds = np.arange(0, 0.25, 1 / 20_000)
    return _csv(seconds, np.where((seconds * 200) % 1 < 0.4, 13.5, 0.0))


FILES: Mapping[str, Callable[[], bytes]] = {"sensor_waveform": a_wheel, "pwm_capture": an_actuator}


def place_of(kind: str) -> str:
    """A position that the kind may have."""
    places = places_for(KINDS[kind].place)
    return "LR" if "LR" in places else "front" if "front" in places else places[0]


def worked(actor: Actor, session: Session, key: str) -> Measurement:
    """The sample of a kind, worked out and kept."""
    kind, typed = KINDS[key], TYPED[key]
    file = captures.read(FileSent("signal.csv", FILES[key]())) if key in FILES else None
    taken = Taken(kind, typed, read_typed(kind.fields, typed), place_of(key), file=file)
    return measurements.record(actor, session, act=uuid4(), taken=taken)
