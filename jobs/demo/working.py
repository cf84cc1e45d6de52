"""What the technician of the demo works out: from typed numbers, or from an instrument's file."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import uuid4

from django.conf import settings

from diagnostics.measurements.reading_in import InputErrors, read_typed
from diagnostics.measurements.registry import KINDS
from diagnostics.services import captures, measurements
from diagnostics.services.captures import FileRead, FileSent
from diagnostics.services.measurements import Taken
from jobs.demo.data import DemoProblem, Worked
from jobs.demo.job import Job

CAPTURES = settings.BASE_DIR / "fixtures" / "captures"
MINUTES = 8


def work_out(job: Job) -> None:
    """Everything that the row of an open job says was worked out, in its order."""
    session = job.order.session
    for row in job.row.worked:
        with job.watch.spend(MINUTES):
            measurements.record(job.hands, session, act=uuid4(), taken=_taken(row))


def _taken(row: Worked) -> Taken:
    kind = KINDS.get(row.kind)
    if kind is None:
        raise DemoProblem(f"Nothing called {row.kind} can be worked out.")
    typed = dict(_spread(row.typed))
    try:
        given = read_typed(kind.fields, typed)
    except InputErrors as wrong:
        raise DemoProblem(f"fixtures/demo/morning.yaml, {row.kind}: {wrong}") from wrong
    file = _file(row.capture) if row.capture else None
    return Taken(kind, typed, given, row.at, file=file, note=row.note)


def _spread(typed: Mapping[str, str | tuple[str, ...]]) -> Mapping[str, str]:
    """A list under a name fills its boxes: `readings: [0.01, 0.03]` is readings-1, readings-2."""
    spread: dict[str, str] = {}
    for name, text in typed.items():
        if isinstance(text, str):
            spread[name] = text
        else:
            spread |= {f"{name}-{number}": one for number, one in enumerate(text, 1)}
    return spread


def _file(name: str) -> FileRead:
    return captures.read(FileSent(name, (CAPTURES / name).read_bytes()))
