"""The figures of a platform that computations ask for, and what a curve may stand against. Pure.

A figure fills in a field of a measurement (`known=` in diagnostics.measurements.fields), so its
key and kind are declared here once and pages are checked against them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from shop.units import Kind


@dataclass(frozen=True, slots=True)
class FigureKey:
    """A figure that pages may give: a number of a kind, or one of some words.

    plain: the unit meant when none is written, where that is never doubted. whole: only whole
    numbers. signed: may be nought or below. most: SI; above it there is a slip of the pen.
    """

    name: str
    kind: Kind | None = None
    words: tuple[str, ...] = ()
    plain: str = ""
    whole: bool = False
    signed: bool = False
    most: float | None = None


def _count(name: str, most: float) -> FigureKey:
    return FigureKey(name, Kind.COUNT, plain="count", whole=True, most=most)


SENSOR_KINDS = ("passive", "current", "voltage")
FLUID_GRADES = ("dot3", "dot4", "dot5", "dot51")

FIGURES: Mapping[str, FigureKey] = MappingProxyType(
    {
        # wheel speed
        "teeth": _count("Teeth on the sensor's ring", 200),
        "sensor_kind": FigureKey("Kind of wheel-speed sensor", words=SENSOR_KINDS),
        "sense_resistance": FigureKey("Sense resistor of an active sensor", Kind.RESISTANCE),
        # brake fluid
        "fluid_grade": FigureKey("Grade of the brake fluid", words=FLUID_GRADES),
        # discs, linings, braking
        "wheel_bolts": _count("Wheel bolts or nuts", 12),
        "disc_dial_diameter": FigureKey("Circle of the dial on the disc", Kind.LENGTH),
        "hub_dial_diameter": FigureKey("Circle of the dial on the hub flange", Kind.LENGTH),
        "lining_new": FigureKey("Thickness of a new lining", Kind.LENGTH),
        "test_weight": FigureKey("Weight of the vehicle as tested", Kind.MASS),
        # electrics
        "actuator_frequency": FigureKey("Frequency of the actuator's duty", Kind.FREQUENCY),
        "actuator_duty": FigureKey("Duty at which the actuator is judged", Kind.RATIO),
        "actuator_coil_resistance": FigureKey("Resistance of the actuator's coil", Kind.RESISTANCE),
        # hydraulics
        "hold_time": FigureKey("How long a pressure is held", Kind.TIME),
        "pump_displacement": FigureKey("Displacement of the steering pump", Kind.VOLUME),
        "pump_volumetric_efficiency": FigureKey("Volumetric efficiency of the pump", Kind.RATIO),
        "pump_overall_efficiency": FigureKey("Overall efficiency of the pump", Kind.RATIO),
        "rack_piston_area": FigureKey("Area of the rack's piston", Kind.AREA),
        # steering and alignment
        "steering_rate_sensor": FigureKey("Steering-wheel rate sensor", words=("fitted", "none")),
        "steering_gear": FigureKey("Kind of steering gear", words=("rack", "joints", "box")),
        "steering_wheel_diameter": FigureKey("Diameter of the steering wheel", Kind.LENGTH),
        "steering_ratio": FigureKey("Steering ratio", Kind.COUNT, plain="count"),
        "toe_diameter": FigureKey("Diameter at which toe is given", Kind.LENGTH),
        "total_toe_specified": FigureKey("Largest total toe of the setting", Kind.ANGLE, most=0.2),
        "caster_sweep": FigureKey("Angle of the caster swing", Kind.ANGLE, most=0.8),
        "thrust_sign": FigureKey("Side to which thrust is positive", words=("right", "left")),
    }
)


@dataclass(frozen=True, slots=True)
class Against:
    """What a curve's first number is."""

    name: str
    kind: Kind


AGAINST: Mapping[str, Against] = MappingProxyType(
    {
        "road_speed": Against("Road speed", Kind.SPEED),
        "pump_speed": Against("Speed of the pump", Kind.TURNING_RATE),
        "line_pressure": Against("Brake line pressure", Kind.PRESSURE),
        "steering_angle": Against("Angle of the steering wheel", Kind.ANGLE),
    }
)
