"""What must hold for any facts and any terms (rules of the product; common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import assume, event, given
from hypothesis import strategies as st

from jobs.coverage.deciding import decide
from jobs.coverage.facts import Facts, Objection, Reason
from jobs.coverage.judging import Judged, Outcome, judge
from jobs.coverage.terms import Kind, Scope, Term
from jobs.coverage.why import NOT_YET

RANK = {Outcome.NOT_COVERED: 0, Outcome.NEEDS_PERSON: 1, Outcome.COVERED: 2}
NAMES = st.sampled_from(["", "rack", "pads", "hose"])
KEYS = st.frozensets(st.sampled_from(["rack", "pads", "hose"]), max_size=2)
DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))
METRES = st.integers(0, 150_000_000)

scopes = st.builds(
    Scope,
    components=KEYS,
    systems=st.frozensets(st.sampled_from(["steering", "brakes"]), max_size=1),
    left_out=KEYS,
    failure_modes=st.frozensets(st.sampled_from(["worn", "cracked"]), max_size=1),
)
objections = st.builds(
    Objection,
    reason=st.sampled_from(Reason),
    words=st.just("seen"),
    shown=st.sampled_from(["", "x"]),
)
facts = st.builds(
    Facts,
    on=DAYS,
    distance_m=st.none() | METRES,
    component=NAMES,
    system=st.sampled_from(["", "steering", "brakes"]),
    failure_mode=st.sampled_from(["", "worn", "cracked"]),
    no_fault_found=st.booleans(),
    objections=st.lists(objections, max_size=2).map(tuple),
)
terms = st.builds(
    Term,
    key=st.text("abcd", min_size=1, max_size=4),
    name=st.just("term"),
    kind=st.sampled_from(Kind),
    starts_on=st.none() | DAYS,
    starts_at_m=st.none() | METRES,
    months=st.none() | st.integers(0, 120),
    distance_m=st.none() | METRES,
    waiting_days=st.sampled_from([0, 30]),
    waiting_m=st.sampled_from([0, 1_000_000]),
    scope=st.just(Scope()) | scopes,
    percent=st.sampled_from([Decimal(50), Decimal(100)]),
    deductible=st.sampled_from([Decimal(0), Decimal(150)]),
    remedied_on=st.none() | DAYS,
    ended_on=st.none() | DAYS,
)
many = st.lists(terms, max_size=5, unique_by=lambda term: term.key)


def begun(one: Judged) -> bool:
    """The named exception: a start, a waiting period or a waiting distance still to come."""
    return one.why not in NOT_YET


@given(terms, facts, st.integers(0, 4000), st.integers(0, 100_000_000))
def test_later_and_further_never_covers_what_was_not(
    term: Term, known: Facts, days: int, further: int
) -> None:
    now = judge(term, known)
    assume(now.outcome is Outcome.NOT_COVERED and begun(now))
    event(now.why)
    metres = None if known.distance_m is None else known.distance_m + further
    later = replace(known, on=known.on + timedelta(days=days), distance_m=metres)
    assert judge(term, later).outcome is Outcome.NOT_COVERED


@given(terms, facts, st.integers(0, 4000), st.integers(0, 100_000_000))
def test_what_is_left_shrinks_as_the_vehicle_goes(
    term: Term, known: Facts, days: int, further: int
) -> None:
    now = judge(term, known)
    metres = None if known.distance_m is None else known.distance_m + further
    later = judge(term, replace(known, on=known.on + timedelta(days=days), distance_m=metres))
    if now.days_left is not None and later.days_left is not None:
        assert later.days_left == now.days_left - days
    if now.distance_left_m is not None and later.distance_left_m is not None:
        assert later.distance_left_m <= now.distance_left_m


@given(many, facts)
def test_all_together_are_at_least_each_alone(every: list[Term], known: Facts) -> None:
    together = RANK[decide(known, every).outcome]
    alone = [RANK[decide(known, [term]).outcome] for term in every]
    assert together == max(alone, default=0)


@given(many, terms, facts)
def test_one_more_term_takes_nothing_away(every: list[Term], more: Term, known: Facts) -> None:
    assume(more.key not in {term.key for term in every})
    before, after = decide(known, every), decide(known, [*every, more])
    assert RANK[after.outcome] >= RANK[before.outcome]
    assert {share.payer for share in before.payers} <= {share.payer for share in after.payers}


@given(many.flatmap(lambda every: st.tuples(st.just(every), st.permutations(every))), facts)
def test_the_order_of_terms_changes_nothing(
    orders: tuple[list[Term], list[Term]], known: Facts
) -> None:
    assert decide(known, orders[0]) == decide(known, orders[1])


@given(many, facts)
def test_a_decision_agrees_with_its_parts(every: list[Term], known: Facts) -> None:
    decision = decide(known, every)
    assert len(decision.judged) == len(every)
    assert decision.because
    if decision.decided:
        assert decision.decided.outcome is decision.outcome
    assert bool(decision.payers) == (decision.outcome is Outcome.COVERED)
    for one in decision.judged:
        assert one.because
        over = (one.days_left or 0) < 0 or (one.distance_left_m or 0) < 0
        assert not (over and one.outcome is not Outcome.NOT_COVERED)
        if one.missing and one.outcome is Outcome.COVERED:
            raise AssertionError("covered although a fact is missing")


@given(terms, facts, METRES)
def test_a_fact_that_is_found_never_unsettles_a_refusal(
    term: Term, known: Facts, metres: int
) -> None:
    """Refused without an odometer is refused with any, once the term has begun."""
    assume(known.distance_m is None)
    without = judge(term, known)
    assume(without.outcome is Outcome.NOT_COVERED)
    event(without.why)
    found = judge(term, replace(known, distance_m=metres))
    if found.why.value != "odometer_lower":  # a contradiction is a person's
        assert found.outcome is Outcome.NOT_COVERED


@given(st.permutations(["rack", "pads", "hose", "disc", "knuckle", "subframe"]))
def test_a_scope_is_written_the_same_however_it_was_made(keys: list[str]) -> None:
    ends = Scope(components=frozenset(keys), left_out=frozenset(keys[:2]))
    again = Scope(components=frozenset(sorted(keys)), left_out=frozenset(sorted(keys[:2])))
    assert repr(ends) == repr(again)
    assert repr(ends).startswith(
        "Scope(['disc', 'hose', 'knuckle', 'pads', 'rack', 'subframe'], [],"
    )
