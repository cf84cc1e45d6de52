"""What comes off is tagged in the same act, and leaves once, for a reason."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.holding import Due, due
from jobs.models import HeldPart, RepairOrder, Replacement, Supplier, Terms
from jobs.queries import held as queries
from jobs.queries.held import List
from jobs.services import cores, fitting, held_leaves
from jobs.services import held as services
from jobs.services.held import HeldInput
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from tests.asserts import refused
from tests.jobs.along import Crew
from tests.jobs.holding import a_core, a_held_part, a_job_to_fit, close_job, fitted

State, Why = HeldPart.State, HeldPart.Why


@pytest.mark.parametrize(
    ("core", "payer", "wants", "why"),
    [
        ("", "customer", "", Why.SCRAP),
        ("", "customer", "wanted", Why.CUSTOMER),
        ("35.00", "customer", "wanted", Why.CORE),
        ("35.00", "vehicle_warranty", "wanted", Why.PAYER),
        ("", "service_contract", "", Why.PAYER),
        ("", "workshop", "", Why.SCRAP),
    ],
)
def test_it_is_tagged_as_it_follows_from_the_job(
    crew: Crew, core: str, payer: str, wants: str, why: str
) -> None:
    held = a_held_part(crew, core=core, payer=payer, wants=wants)
    assert (held.why, held.state, held.number) == (why, State.HELD, "QT1001")
    days = 0 if why == Why.SCRAP else 30
    assert held.hold_until == clock.today() + timedelta(days=days)
    expected = Decimal(core) if why == Why.CORE else None
    assert held.credit_expected == expected
    assert "as QT1001" in LogEntry.objects.filter(kind="held").latest("pk").words


def test_the_fitter_may_say_otherwise_and_where_it_lies(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    held = fitted(crew, row, kept_as="customer", kept_at="shelf 2")
    assert (held.why, held.place) == (Why.CUSTOMER, "shelf 2")


def test_a_refused_fitting_tags_nothing_and_leaves_no_gap(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    with refused(field="kept_at", says="At most 40"):
        fitted(crew, row, kept_at="x" * 41)
    with refused(field="kept_as", says="Choose why"):
        fitted(crew, row, kept_as="souvenir")
    assert not HeldPart.objects.exists()
    row.refresh_from_db()
    assert row.state == Replacement.State.RECEIVED
    assert fitted(crew, row).serial == 1001


def test_another_part_number_than_the_ordered_one_is_asked_about(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    with refused(field="part_number_on", says="Ordered was PL2-20-214"):
        fitted(crew, row, part_number_on="PL2-20-999")
    with refused(field="part_because", says="Say why"):
        fitted(crew, row, part_number_on="PL2-20-999", part_differs=True)
    fitted(crew, row, part_number_on="PL2-20-999", part_differs=True, part_because="same unit")
    row.refresh_from_db()
    assert row.unit_on is not None
    assert row.unit_on.part_number == "PL2-20-999"
    assert LogEntry.objects.filter(kind="fitting").latest("pk").reason == "same unit"


def test_the_ordered_number_written_otherwise_is_not_asked_about(crew: Crew) -> None:
    assert fitted(crew, a_job_to_fit(crew), part_number_on="pl2 20 214").pk


def test_what_still_lies_at_the_counter_is_not_fitted(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    Replacement.objects.filter(pk=row.pk).update(handed_at=None, handed_by=None)
    with refused(says="still lies at the Counter"):
        fitting.fit(crew.technician, act=uuid4(), replacement=row)


def change(actor: Actor, held: HeldPart, **more: object) -> HeldPart:
    names = ("why", "place", "hold_until", "asked_for_on", "supplier", "credit_expected")
    said = {name: getattr(held, name) for name in names} | more
    return services.change(
        actor,
        act=uuid4(),
        held=held,
        revision=held.revision,
        given=HeldInput(**said),
    )


def leave(do: object, actor: Actor, held: HeldPart, **more: object) -> HeldPart:
    said: dict[str, object] = {"act": uuid4(), "held": held, "revision": held.revision}
    return do(actor, **(said | more))  # type: ignore[operator, no-any-return]


def test_place_and_days_are_put_right(crew: Crew) -> None:
    held = a_held_part(crew)
    later = clock.today() + timedelta(days=9)
    kept = change(crew.counter, held, place="shelf 4", hold_until=later)
    assert (kept.place, kept.hold_until) == ("shelf 4", later)
    with refused(field="hold_until", says="only the service manager"):
        change(crew.counter, kept, hold_until=clock.today())
    with refused(field="because", says="need not be held"):
        change(crew.manager, kept, hold_until=clock.today())
    with refused(field="hold_until", says="years away"):
        change(crew.counter, kept, hold_until=clock.today() + timedelta(days=4000))
    with refused(field="asked_for_on", says="has passed"):
        change(crew.counter, kept, asked_for_on=clock.today() - timedelta(days=1))
    said = change(crew.manager, kept, hold_until=clock.today(), because="the payer let it go")
    assert said.hold_until == clock.today()
    assert LogEntry.objects.latest("pk").reason == "the payer let it go"


def test_two_who_change_one_tag_are_told(crew: Crew) -> None:
    held = a_held_part(crew)
    change(crew.counter, held, place="shelf 4")
    with pytest.raises(Clash, match="since you opened this page"):
        change(crew.manager, held, place="shelf 5")
    with pytest.raises(Clash):
        leave(held_leaves.give, crew.manager, held, to="Ada W.")
    held.refresh_from_db()
    assert (held.place, held.state) == ("shelf 4", State.HELD)


def test_it_leaves_once(crew: Crew) -> None:
    held, act = a_held_part(crew), uuid4()
    given = leave(held_leaves.give, crew.counter, held, to="Ada W.", act=act)
    assert (given.state, given.closed_by, given.closed_note) == (
        State.GIVEN,
        crew.counter.user,
        "Ada W.",
    )
    with pytest.raises(Clash, match="is given to the customer since"):
        leave(held_leaves.scrap, crew.manager, given, although="no room")
    with pytest.raises(AlreadyDone):
        leave(held_leaves.give, crew.counter, held, to="Ada W.", act=act)


def test_whoever_takes_it_may_sign_for_it(crew: Crew) -> None:
    held = a_held_part(crew, wants="wanted")
    with refused(field="drawn", says="could not be read"):
        leave(held_leaves.give, crew.counter, held, to="Ada W.", drawn="<svg>")
    given = leave(held_leaves.give, crew.counter, held, to="Ada W.", drawn="12,80 14,82;300,90 1,2")
    assert given.signature == "12,80 14,82;300,90 1,2"
    assert LogEntry.objects.latest("pk").words == "gave QT1001 to Ada W., who signed for it"


def test_it_is_not_scrapped_before_its_day(crew: Crew) -> None:
    held = a_held_part(crew, payer="vehicle_warranty")
    with refused(says="until the vehicle has left. Only the service manager"):
        leave(held_leaves.scrap, crew.counter, held)
    close_job(held)
    with refused(says="until then the payer may ask for it. Only"):
        leave(held_leaves.scrap, crew.counter, held)
    with refused(field="although", says="Say why it is done all the same"):
        leave(held_leaves.scrap, crew.manager, held)
    with clock.at(clock.now() + timedelta(days=30)), refused(says="may ask for it"):
        leave(held_leaves.scrap, crew.counter, held)
    with clock.at(clock.now() + timedelta(days=31)):
        assert leave(held_leaves.scrap, crew.counter, held).state == State.SCRAPPED


def test_the_manager_may_scrap_it_earlier_with_a_reason(crew: Crew) -> None:
    held = a_held_part(crew, payer="vehicle_warranty")
    gone = leave(held_leaves.scrap, crew.manager, held, although="the payer waived it")
    assert (gone.state, gone.closed_note) == (State.SCRAPPED, "the payer waived it")


def test_what_a_payer_asked_for_stays_until_it_is_sent(crew: Crew) -> None:
    held = a_held_part(crew, payer="vehicle_warranty")
    close_job(held)
    day = clock.today() + timedelta(days=5)
    asked = change(crew.counter, held, asked_for_on=day)
    with clock.at(clock.now() + timedelta(days=90)):
        assert list(queries.in_list(crew.counter, List.OVERDUE)) == [asked]
        with refused(says="asked for it by"):
            leave(held_leaves.scrap, crew.counter, asked)
        with refused(field="because", says="took the request back"):
            change(crew.counter, asked, asked_for_on=None)
        with refused(field="to", says="to whom"):
            leave(held_leaves.send, crew.counter, asked)
        sent = leave(held_leaves.send, crew.counter, asked, to="the warrantor", parcel="ZZ 4")
    assert (sent.state, sent.closed_note) == (State.SENT, "the warrantor, ZZ 4")


def test_a_core_is_sent_and_its_credit_comes(crew: Crew) -> None:
    held = a_held_part(crew, core="35.00")
    supplier = held.supplier or Supplier.objects.create(workshop=held.workshop, name="Ostrel B")
    with refused(says="Show it to the customer"):
        leave(held_leaves.give, crew.counter, held, to="Ada W.")
    with refused(says="Record first that it was sent"):
        leave(cores.credit, crew.counter, held, amount=Decimal("35.00"))
    sent = leave(held_leaves.send, crew.counter, held, supplier=supplier, parcel="ZZ 7")
    assert sent.closed_note == f"{supplier}, ZZ 7"
    assert list(queries.in_list(crew.counter, List.CREDIT)) == [sent]
    assert queries.credits_of(crew.counter).awaited == Decimal("35.00")
    with refused(field="because", says="$35.00 was expected"):
        leave(cores.credit, crew.counter, sent, amount=Decimal("30.00"))
    with refused(field="amount", says="below zero"):
        leave(cores.credit, crew.counter, sent, amount=Decimal("-1.00"))
    came = leave(cores.credit, crew.counter, sent, amount=Decimal("30.00"), because="housing bent")
    assert (came.credit_expected, came.credit_received) == (Decimal("35.00"), Decimal("30.00"))
    assert queries.credits_of(crew.counter) == queries.Credits(
        Decimal("0.00"), Decimal("35.00"), Decimal("30.00")
    )
    with refused(says="a credit is recorded already"):
        leave(cores.credit, crew.counter, came, amount=Decimal("35.00"))
    with refused(says="Its credit has come"):
        leave(held_leaves.take_back, crew.counter, came, because="still here")
    right = leave(
        cores.credit, crew.counter, came, amount=Decimal("35.00"), because="they paid the rest"
    )
    assert right.credit_received == Decimal("35.00")
    assert "before $30.00" in LogEntry.objects.latest("pk").words


def test_a_tag_closed_by_mistake_is_held_again(crew: Crew) -> None:
    held = a_held_part(crew)
    given = leave(held_leaves.give, crew.counter, held, to="Ada W.")
    with refused(field="because", says="how the mistake"):
        leave(held_leaves.take_back, crew.counter, given, because=" ")
    back = leave(held_leaves.take_back, crew.counter, given, because="wrong tag scanned")
    assert (back.state, back.closed_at, back.closed_note) == (State.HELD, None, "")
    assert "given to the customer Ada W." in LogEntry.objects.latest("pk").words
    with pytest.raises(Clash, match="is held"):
        leave(held_leaves.take_back, crew.counter, back, because="again")


def test_another_workshops_tag_is_out_of_reach(crew: Crew, pim: Actor) -> None:
    held = a_held_part(crew)
    with pytest.raises(HeldPart.DoesNotExist):
        leave(held_leaves.give, pim, held, to="Ada W.")
    theirs = Supplier.objects.create(workshop=pim.workshop, name="Theirs")
    with refused(field="supplier", says="not one of this workshop"):
        leave(held_leaves.send, crew.counter, held, to="them", supplier=theirs)


@pytest.mark.parametrize("keep", [0, 2])
def test_the_lists_agree_with_the_rule(crew: Crew, keep: int) -> None:
    """Every list as the database picks it is what jobs.holding says of each row."""
    held = a_held_part(crew)
    Terms.objects.create(workshop=held.workshop, keep_replaced_days=keep)
    today = clock.today()
    days = [None, *(today + timedelta(days=n) for n in (-1, 0, 1))]
    lists = {
        Due.OVERDUE: List.OVERDUE,
        Due.GIVE: List.GIVE,
        Due.MAY_GO: List.MAY_GO,
    }
    for why in Why.values:
        for until in days[1:]:
            for asked in days:
                for left in (None, 0, 1, 2, 3):
                    HeldPart.objects.filter(pk=held.pk).update(
                        why=why, hold_until=until, asked_for_on=asked
                    )
                    _leave(held, left)
                    row = queries.get_held(crew.counter, held.number)
                    what = due(queries.as_held(row), today)
                    for one, which in lists.items():
                        inside = queries.in_list(crew.counter, which).exists()
                        assert inside is (what is one), (why, until, asked, left, what, which)
                    inside = queries.in_list(crew.counter, List.SEND).exists()
                    assert inside is (what in (Due.SEND, Due.OVERDUE))


def _leave(held: HeldPart, days_ago: int | None) -> None:
    if days_ago is None:
        order = held.replacement.complaint.order_id
        RepairOrder.objects.filter(pk=order).update(stage="repairing", closed_at=None)
    else:
        close_job(held, days_ago)


def test_the_core_credit_is_the_one_of_the_number_that_was_bought(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    a_core(row, "35.00")
    held = fitted(crew, row)
    assert (held.why, held.credit_expected) == (Why.CORE, Decimal("35.00"))
