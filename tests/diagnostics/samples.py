"""One plausible filling of each kind's form: invented, to see every kind through the page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnostics.measurements.registry import KINDS
from diagnostics.places import places_for


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
    "brake_fluid": {"grade": "dot4", "boiling": "172", "water": "2.8"},
}


def place_of(kind: str) -> str:
    """A position that the kind may have."""
    places = places_for(KINDS[kind].place)
    return "LR" if "LR" in places else "front" if "front" in places else places[0]
