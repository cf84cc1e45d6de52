"""Hydraulic measurements: held and line pressures of the brakes, steering pump and gear. Pure."""

from __future__ import annotations

from diagnostics.measurements.hydraulics_holding import PRESSURE_HOLD
from diagnostics.measurements.hydraulics_lines import LINE_PRESSURES
from diagnostics.measurements.hydraulics_pump import PUMP_TEST
from diagnostics.measurements.hydraulics_relief import RELIEF_PRESSURE
from diagnostics.measurements.hydraulics_stops import STOP_PRESSURE
from diagnostics.measurements.kind import MeasurementKind

KINDS: tuple[MeasurementKind, ...] = (
    PRESSURE_HOLD,
    LINE_PRESSURES,
    RELIEF_PRESSURE,
    STOP_PRESSURE,
    PUMP_TEST,
)
