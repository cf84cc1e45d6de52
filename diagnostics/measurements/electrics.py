"""Electrical measurements: coils, drops, wires, grounds, switched coils, the battery. Pure."""

from __future__ import annotations

from diagnostics.measurements.electrics_actuator import PWM_ACTUATOR
from diagnostics.measurements.electrics_battery import BATTERY_REST
from diagnostics.measurements.electrics_circuit import CIRCUIT_BUDGET
from diagnostics.measurements.electrics_coils import COIL_RESISTANCE
from diagnostics.measurements.electrics_drops import VOLTAGE_DROP
from diagnostics.measurements.electrics_ground import GROUND_QUALITY
from diagnostics.measurements.electrics_relay import COIL_OPERATION
from diagnostics.measurements.electrics_wire import WIRE
from diagnostics.measurements.kind import MeasurementKind

# The battery first: on a weak one nothing else is worth measuring.
KINDS: tuple[MeasurementKind, ...] = (
    BATTERY_REST,
    VOLTAGE_DROP,
    GROUND_QUALITY,
    CIRCUIT_BUDGET,
    WIRE,
    COIL_RESISTANCE,
    COIL_OPERATION,
    PWM_ACTUATOR,
)
