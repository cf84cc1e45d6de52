"""`python -m tests.bench.captures FILE`: time a capture of a million samples.

`python -m tests.bench.captures table FILE`: print what such a file holds. Needs no database.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from textwrap import wrap
from time import perf_counter
from typing import Any

import numpy as np

from diagnostics.captures import CaptureError, Samples, read_capture
from diagnostics.compute.waveform import Sensor, analyse
from tests.waves import Ring, Wiring, changing, passive, times

SAMPLES, LENGTH, TEETH = 1_000_000, 100, 48
TURNS = 7
READ_AIM, WHOLE_AIM = 2.0, 3.0

CASES = {
    "loadtxt": "numpy.loadtxt of the same file",
    "comma": "read_capture, commas",
    "semicolon": "read_capture, semicolons, decimal comma, CRLF",
    "tab": "read_capture, tabs",
    "whole": "read_capture and analysis of the signal",
    "bad": "one bad line of a million, found and said",
}
RATIOS = (
    ("reading / numpy.loadtxt", "comma", READ_AIM),
    ("reading a decimal comma / numpy.loadtxt", "semicolon", READ_AIM),
    ("reading and analysis / numpy.loadtxt", "whole", WHOLE_AIM),
)
NOTE = (
    "Medians in one process, taking turns. Every case but the analysis ends with NumPy arrays of "
    "time and volts; read_capture also finds the layout, checks every line and says how it read "
    "the file. numpy.loadtxt is told the separator and to skip the first line, and reads from the "
    "disk's cache."
)


def measure(file: Path) -> None:
    seconds = times(SAMPLES, LENGTH)
    volts = passive(seconds, changing(8, 12, LENGTH), Ring(TEETH, {7: 0.0}), Wiring(noise_db=20))
    plain = _written(seconds, volts)
    lines = plain.split(b"\n")
    lines[SAMPLES // 2] = b"50.0000,abc"
    spoiled = b"\n".join(lines)
    continental = plain.replace(b",", b";").replace(b".", b",").replace(b"\n", b"\r\n")
    with TemporaryDirectory() as folder:
        path = Path(folder) / "capture.csv"
        path.write_bytes(plain)
        cases: dict[str, Callable[[], object]] = {
            "loadtxt": lambda: np.loadtxt(path, delimiter=",", skiprows=1),
            "comma": lambda: read_capture(plain),
            "semicolon": lambda: read_capture(continental),
            "tab": lambda: read_capture(plain.replace(b",", b"\t")),
            "whole": lambda: _found(read_capture(plain)),
            "bad": lambda: _refused(spoiled),
        }
        _must_agree(cases)
        kept = {"bytes": len(plain), "seconds": _side_by_side(cases)}
    file.write_text(json.dumps(kept), encoding="utf-8")


def _written(seconds: np.ndarray, volts: np.ndarray) -> bytes:
    text = io.BytesIO()
    head = "Time (s),Channel A (V)"
    columns = np.column_stack((seconds, volts))
    np.savetxt(text, columns, fmt=("%.6f", "%.5f"), delimiter=",", header=head, comments="")
    return text.getvalue()


def _found(samples: Samples) -> object:
    return analyse(samples.seconds, samples.channels[0], Sensor.COIL, teeth=TEETH).pulses


def _refused(spoiled: bytes) -> str:
    try:
        read_capture(spoiled)
    except CaptureError as error:
        return error.sentence
    raise AssertionError("A spoiled file was read.")


def _must_agree(cases: dict[str, Callable[[], Any]]) -> None:
    """A quick answer counts only when it is right."""
    expected = cases["loadtxt"]()
    for name in ("comma", "semicolon", "tab"):
        samples = cases[name]()
        if not np.array_equal(np.vstack((samples.seconds, samples.channels)).T, expected):
            raise AssertionError(f"{name}: not what numpy.loadtxt reads.")
    if cases["whole"]() is None:
        raise AssertionError("The signal was not found.")
    if f"Line {SAMPLES // 2 + 1:,}, column 2" not in cases["bad"]():
        raise AssertionError("The wrong line was named.")


def _side_by_side(cases: dict[str, Callable[[], object]]) -> dict[str, float]:
    taken: dict[str, list[float]] = {name: [] for name in cases}
    for _ in range(TURNS):
        for name, case in cases.items():
            begun = perf_counter()
            case()
            taken[name].append(perf_counter() - begun)
    return {name: median(values) for name, values in taken.items()}


def lines(kept: dict[str, Any]) -> list[str]:
    """The table of what was measured."""
    seconds = kept["seconds"]
    size = kept["bytes"] / 1e6
    rows = [f"A capture of {SAMPLES:,} samples of time and one channel, {size:.1f} MB", ""]
    rows += [f"{words:<48}{seconds[name]:>8.2f} s" for name, words in CASES.items()]
    rows.append("")
    for words, name, aim in RATIOS:
        ratio = seconds[name] / seconds["loadtxt"]
        said = "aim" if ratio <= aim else "OVER the aim"
        rows.append(f"{words:<48}{ratio:>8.2f}     {said} {aim:g}")
    return [*rows, "", *wrap(NOTE, 96)]


def main(words: list[str]) -> None:
    if words[0] == "table":
        kept = json.loads(Path(words[1]).read_text(encoding="utf-8"))
        sys.stdout.write("\n".join(lines(kept)) + "\n")
    else:
        measure(Path(words[0]))


if __name__ == "__main__":
    main(sys.argv[1:])
