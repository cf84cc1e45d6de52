"""Two tablets move one job at the same moment: one wins, the other is told."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from uuid import uuid4

import pytest
from django.db import connection, connections

from jobs.models import RepairOrder
from jobs.services import moves
from jobs.stages import Move, Stage
from shop.actor import Actor
from shop.errors import Clash
from tests.factories import a_repair_order

TABLETS = 6


@pytest.mark.django_db(transaction=True)
def test_of_many_tablets_that_move_one_job_at_once_exactly_one_succeeds(
    bela: Actor, ines: Actor
) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite lets one writer in at a time; this is about PostgreSQL")
    order = a_repair_order(bela, technician=ines)
    together = Barrier(TABLETS)

    def tap(_tablet: int) -> str:
        try:
            seen = RepairOrder.objects.get(pk=order.pk)
            together.wait(timeout=20)
            moves.move(ines, seen, Move.BEGIN, act=uuid4(), revision=seen.revision)
        except Clash:
            return "told"
        finally:
            connections.close_all()
        return "moved"

    with ThreadPoolExecutor(TABLETS) as pool:
        answers = sorted(pool.map(tap, range(TABLETS)))
    assert answers == ["moved"] + ["told"] * (TABLETS - 1)
    order.refresh_from_db()
    assert Stage(order.stage) is Stage.DIAGNOSING
    assert order.moves.count() == 1
