"""What the acts kept, and what follows from the jobs alone."""

from __future__ import annotations

from jobs.models import FittedUnit, Repair
from jobs.services import rebuilt
from shop.models import Vehicle, Workshop

CLOCK = (
    *("in_day", "out_day", "born_day", "in_m", "out_m", "born_m", "left_at_out_m", "m_a_day"),
    *("known_day", "stretch"),
)
PAPERS = ("entry", "entered_on", "exit", "left_on", "left_at_m", "serial_number", "batch")


def kept(workshop: Workshop) -> list[tuple[object, ...]]:
    """All lives and repairs, without the keys of rows that no replacement names."""
    units = FittedUnit.objects.filter(workshop=workshop).order_by(
        "vehicle", "component", "position", "in_day", "out_day", "exit", "serial_number"
    )
    repairs = Repair.objects.filter(workshop=workshop).order_by("pk")
    columns = ("vehicle", "component", "position", *CLOCK, *PAPERS)
    return [*units.values_list(*columns), *repairs.values_list()]


def assert_kept_as_rebuilt(workshop: Workshop) -> None:
    """What is kept follows from the jobs; made anew from nothing it is the same."""
    assert rebuilt.differences(workshop) == []
    before = kept(workshop)
    Repair.objects.filter(workshop=workshop, comebacks=None).delete()
    bare = FittedUnit.objects.filter(workshop=workshop, taken_off_by=None, put_on_by=None)
    bare.delete()
    FittedUnit.objects.filter(workshop=workshop).update(in_day=0, out_day=0, in_m=None)
    rebuilt.rebuild(workshop)
    after = kept(workshop)
    assert [row for row in before if row not in after] == []
    assert [row for row in after if row not in before] == []
    assert after == before


def lives_at(vehicle: Vehicle, key: str, position: str) -> list[FittedUnit]:
    rows = FittedUnit.objects.filter(vehicle=vehicle, component__key=key, position=position)
    return list(rows.order_by("in_day", "pk"))
