"""How long repairs hold, and who differs: from rows to sentences, with checks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import numpy as np
import pytest
from django.utils import timezone

from jobs.models import CauseClass, Comeback, Repair
from jobs.queries.returns import OF_PARTS, OF_WORK
from jobs.reports.document import ReportTable, Section, Span
from jobs.reports.figures import comebacks, people
from jobs.reports.figures.comeback_change import change_of
from jobs.reports.figures.comebacks import Window
from jobs.reports.queries.comebacks import HELD, Classes, Group, Repairs, classes, repairs
from jobs.reports.queries.follow_up import Gap
from jobs.reports.stats.life_table import LifeTable, life_table
from shop import clock
from shop.actor import Actor
from shop.charting import Line
from shop.models import Vehicle
from tests.asserts import counted
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew
from tests.jobs.reports.seen_made import seen_on
from tests.jobs.reports.stats.checked import check_rows, data_set
from tests.jobs.returned import a_return

TODAY = date(2026, 6, 30)
NO_GAP = Gap(0.0, 0, "")
SPAN = Span(date(2026, 6, 1), TODAY)


def group(
    held: int,
    back: int | None = None,
    *,
    technician: int = 1,
    diagnosed: int | None = None,
    supplier: str = "Ostrel",
    cause: str = CauseClass.WORKMANSHIP,
    kind: str = "hub",
    count: int = 1,
) -> Group:
    """So many repairs, each followed for `held` days or back after `back`."""
    of = HELD if back is None else cause
    who = (technician, diagnosed or technician)
    return Group(kind, *who, supplier, held, held, held, back, of, back, count)


def of(*groups: Group) -> Repairs:
    return Repairs(groups, NO_GAP, TODAY)


def table_of(section: Section, key: str) -> ReportTable:
    return next(table for table in section.tables if table.key == key)


# ------------------------------------------------------------------ from the rows


def a_row(
    actor: Actor, held: int, back: int | None, *, seen: bool = True, **more: object
) -> Repair:
    """A repair handed over `held` days ago, back after `back` days."""
    vehicle = a_vehicle(actor)
    handed = clock.today().toordinal() - held
    with clock.at(nine(handed)):
        order = a_repair_order(actor, vehicle=vehicle)
    seen_on(actor, [(vehicle.pk, clock.today().toordinal())] if seen else [])
    row: Repair = Repair.objects.create(
        workshop=actor.workshop,
        complaint=order.complaints.get(),
        vehicle=vehicle,
        handed_day=handed,
        seen_day=clock.today().toordinal(),
        back_day=None if back is None else handed + back,
        **more,
    )
    if back is not None:
        a_proposal(actor, row, back)
    return row


def nine(day: int) -> datetime:
    return timezone.make_aware(datetime.combine(date.fromordinal(day), time(9)))


def a_proposal(actor: Actor, row: Repair, days: int, **decided: object) -> Comeback:
    """A return so many days after hand-over that nobody decided on yet, or as decided."""
    came = nine(row.handed_day + days)
    with clock.at(came):
        order = a_repair_order(actor, vehicle=a_vehicle(actor))
    found: Comeback = Comeback.objects.create(
        workshop=actor.workshop,
        complaint=order.complaints.get(),
        repair=row,
        because=Comeback.Because.COMPONENT,
        days=days,
        proposed_at=came,
        **decided,
    )
    return found


@pytest.mark.django_db
@pytest.mark.parametrize(
    "row", [one for one in check_rows() if one.dataset == "constructed_comeback_12"],
    ids=lambda row: row.named,
)  # fmt: skip
def test_the_constructed_repairs_hold_as_was_worked_out_by_hand(crew: Crew, row: object) -> None:
    """Marked C: constructed, a product of fractions."""
    for one in data_set("constructed_comeback_12"):
        back = int(one["comeback_day"]) if one["comeback_day"] else None
        a_row(crew.manager, int(one["days_since_repair_at_cutoff"]), back)
    found = repairs(crew.manager, clock.today())
    table = life_table(found.counts(), at_least=1)
    assert isinstance(table, LifeTable)
    days = int(row.quantity.partition("S(")[2].rstrip(")"))  # type: ignore[attr-defined]
    at = table.at(days)
    assert at is not None
    assert row.met_by(at.survival)  # type: ignore[attr-defined]


@pytest.mark.django_db
def test_what_came_later_than_the_last_day_counted_is_not_known(crew: Crew) -> None:
    a_row(crew.manager, 100, 40)
    a_row(crew.manager, 5, None)
    long_ago = clock.today() - timedelta(days=70)
    found = repairs(crew.manager, long_ago)
    assert (found.count, found.returns()) == (1, 0)
    assert repairs(crew.manager, clock.today()).returns() == 1


@pytest.mark.django_db
def test_a_decision_is_known_from_its_day_on(crew: Crew) -> None:
    """Two returns of forty days ago: one decided ten days ago not to be ours, one undecided."""
    today = clock.today().toordinal()
    decided = {"cause": CauseClass.NOT_OURS, "decided_at": nine(today - 10)}
    for more in (decided, {}):
        a_proposal(crew.manager, a_row(crew.manager, 100, None), 60, **more)
    now = repairs(crew.manager, clock.today())
    assert now.returns() == 1
    assert now.as_proposed.returns() == 2
    then = clock.today() - timedelta(days=20)
    assert repairs(crew.manager, then).returns() == 2
    month = clock.today().replace(day=1)
    assert classes(crew.manager, month, then).ever == Counter({"": 2})
    assert classes(crew.manager, month, clock.today()).ever == Counter(
        {"": 1, CauseClass.NOT_OURS: 1}
    )


@pytest.mark.django_db
def test_a_report_of_a_past_day_knows_nothing_of_later_visits(crew: Crew) -> None:
    """What was seen of the vehicle after the last day counted does not lengthen its follow-up."""
    row = a_row(crew.manager, 100, None, seen=False)
    first = clock.today().toordinal() - 100
    seen_on(crew.manager, [(row.vehicle_id, first + 90)])
    [then] = repairs(crew.manager, date.fromordinal(first + 50)).groups
    assert (then.seen, then.most) == (0, 50)
    [now] = repairs(crew.manager, date.fromordinal(first + 95)).groups
    assert (now.seen, now.most) == (90, 95)


@pytest.mark.django_db
def test_a_repair_is_followed_no_longer_than_its_vehicle(crew: Crew) -> None:
    row = a_row(crew.manager, 100, None, seen=False)
    first = clock.today().toordinal() - 100
    Vehicle.objects.filter(pk=row.vehicle_id).update(
        gone=Vehicle.Gone.choices[0][0], gone_on=date.fromordinal(first + 30)
    )
    [found] = repairs(crew.manager, clock.today()).groups
    assert found.most == 30
    some = Repairs((found,), Gap(80, 99, ""), clock.today())
    assert some.ends == [30]


def test_late_deciding_alone_is_no_change() -> None:
    """Half of the old returns were decided to be somebody else's matter; of the young none yet."""
    rows = []
    for handed, decided in ((400, True), (60, False)):
        for back in range(20):
            away = decided and back % 2 == 0
            one = group(handed, None if away else 10 + back)
            rows.append(replace(one, proposed=10 + back))
        rows.append(group(handed, None, count=180))
    found = change_of(of(*rows))
    assert found is not None
    assert found.lately == 20
    assert not found.told


