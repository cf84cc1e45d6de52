"""A full Counter: twenty suppliers, and 500 open lines, half to order and half on their way."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from jobs.models import Replacement
from jobs.services import supply
from jobs.services.supply import Wanted
from jobs.stages import Stage
from shop import clock
from tests.jobs.along import Crew

SUPPLIERS, LINES = 20, 500


def fill(crew: Crew) -> None:
    """Lines to order on the jobs that await assemblies, and orders for the shelf."""
    half = LINES // 2
    waiting = list(
        Replacement.objects.filter(
            workshop=crew.counter.workshop, complaint__order__stage=Stage.AWAITING_ASSEMBLY
        )
    )
    now = clock.now()
    Replacement.objects.bulk_create(
        Replacement(
            workshop=crew.counter.workshop,
            complaint=waiting[n % len(waiting)].complaint,
            component=waiting[0].component,
            part_number=f"OPEN-{n:03}",
            price=Decimal("80.00"),
            state=Replacement.State.TO_ORDER,
            state_since=now,
            supplier=f"Supplier {n % SUPPLIERS + 1}",
        )
        for n in range(half)
    )
    for number in range(SUPPLIERS):
        lines = [
            Wanted(f"WAY-{n:03}", 1 + n % 3, Decimal("41.35"))
            for n in range(number, half, SUPPLIERS)
        ]
        supply.place(
            crew.counter,
            act=uuid4(),
            supplier=f"Supplier {number + 1}",
            lines=lines,
            expected_on=clock.today() + timedelta(days=1),
        )
