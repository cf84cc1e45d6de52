"""The column of time: its unit, where nobody says, and that it runs forwards. Pure."""

from __future__ import annotations

import numpy as np

from diagnostics.capture_files.samples import CaptureError, Numbers
from shop.units import format_number, format_value, spaced

TIME_WORDS = {"s": "seconds", "ms": "milliseconds", "us": "microseconds", "ns": "nanoseconds"}
_FACTORS = {"s": 1.0, "ms": 1e-3, "us": 1e-6}

# Sample rates in Hz and lengths in s of captures made at a car: first the usual, then all.
_USUAL = (1e3, 1e6, 600.0)
_POSSIBLE = (100.0, 1e7, 3600.0)
_SLACK = 1.001
_EVEN = 0.02
_LEAST_SHOWN = 1e-9


def inferred_unit(times: Numbers) -> str:
    """The unit in which these times, (n,) increasing, are those of an instrument's capture.

    Raises CaptureError when no unit makes them so.
    """
    step = float(np.median(np.diff(times)))
    whole = float(times[-1] - times[0])
    for slowest, fastest, longest in (_USUAL, _POSSIBLE):
        for unit, factor in _FACTORS.items():
            rate = 1 / (step * factor)
            if slowest / _SLACK <= rate <= fastest * _SLACK and whole * factor <= longest:
                return unit
    shown = format_number(step) if step > _LEAST_SHOWN else "next to nothing"
    raise CaptureError(
        f"The file does not say in which unit its times are, and the steps of {shown} fit none. "
        "Choose seconds, milliseconds or microseconds."
    )


def first_not_later(times: Numbers) -> int | None:
    """The first row whose time is not after that of the row before, None when all are."""
    steps = np.diff(times)
    if (steps > 0).all():
        return None
    return int(np.argmax(~(steps > 0))) + 1


def about_steps(seconds: Numbers) -> tuple[str, ...]:
    """Sentences about the length, the rate and whether the steps are equal."""
    steps = np.diff(seconds)
    step = float(np.median(steps))
    length = format_value(float(seconds[-1] - seconds[0]), "s")
    said = [f"{spaced(len(seconds))} samples over {length}, {format_value(1 / step, 'Hz')}."]
    if not _POSSIBLE[0] / _SLACK <= 1 / step <= _POSSIBLE[1] * _SLACK:
        said.append("That is an unusual sample rate: check the unit of time.")
    if float(steps.max() - steps.min()) > _EVEN * step:
        said.append(
            f"The steps are unequal: from {format_value(float(steps.min()), 'ms')} "
            f"to {format_value(float(steps.max()), 'ms')}."
        )
    return tuple(said)