@pytest.mark.django_db
def test_the_same_queries_for_many_repairs_as_for_few(crew: Crew) -> None:
    def asked() -> int:
        with counted() as queries:
            comebacks.section(crew.manager, Span(clock.today().replace(day=1), clock.today()))
            people.section(crew.manager, Span(clock.today().replace(day=1), clock.today()))
        return len(queries)

    a_row(crew.manager, 20, 4, technician=crew.technician.user)
    few = asked()
    for number in range(6):
        a_row(crew.manager, 30 + number, None, technician=crew.manager.user)
    assert asked() == few


@pytest.mark.django_db
def test_a_workshop_that_opened_last_week_gets_sentences_and_blanks(crew: Crew) -> None:
    span = Span(clock.today().replace(day=1), clock.today())
    assert "No repair" in comebacks.section(crew.manager, span).says[0]
    assert "No repair" in people.section(crew.manager, span).says[0]
    a_row(crew.manager, 3, None)
    section = comebacks.section(crew.manager, span)
    assert "too few" in section.says[0]
    cells = table_of(section, "comebacks").rows[0]
    assert [cell.words for cell in cells[3:7]] == ["–"] * 4
    assert not section.figures


@pytest.mark.django_db
def test_undecided_returns_are_counted_apart_and_found(crew: Crew) -> None:
    a_return(crew)
    span = Span(clock.today().replace(day=1), clock.today())
    section = comebacks.section(crew.manager, span)
    assert any("waits for its decision" in line for line in section.says)
    (finding,) = section.findings
    assert finding.way is not None
    assert finding.way.name == "returns"
    named = table_of(section, "comebacks-by-class").rows[0]
    assert [cell.value for cell in named[:3]] == ["not decided yet", 1, 1]


