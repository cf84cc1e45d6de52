"""What is under way this morning besides the jobs: orders for the shelf, money, clocks."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

from diagnostics.models import PartNumber
from jobs.demo import hours
from jobs.demo.afterwards import pay
from jobs.demo.data import Bill, ClockLeft, EarlierVisit, OpenJob
from jobs.demo.house_data import SupplyRow
from jobs.demo.people import House
from jobs.demo.timesheet import Timesheet
from jobs.models import (
    ClockEntry,
    Complaint,
    Invoice,
    Payment,
    SupplyLine,
    SupplyOrder,
    SupplyReturn,
)
from jobs.services import clock as clocks
from jobs.services import (
    clock_end,
    corrections,
    receiving,
    supply,
    supply_changes,
    supply_returns,
)
from jobs.services.receiving import Came
from jobs.services.supply import Wanted
from shop import clock
from shop.roles import Role

_TALKED = timedelta(minutes=15)


def order(house: House, row: SupplyRow, now: datetime) -> None:
    """One order to a supplier, and all that became of it until now."""
    counter = house.holder(Role.COUNTER)
    with clock.at(hours.earlier(now, row.ago)):
        placed = supply.place(
            counter,
            act=uuid4(),
            supplier=row.supplier,
            lines=[_wanted(number, pieces) for number, pieces in row.lines.items()],
            expected_on=_days_on(clock.now(), row.days),
            their_reference=row.reference,
        )
    for came in row.came:
        line = _line(placed, came.number)
        with clock.at(hours.earlier(now, came.ago)):
            receiving.receive(
                counter,
                act=uuid4(),
                order=placed,
                delivery_note=f"L{placed.serial}",
                lines=[
                    Came(
                        line.pk,
                        line.revision,
                        good=came.good,
                        wrong=came.wrong,
                        damaged=came.damaged,
                        again=came.again,
                        because=came.because,
                    )
                ],
            )
    _change(house, placed, row, now)
    for number, how in row.back.items():
        _send_back(house, placed, number, how, now)


def _change(house: House, placed: SupplyOrder, row: SupplyRow, now: datetime) -> None:
    counter = house.holder(Role.COUNTER)
    if row.put_off:
        line = _line(placed, row.put_off.number)
        with clock.at(hours.earlier(now, row.put_off.ago)):
            supply_changes.put_off(
                counter,
                act=uuid4(),
                line=line,
                revision=line.revision,
                expected_on=_days_on(now, row.put_off.days),
                because=row.put_off.because,
            )
    if row.cancelled:
        line = _line(placed, row.cancelled.number)
        with clock.at(hours.earlier(now, row.cancelled.ago)):
            supply_changes.cancel_line(
                counter,
                act=uuid4(),
                line=line,
                revision=line.revision,
                quantity=row.cancelled.pieces,
                because=row.cancelled.because,
            )
    if row.void:
        with clock.at(hours.earlier(now, row.void.ago)):
            supply_changes.void(counter, act=uuid4(), order=placed, because=row.void.because)


def _send_back(house: House, placed: SupplyOrder, number: str, how: str, now: datetime) -> None:
    counter = house.holder(Role.COUNTER)
    back = SupplyReturn.objects.get(line__order=placed, part_number=number)
    with clock.at(hours.later(back.opened_at.astimezone(now.tzinfo), 90)):
        supply_returns.sent(counter, act=uuid4(), back=back, reference="their driver")
    if how == "credited":
        with clock.at(hours.earlier(now, 60)):
            supply_returns.credited(
                counter,
                act=uuid4(),
                back=back,
                amount=back.credit_expected,
                credit_note=f"CN {back.pk}",
            )


def collect(house: House, row: EarlierVisit, now: datetime) -> None:
    """Somebody paid this morning what was owed until now."""
    how = Payment.How.CASH if row.bill is Bill.CASH_TODAY else Payment.How.CARD
    invoice = Invoice.objects.get(
        workshop=house.workshop,
        order__vehicle__plate=row.plate,
        kind=Invoice.Kind.INVOICE,
        owed__gt=0,
    )
    with clock.at(hours.earlier(now, 35 if how == Payment.How.CASH else 50)):
        pay(house.holder(Role.MANAGER), invoice, how)


def evening_before(now: datetime) -> tuple[datetime, datetime]:
    """When somebody went home yesterday without clocking off: since when, and until closing."""
    return hours.last_of_the_day_before(now, 50)


def clocks_of(house: House, row: OpenJob, sheet: Timesheet, now: datetime) -> None:
    """What the clock of the job's technician looks like: running, forgotten, put right."""
    person = house.crew[row.by]
    complaint = Complaint.objects.get(
        order__vehicle__plate=row.plate,
        order__closed_at=None,
        order__workshop=house.workshop,
        line=1,
    )
    if row.clock is ClockLeft.RUNNING:
        sheet.leave_running(person, complaint, hours.earlier(now, 40))
    elif row.clock is ClockLeft.FORGOTTEN:
        begins, closes = evening_before(now)
        with clock.at(begins):
            clocks.on(person, act=uuid4(), complaint=complaint)
        with clock.at(closes + timedelta(hours=2)):
            clock_end.evening()
    elif row.clock is ClockLeft.CORRECTED:
        entry = ClockEntry.objects.filter(complaint=complaint).latest("started_at")
        assert entry.counted_to is not None
        with clock.at(hours.earlier(now, 30)):
            corrections.correct(
                house.holder(Role.MANAGER),
                act=uuid4(),
                entry=entry,
                seen=0,
                counted_from=entry.counted_from,
                counted_to=entry.counted_to
                - min(_TALKED, (entry.counted_to - entry.counted_from) / 2),
                because="Talked to the customer meanwhile; that was not on this job.",
            )


def _wanted(number: str, pieces: int) -> Wanted:
    part = PartNumber.objects.select_related("component").filter(number=number, retired=False)
    known = part.order_by("pk").first()
    assert known is not None, number
    return Wanted(number, pieces, known.cost or Decimal(0), known.component.name, known.component)


def _line(placed: SupplyOrder, number: str) -> SupplyLine:
    line: SupplyLine = placed.lines.get(part_number=number)
    return line


def _days_on(moment: datetime, days: int) -> date:
    return hours.later(moment, days * hours.DAY).date()
