"""What the tests of worked-out measurements have in common: dial readings, and their form."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from diagnostics.measurements.reading_in import read_typed
from diagnostics.measurements.registry import KINDS
from diagnostics.models import Measurement, Session
from diagnostics.services import measurements
from diagnostics.services.measurements import AtStep, Taken
from shop.actor import Actor

# Case C of the reference sheet's first-harmonic fits: zeroed at the low spot, 0.060 mm in all.
DIAL = ("0.00", "0.01", "0.03", "0.05", "0.06", "0.05", "0.03", "0.01")
FLAT = ("0.00", "0.01", "0.02", "0.02", "0.03", "0.02", "0.01", "0.01")


# Two-level volts at 100 Hz, for what does not look into it.
A_CAPTURE = b"time (s);volts\n" + b"".join(
    b"%.4f;%.3f\n" % (number / 1000, (number // 5) % 2) for number in range(400)
)


def dial(readings: tuple[str, ...] = DIAL) -> dict[str, str]:
    """The texts of the run-out form's boxes."""
    return {f"readings-{number}": text for number, text in enumerate(readings, 1)}


def taken(
    typed: dict[str, str], *, kind: str = "disc_runout", position: str = "LF", **more: Any
) -> Taken:
    which = KINDS[kind]
    return Taken(which, typed, read_typed(which.fields, typed), position, **more)


def a_run_out(
    actor: Actor,
    session: Session,
    readings: tuple[str, ...] = DIAL,
    *,
    position: str = "LF",
    at_step: AtStep | None = None,
) -> Measurement:
    """Run-out worked out from dial readings; by default exactly on PL2's limit."""
    what = taken(dial(readings), position=position)
    return measurements.record(actor, session, act=uuid4(), taken=what, at_step=at_step)