# ------------------------------------------------------------------ of what was counted


def test_a_ratio_of_last_months_repairs_would_flatter_and_the_curve_does_not() -> None:
    """Ten old ones of which four came back, and a hundred of last week."""
    found = of(group(400, 20, count=4), group(400, count=6), group(5, count=100))
    at = table_of(_made(found), "comebacks").rows[0]
    shown = {"repairs": at[1].value, "back": at[2].value}
    assert shown == {"repairs": 110, "back": 4}
    assert at[7].value is not None
    assert float(at[7].words) == 60.0  # after 90 days, not 96 of 100


@pytest.mark.parametrize(
    ("days", "told", "within"),
    [(90, [True, True, False], 90), (60, [True, False, False], 60), (400, [True] * 3, 90)],
)
def test_nothing_is_told_beyond_the_days_within_which_the_rule_takes_a_return(
    days: int, told: list[bool], within: int
) -> None:
    """All followed for 500 days, none back after the twentieth: beyond the window because of the
    rule, and not because they held."""
    section = _made(of(group(500, 20, count=5), group(500, count=45)), days)
    cells = table_of(section, "comebacks").rows[0]
    assert [cells[at].value is not None for at in (3, 7, 11)] == told
    assert f"90.0 % have not come back within {within} days" in section.says[0]
    line = section.figures[0].chart.layers[1]
    assert isinstance(line, Line)
    assert line.points[-1][0] == min(days, 365)
    assert any(f"within {days} days and 5,000 km" in words for words in section.limits)


def _made(found: Repairs, days: int = 90) -> Section:
    window = Window(days, "5,000 km")
    return comebacks.made(found, _none(), {"hub": "Hub"}, SPAN.month, window)


def _none() -> Classes:
    return Classes(Counter(), Counter())


def test_a_same_day_return_counts_as_half_a_day() -> None:
    counts = of(group(100, 0, count=2), group(100, count=10)).counts()
    assert list(counts.t) == [0, 0.5, 100]
    assert counts.failures == 2


def test_with_some_classes_the_others_end_the_follow_up_uncounted() -> None:
    found = of(group(100, 10, cause=CauseClass.PART), group(100, 20, cause=""))
    counts = found.counts(OF_PARTS)
    assert counts.failures == 2
    assert found.counts(OF_WORK).failures == 1
    assert found.returns(OF_WORK) == 1


def expected_slowly(own: Sequence[Group], every: Sequence[Group]) -> float:
    """The hazard of all, day by day, for each of one's own repairs while it was followed."""
    summed = 0.0
    for mine in own:
        end = mine.back if mine.back is not None else mine.seen
        for day in range(1, end + 1):
            risk = sum(g.count for g in every if (g.back if g.back is not None else g.seen) >= day)
            back = sum(g.count for g in every if g.back == day)
            summed += mine.count * back / risk if back else 0.0
    return summed


def test_expected_is_what_the_hazard_of_all_brings_in_ones_own_time() -> None:
    rng = np.random.default_rng(5)
    every = tuple(
        group(
            int(rng.integers(20, 200)),
            int(rng.integers(1, 20)) if rng.random() < 0.2 else None,
            technician=int(rng.integers(1, 4)),
        )
        for _ in range(60)
    )
    judged = people.by_fitter(of(*every), {1: "Ann", 2: "Bo", 3: "Cy"})
    for key, cell in enumerate(judged.cells, 1):
        own = [one for one in every if one.technician == key]
        assert cell.expected == pytest.approx(expected_slowly(own, every))
    assert sum(cell.expected for cell in judged.cells) == pytest.approx(of(*every).returns())


