"""`python -m tests.bench.waveform FILE [SEEDS]`: try the analysis of signals.

`python -m tests.bench.waveform table FILE`: print what such a file holds. Needs no database.
"""

from __future__ import annotations

import json
import os
import statistics
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from textwrap import wrap
from typing import Any

import numpy as np

from diagnostics.compute.waveform import Sensor, analyse
from tests.bench.waveform_trials import FAULTS, NOISES, SAMPLES_A_TOOTH, TEETH, WAVE, Trial, run
from tests.waves import Ring, Wiring, active, changing, passive, times

SEEDS = 1000
# Others than those that the analysis was built with.
FIRST_SEED = 50_000
MILLION = 1_000_000
TIMES = 5
AIM = 2.0

_ALARMS = ("tooth", "silence", "height", "pitch", "stray")
NOTE = (
    f"Each seed: 20 to 40 turns of {TEETH} teeth, {SAMPLES_A_TOOTH} samples a tooth, passive "
    "sensor, speed changing evenly by up to half, place, polarity and offset at random; white "
    "noise. Found: right kind at the right place (all drop-outs, of 4 to 60 teeth each); with no "
    "fault: nothing said at all. At place: something found there, whatever it was called. False "
    "alarms: a tooth, a drop-out, a wave of height or pitch, or a pulse too many that was not "
    "planted. All in per cent of the seeds. Real signals differ from made ones: these rates hold "
    "for these signals alone."
)


def measure(file: Path, seeds: int) -> None:
    cells = {}
    with ProcessPoolExecutor(len(os.sched_getaffinity(0))) as pool:
        for fault in FAULTS:
            for noise in NOISES:
                done = pool.map(
                    partial(run, fault, noise), range(FIRST_SEED, FIRST_SEED + seeds), chunksize=20
                )
                cells[f"{fault} {noise}"] = _summed(list(done))
    kept = {"seeds": seeds, "cells": cells, "million": _million()}
    file.write_text(json.dumps(kept), encoding="utf-8")


def _summed(trials: Sequence[Trial]) -> dict[str, float]:
    names = ("found", "placed", *_ALARMS)
    shares = {name: statistics.fmean(getattr(one, name) for one in trials) for name in names}
    shares["any"] = statistics.fmean(any(getattr(one, name) for name in _ALARMS) for one in trials)
    sizes = np.array([one.size for one in trials])
    shares["size"] = float(np.nanmedian(sizes))
    shares["size_error"] = float(np.nanquantile(np.abs(sizes - WAVE), 0.95))
    return shares


def _million() -> dict[str, list[float]]:
    """Seconds for one analysis of a million samples with faults in them: clock and processor."""
    seconds = times(MILLION, 100)
    wiring = Wiring(noise_db=20, gaps=((1, 1.02), (50, 50.3)))
    law, ring = changing(8, 12, 100), Ring(TEETH, {7: 0.0})
    signals = {
        "passive": (Sensor.COIL, passive(seconds, law, ring, wiring)),
        "active": (Sensor.CURRENT, active(seconds, law, ring, wiring)),
    }
    found = {}
    for name, (sensor, volts) in signals.items():
        clock, processor = [], []
        for _ in range(TIMES):
            wall, own = time.perf_counter(), time.process_time()
            analyse(seconds, volts, sensor, teeth=TEETH)
            clock.append(time.perf_counter() - wall)
            processor.append(time.process_time() - own)
        found[name] = [statistics.median(clock), statistics.median(processor)]
    return found


def lines(kept: dict[str, Any]) -> list[str]:
    """The table of what was found, and how long a million samples take."""
    heads = ("found", "at place", "any false", *_ALARMS)
    rows = [
        f"Faults in a wheel-speed signal, {kept['seeds']:,} seeds for each row, per cent",
        "",
        f"{'planted':<20}{'noise':>8}" + "".join(f"{head:>11}" for head in heads),
    ]
    for fault in FAULTS:
        for noise in NOISES:
            cell = kept["cells"][f"{fault} {noise}"]
            shown = [cell[name] for name in ("found", "placed", "any", *_ALARMS)]
            rows.append(
                f"{fault:<20}{noise:>5} dB" + "".join(f"{100 * share:>11.1f}" for share in shown)
            )
    rows.append("")
    for noise in NOISES:
        cell = kept["cells"][f"3 % once a turn {noise}"]
        rows.append(
            f"The 3 % wave at {noise} dB comes out as {100 * cell['size']:.2f} % (median); 95 % of "
            f"the seeds are within {100 * cell['size_error']:.2f} of it."
        )
    for name, (clock, processor) in kept["million"].items():
        said = "aim" if clock <= AIM else "OVER the aim"
        rows.append(
            f"Analysis of {MILLION:,} samples, {name}: {clock:.2f} s, of which processor "
            f"{processor:.2f} s   {said} {AIM:g} s"
        )
    return [*rows, "", *wrap(NOTE, 96)]


def main(words: list[str]) -> None:
    if words[0] == "table":
        kept = json.loads(Path(words[1]).read_text(encoding="utf-8"))
        sys.stdout.write("\n".join(lines(kept)) + "\n")
    else:
        measure(Path(words[0]), int(words[1]) if len(words) > 1 else SEEDS)


if __name__ == "__main__":
    main(sys.argv[1:])
