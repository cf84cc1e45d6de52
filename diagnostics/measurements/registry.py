"""Every kind of measurement, by its key. Pure."""

from __future__ import annotations

from diagnostics.measurements import (
    alignment,
    braking,
    discs,
    electrics,
    fluids,
    hydraulics,
    steering,
    steering_assist,
    waveform,
    wheel_speed,
)
from diagnostics.measurements.kind import Group, MeasurementKind

ALL: tuple[MeasurementKind, ...] = (
    *wheel_speed.KINDS,
    *waveform.KINDS,
    *electrics.KINDS,
    *hydraulics.KINDS,
    *steering_assist.KINDS,
    *steering.KINDS,
    *alignment.KINDS,
    *discs.KINDS,
    *braking.KINDS,
    *fluids.KINDS,
)
KINDS: dict[str, MeasurementKind] = {kind.key: kind for kind in ALL}


def by_group() -> tuple[tuple[Group, tuple[MeasurementKind, ...]], ...]:
    """The kinds under their headings, in the order of the headings; those of a file come last."""
    ordered = sorted(ALL, key=lambda kind: kind.capture == "must")
    return tuple(
        (group, found)
        for group in Group
        if (found := tuple(kind for kind in ordered if kind.group is group))
    )