def shop(fast: int, new: int) -> Repairs:
    """Two hundred of each of two, five in a hundred back; `fast` of 200 and `new` of 6."""
    rows = []
    for person, size, back in ((1, 200, 10), (2, 200, 10), (3, 200, fast), (4, 6, new)):
        rows += [group(300, 30, technician=person, count=back)] if back else []
        rows += [group(300, technician=person, count=size - back)]
    return of(*rows)


def judged(found: Repairs) -> dict[str, str]:
    section = people.made(found, {1: "Tomas", 2: "Ines", 3: "Aune", 4: "Bert"})
    rows = table_of(section, "people-technicians").rows
    assert [row[0].words for row in rows] == ["Aune", "Bert", "Ines", "Tomas"]
    return {row[0].words: row[-1].words for row in rows}


def test_who_has_clearly_more_is_found_and_the_new_one_is_not_condemned() -> None:
    says = judged(shop(fast=40, new=1))
    assert says["Aune"] == "more than chance"
    assert says["Bert"] == "too few to judge"
    assert says["Tomas"] == "fewer than chance" or says["Tomas"] == "within chance"


@pytest.mark.parametrize(("open_", "words"), [(0, "to be expected."), (9, "of 9 of them nobody")])
def test_a_supplier_is_not_accused_of_what_nobody_decided_without_saying_so(
    open_: int, words: str
) -> None:
    """Of one supplier 20 of 100 came back, nine of them undecided or none; of the other two."""
    rows = [group(300, 30, supplier="Velm", cause=CauseClass.PART, count=20 - open_)]
    rows += [group(300, 30, supplier="Velm", cause="", count=open_)] if open_ else []
    rows += [group(300, 30, supplier="Ostrand", cause=CauseClass.PART, count=2)]
    rows += [group(300, supplier="Velm", count=80), group(300, supplier="Ostrand", count=98)]
    [finding] = people.made(of(*rows), {1: "Ann"}).findings
    assert "Velm" in finding.words
    assert words in finding.words


def test_a_wrong_diagnosis_is_held_against_who_named_the_cause() -> None:
    """Ann fits for all, Bo named the cause of forty that were wrong: it is not Ann's matter."""
    wrong = CauseClass.WRONG_DIAGNOSIS
    rows = [group(300, 30, technician=1, diagnosed=2, cause=wrong, count=40)]
    rows += [group(300, technician=1, diagnosed=2, count=160)]
    rows += [group(300, 30, technician=1, diagnosed=3, cause=wrong, count=5)]
    rows += [group(300, technician=1, diagnosed=3, count=195), group(300, technician=3, count=200)]
    section = people.made(of(*rows), {1: "Ann", 2: "Bo", 3: "Cy"})
    fitted = table_of(section, "people-technicians").rows
    named = {row[0].words: row for row in table_of(section, "people-diagnosis").rows}
    assert all(row[2].value == 0 for row in fitted)
    assert named["Bo"][-1].words == "more than chance"
    assert (named["Bo"][2].value, named["Cy"][2].value) == (40, 5)


def test_chance_is_called_chance() -> None:
    assert set(judged(shop(fast=12, new=0)).values()) == {"within chance", "too few to judge"}


def test_long_followed_repairs_are_not_held_against_the_young_ones() -> None:
    """All come back alike, one in five within sixty days; one person's are of last week."""
    rows = [group(400, 30, technician=1, count=40), group(400, technician=1, count=160)]
    rows += [group(5, technician=2, count=200)]
    found = people.by_fitter(of(*rows), {1: "Old", 2: "Young"})
    young = found.cells[1]
    assert young.expected < 1
    assert found.screening.rows[1].too_small


def test_nobody_is_named_on_the_first_page_but_a_supplier_may_be() -> None:
    rows = [group(300, 30, supplier="Bad", cause=CauseClass.PART, count=40)]
    rows += [group(300, supplier="Bad", count=60), group(300, supplier="Good", count=300)]
    rows += [group(300, 30, technician=2, count=60)]
    section = people.made(of(*rows), {1: "Ann", 2: "Bo"})
    assert [finding.key for finding in section.findings] == ["supplier Bad"]
    assert all("Bo" not in finding.words for finding in section.findings)
