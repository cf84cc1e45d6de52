"""The failure-type byte: the third byte of a three-byte code. Pure.

A working subset of SAE J2012-DA, taken from two independent public lists that agree; the
standard's own annex was not read. Some makers write a suffix of their own that looks the same:
read a suffix as a failure type only when the source says that the code has three bytes.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

FAILURE_TYPES: Mapping[int, str] = MappingProxyType(
    {
        0x00: "no sub-type information",
        0x01: "general electrical failure",
        0x02: "general signal failure",
        0x03: "FM/PWM failures",
        0x04: "system internal failures",
        0x05: "system programming failures",
        0x06: "algorithm based failures",
        0x07: "mechanical failures",
        0x08: "bus signal / message failures",
        0x09: "component failures",
        0x11: "circuit short to ground",
        0x12: "circuit short to battery",
        0x13: "circuit open",
        0x14: "short to ground or open",
        0x15: "short to battery or open",
        0x16: "circuit voltage below threshold",
        0x17: "circuit voltage above threshold",
        0x18: "circuit current below threshold",
        0x19: "circuit current above threshold",
        0x1A: "circuit resistance below threshold",
        0x1B: "circuit resistance above threshold",
        0x1C: "circuit voltage out of range",
        0x1D: "circuit current out of range",
        0x1E: "circuit resistance out of range",
        0x1F: "circuit intermittent",
        0x21: "signal amplitude below minimum",
        0x22: "signal amplitude above maximum",
        0x23: "signal stuck low",
        0x24: "signal stuck high",
        0x25: "signal shape / waveform failure",
        0x26: "signal rate of change below threshold",
        0x27: "signal rate of change above threshold",
        0x28: "signal bias level out of range / zero adjustment failure",
        0x29: "signal invalid",
        0x2A: "signal stuck in range",
        0x2B: "signal cross coupled",
        0x2F: "signal erratic",
        0x31: "no signal",
        0x36: "signal frequency too low",
        0x37: "signal frequency too high",
        0x38: "signal frequency incorrect",
        0x39: "too few pulses",
        0x3A: "too many pulses",
        0x44: "data memory failure",
        0x45: "program memory failure",
        0x46: "calibration memory failure",
        0x49: "internal electronic failure",
        0x4B: "over temperature",
        0x51: "not programmed",
        0x54: "missing calibration",
        0x55: "not configured",
        0x62: "signal compare failure",
        0x64: "signal plausibility failure",
    }
)


def failure_type_text(byte: int) -> str:
    """What the failure type `byte` (0 to 255) says; "" when it is not in the list.

    Raises ValueError for a number that is no byte.
    """
    if not 0 <= byte <= 0xFF:
        raise ValueError("A failure type is one byte: 0 to 255.")
    return FAILURE_TYPES.get(byte, "")
