"""The workshop that is measured: made by the services, its past multiplied in the database."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import cycle, islice
from typing import Any
from uuid import uuid4

from django.db import connection, models

from diagnostics.models import (
    Conclusion,
    Evidence,
    FlagClearing,
    FlagRead,
    LampCheck,
    Reading,
    Session,
    StoredFlag,
    TelltaleObservation,
)
from jobs.models import (
    Authority,
    AuthorityLine,
    Claim,
    ClaimAnswer,
    ClaimLine,
    ClaimPayment,
    Complaint,
    Estimate,
    EstimateLine,
    FittedUnit,
    HeldPart,
    Invoice,
    InvoiceLine,
    InvoiceTax,
    LabourLine,
    Payment,
    RepairOrder,
    Replacement,
    RoadTest,
    StageMove,
    StockMovement,
    Submission,
    SupplyLine,
    SupplyOrder,
    SupplyReceipt,
)
from jobs.services import cores, held_leaves, invoices, payments, release
from jobs.stages import Stage
from shop.models import Bay, OdometerReading, Vehicle, Workshop
from shop.roles import Role
from tests.bench import claims, counter
from tests.cast import person
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to

OPEN_STAGES = (
    Stage.RECEIVED,
    Stage.DIAGNOSING,
    Stage.AWAITING_AUTHORITY,
    Stage.AWAITING_ASSEMBLY,
    Stage.REPAIRING,
    Stage.PROVING,
    Stage.READY,
    Stage.DECLINED,
)
# What a job leaves behind, each table after those it points at. The log and the acts are left
# out: nothing that is measured reads them.
PAST: tuple[type[models.Model], ...] = (
    Vehicle,
    OdometerReading,
    Session,
    LampCheck,
    TelltaleObservation,
    FlagRead,
    StoredFlag,
    FlagClearing,
    Reading,
    Conclusion,
    Evidence,
    RepairOrder,
    StageMove,
    Complaint,
    LabourLine,
    FittedUnit,
    SupplyOrder,
    SupplyLine,
    SupplyReceipt,
    Replacement,
    StockMovement,
    HeldPart,
    Invoice,
    InvoiceLine,
    InvoiceTax,
    Payment,
    Estimate,
    EstimateLine,
    Authority,
    AuthorityLine,
    RoadTest,
    Claim,
    ClaimLine,
    Submission,
    ClaimAnswer,
    ClaimPayment,
)
STRIDE = 10_000


@dataclass(frozen=True)
class World:
    workshop: Workshop
    crew: Crew
    closed: RepairOrder
    past: dict[type[models.Model], list[int]]


def build(*, open_jobs: int) -> World:
    """A workshop with this many open jobs, spread over the stages, and one closed one."""
    workshop = Workshop.objects.create(
        name="Bench", slug="bench", order_prefix="B", labour_rate=Decimal("90.00")
    )
    Bay.objects.bulk_create(Bay(workshop=workshop, name=f"Bay {n}") for n in range(1, 5))
    crew = Crew(
        technician=person(workshop, "Ines R.", Role.TECHNICIAN),
        manager=person(workshop, "Bela K.", Role.MANAGER),
        counter=person(workshop, "Nuri A.", Role.COUNTER),
    )
    closed = bring_to(Stage.READY, _job(crew), crew)
    release.release(crew.manager, closed, act=uuid4(), revision=closed.revision)
    closed.refresh_from_db()
    _settle(crew, closed)
    claims.past(crew.manager, closed)
    past = {model: _keys(model) for model in PAST}
    for stage in islice(cycle(OPEN_STAGES), open_jobs):
        bring_to(stage, _job(crew), crew)
    counter.fill(crew)
    claims.fill(crew)
    return World(workshop, crew, closed, past)


def _settle(crew: Crew, closed: RepairOrder) -> None:
    """What is past is paid for, and its old part has left: nothing of it waits for anybody."""
    invoice = invoices.issue(crew.manager, act=uuid4(), order=closed, revision=closed.revision)
    payments.take(
        crew.manager, act=uuid4(), invoice=invoice, how=Payment.How.CASH, amount=invoice.owed
    )
    held = HeldPart.objects.get()
    if held.why != HeldPart.Why.CORE:
        held_leaves.scrap(
            crew.manager, act=uuid4(), held=held, revision=held.revision, although="long ago"
        )
        return
    sent = held_leaves.send(crew.manager, act=uuid4(), held=held, revision=held.revision, to="them")
    cores.credit(
        crew.manager,
        act=uuid4(),
        held=sent,
        revision=sent.revision,
        amount=sent.credit_expected or Decimal(0),
    )


def _job(crew: Crew) -> RepairOrder:
    return a_repair_order(crew.manager, technician=crew.technician)


def multiply(world: World, first: int, last: int) -> None:
    """Closed jobs number `first` to `last`: copies of the one that went through the services."""
    for model, keys in world.past.items():
        _copy(model, keys, first, last)


def _keys(model: type[models.Model]) -> list[int]:
    return list(model._default_manager.order_by("pk").values_list("pk", flat=True))


def _copy(model: type[models.Model], keys: Iterable[int], first: int, last: int) -> None:
    name = connection.ops.quote_name
    fields = model._meta.concrete_fields
    columns = ", ".join(name(field.column or field.name) for field in fields)
    values = ", ".join(_value(model, field) for field in fields)
    listed = ", ".join(str(key) for key in keys)
    if not listed:
        return
    statement = (
        f"WITH RECURSIVE copies(n) AS "
        f"(SELECT {first} UNION ALL SELECT n + 1 FROM copies WHERE n < {last}) "
        f"INSERT INTO {name(model._meta.db_table)} ({columns}) "
        f"SELECT {values} FROM {name(model._meta.db_table)} AS row, copies "
        f"WHERE row.{name('id')} IN ({listed})"
    )
    with connection.cursor() as cursor:
        cursor.execute(statement)


def _value(model: type[models.Model], field: Any) -> str:
    """A column of copy number n: keys move together, what must be unique is counted on."""
    column = f"row.{connection.ops.quote_name(field.column)}"
    own: dict[tuple[type[models.Model], str], str] = {
        (RepairOrder, "serial"): f"{column} + n * {STRIDE}",
        (RepairOrder, "number"): "'C' || n",
        (SupplyOrder, "serial"): f"{column} + n * {STRIDE}",
        (SupplyOrder, "number"): "'S' || n",
        (Invoice, "serial"): f"{column} + n * {STRIDE}",
        (Invoice, "number"): "'I' || n",
        (Payment, "serial"): f"{column} + n * {STRIDE}",
        (Payment, "number"): "'R' || n",
        (HeldPart, "serial"): f"{column} + n * {STRIDE}",
        (HeldPart, "number"): "'T' || n",
        (Claim, "serial"): f"{column} + n * {STRIDE}",
        (Claim, "number"): f"'K' || (row.serial + n * {STRIDE})",
        (Vehicle, "vin"): f"substr({column}, 1, 9) || substr(CAST(100000000 + n AS text), 2)",
        (Vehicle, "plate"): "'P' || n",
        (Vehicle, "plate_key"): "'P' || n",
    }
    if (model, field.name) in own:
        return own[model, field.name]
    if field.primary_key or field.related_model in PAST:
        return f"{column} + n * {STRIDE}"
    if model in (RepairOrder, Claim) and isinstance(field, models.DateTimeField):
        return _earlier(column)
    return column


def _earlier(column: str) -> str:
    """Half an hour before the copy ahead of it."""
    if connection.vendor == "sqlite":
        return f"datetime({column}, '-' || (30 * n) || ' minutes')"
    return f"{column} - n * interval '30 minutes'"
