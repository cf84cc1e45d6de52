"""`python -m tests.demo_captures`: write the captures in fixtures/captures again, from their seeds.

Made signals of the demo world, as an instrument would export them; the truth stands beside each.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from scipy import signal as made

from diagnostics.captures import Samples
from diagnostics.compute.waveform_arrays import Numbers
from tests.waves import Ring, Wiring, active, changing, passive, times

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "captures"

HARNESS_GAPS = ((2.61, 2.66), (3.48, 3.74), (4.87, 4.91))
MISSING, TEETH = 17, 44
DUTY, HERTZ, SUPPLY, OHMS, HENRY = 0.4, 200.0, 13.5, 4.2, 0.021


def _captured(seconds: Numbers, *channels: Numbers, units: tuple[str, ...]) -> Samples:
    names = ("Sensor",) if len(units) == 1 else ("Actuator", "Current")
    return Samples(seconds, np.vstack(channels), names, units)


def harness_moved() -> Samples:
    """Left rear coil sensor, wheel turned by the engine at idle, harness moved from 2.5 s on."""
    seconds = times(6000, 6.0)
    wiring = Wiring(gaps=HARNESS_GAPS, noise_db=32, offset=0.004)
    law = changing(1.4, 1.7, 6.0)
    return _captured(seconds, passive(seconds, law, Ring(TEETH), wiring, seed=11), units=("V",))


def missing_tooth() -> Samples:
    """A coil sensor over a ring with one tooth broken off, coasting down."""
    seconds = times(6000, 4.0)
    ring = Ring(TEETH, {MISSING: 0.0}, height_wave=0.04)
    volts = passive(seconds, changing(3.0, 1.4, 4.0), ring, Wiring(noise_db=30), seed=12)
    return _captured(seconds, volts, units=("V",))


def active_sensor() -> Samples:
    """A sound two-wire sensor across 100 ohm, 44 pulses a turn."""
    seconds = times(6000, 3.0)
    law = changing(2.0, 3.5, 3.0)
    volts = active(seconds, law, Ring(44), Wiring(noise_db=34), seed=13, low=0.702, high=1.398)
    return _captured(seconds, volts, units=("V",))


def actuator() -> Samples:
    """A coil of 4.2 ohm and 21 mH, switched at 200 Hz, and its current (scipy's linear filter)."""
    seconds = times(4000, 0.2)
    period = round(1 / (HERTZ * seconds[1]))
    on = np.arange(seconds.size) % period < round(DUTY * period)
    drive = np.where(on, SUPPLY, 0.0)
    step = float(seconds[1])
    fade = np.exp(-step * OHMS / HENRY)
    amps = made.lfilter([(1 - fade) / OHMS], [1, -fade], np.concatenate([drive] * 3))[-4000:]
    random = np.random.default_rng(14)
    volts = drive + random.normal(0, 0.05, seconds.size)
    return _captured(seconds, volts, amps + random.normal(0, 0.01, 4000), units=("V", "A"))


MADE = {
    "left_rear_harness_moved": harness_moved,
    "ring_with_a_missing_tooth": missing_tooth,
    "active_sensor_across_100_ohm": active_sensor,
    "actuator_40_percent": actuator,
}


def text_of(capture: Samples) -> str:
    """As an instrument exports it: a line of names, then time and channels."""
    heads = [f"{name} ({unit})" for name, unit in zip(capture.names, capture.units, strict=True)]
    lines = [",".join(["Time (s)", *heads])]
    lines += [
        ",".join([f"{at:.5f}", *(f"{value:.4f}" for value in row)])
        for at, row in zip(capture.seconds, capture.channels.T, strict=True)
    ]
    return "\n".join(lines) + "\n"


def main() -> None:
    for name, make in MADE.items():
        file = FOLDER / f"{name}.csv"
        file.write_text(text_of(make()), encoding="utf-8")
        sys.stdout.write(f"{file.name}: {file.stat().st_size // 1024} kB\n")


if __name__ == "__main__":
    main()
