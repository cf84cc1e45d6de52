"""What is asked for assist by road speed, and the three things measured at each speed. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.measurements.fields import NUMBERED, Choice, Grid, Number
from shop.units import Kind, to_si


@dataclass(frozen=True, slots=True)
class Side:
    """One measured quantity: its column, names, usual unit, and how it goes with speed."""

    column: str
    key: str
    name: str
    kind: Kind
    unit: str
    rises: bool
    most: float = math.inf

    @property
    def off_key(self) -> str:
        return f"{self.key}_off"


DUTY = Side("duty", "assist_duty", "Duty", Kind.RATIO, "%", rises=True, most=1.0)
FLOW = Side("flow", "assist_flow", "Flow", Kind.FLOW, "l/min", rises=False)
PRESSURE = Side("pressure", "assist_pressure", "Pressure", Kind.PRESSURE, "bar", rises=False)
SIDES = (DUTY, FLOW, PRESSURE)

FIELDS = (
    Grid(
        "points",
        "At each speed",
        NUMBERED,
        (
            Number("speed", "Road speed", Kind.SPEED, "km/h", lowest=0, highest=to_si(300, "km/h")),
            Number("duty", "Duty", Kind.RATIO, "%", required=False, lowest=0, highest=1),
            Number(
                "flow",
                "Flow",
                Kind.FLOW,
                "l/min",
                required=False,
                lowest=0,
                highest=to_si(200, "l/min"),
                usual=(to_si(1, "l/min"), to_si(20, "l/min")),
            ),
            Number(
                "pressure",
                "Pressure",
                Kind.PRESSURE,
                "bar",
                required=False,
                lowest=0,
                highest=to_si(1000, "bar"),
                usual=(to_si(2, "bar"), to_si(150, "bar")),
            ),
        ),
        help="Standing, at parking speed, and up to the speed that is complained of. Fill in what "
        "you measured: duty, flow or pressure.",
    ),
    Choice(
        "read_at",
        "Where the duty was read",
        (("plug", "At the actuator's plug"), ("control", "From the control's data")),
        required=False,
    ),
    Choice(
        "felt",
        "What the customer feels",
        (
            ("heavy_parking", "Heavy when parking"),
            ("heavy", "Heavy everywhere"),
            ("light_fast", "Too light when fast"),
            ("comes_and_goes", "Assist comes and goes"),
            ("nothing", "Nothing"),
        ),
        required=False,
    ),
    Choice(
        "flag",
        "A steering flag stored?",
        (("stored", "Stored"), ("none", "None stored"), ("not read", "Not read yet")),
    ),
    Choice(
        "sensor",
        "Steering-wheel rate sensor",
        (("fitted", "Fitted"), ("none", "None")),
        required=False,
        known="steering_rate_sensor",
    ),
    Choice(
        "fast_turn",
        "Did a fast turn change the duty?",
        (("cut", "It fell"), ("same", "It stayed"), ("not tried", "Not tried")),
        default="not tried",
        help="At a steady speed at which there is duty, on rollers or a closed ground.",
    ),
    Number(
        "fluid",
        "Fluid temperature",
        Kind.TEMPERATURE,
        "degC",
        required=False,
        lowest=to_si(-40, "degC"),
        highest=to_si(160, "degC"),
    ),
)
