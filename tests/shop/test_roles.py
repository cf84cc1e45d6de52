"""Who may do what, written out a second time and compared."""

from __future__ import annotations

from itertools import combinations

import pytest

from shop.roles import NO_ROLE, Allowed, Denied, Permit, Role, decide, home_of, roles_with

# T technician, M service manager, C parts counter, O owner.
WHO: dict[Permit, str] = {
    Permit.SEE_WORKSHOP: "TMCO",
    Permit.SEE_BAY: "TMO",
    Permit.SEE_DESK: "MO",
    Permit.SEE_COUNTER: "CMO",
    Permit.SEE_OFFICE: "OM",
    Permit.TAKE_IN: "MT",
    Permit.EDIT_VEHICLE: "MT",
    Permit.EDIT_CUSTOMER: "MT",
    Permit.ASSIGN: "M",
    Permit.DIAGNOSE: "TM",
    Permit.CONCLUDE: "TM",
    Permit.ESTIMATE: "TM",
    Permit.RECORD_AUTHORITY: "M",
    Permit.ORDER_PARTS: "CM",
    Permit.RECEIVE_PARTS: "CM",
    Permit.MANAGE_STOCK: "CM",
    Permit.HOLD_PARTS: "CMT",
    Permit.SEE_BILL: "MCO",
    Permit.ISSUE_INVOICE: "M",
    Permit.TAKE_PAYMENT: "MC",
    Permit.SEE_CLAIMS: "MCO",
    Permit.PREPARE_CLAIM: "MC",
    Permit.APPROVE_CLAIM: "M",
    Permit.DECIDE_COVERAGE: "M",
    Permit.TAKE_ACCOUNTS: "OM",
    Permit.CLOCK: "T",
    Permit.CORRECT_CLOCK: "M",
    Permit.SEE_HOURS: "MOT",
    Permit.FIT: "T",
    Permit.PROVE: "TM",
    Permit.RELEASE: "M",
    Permit.OVERRIDE_RELEASE: "M",
    Permit.LIFT_UNSAFE: "M",
    Permit.MOVE_STAGE: "TMCO",
    Permit.VOID: "M",
    Permit.DECIDE_COMEBACK: "M",
    Permit.ISSUE_REPORT: "MO",
    Permit.MANAGE_PEOPLE: "O",
    Permit.MANAGE_WORKSHOP: "O",
}
LETTER = {Role.TECHNICIAN: "T", Role.MANAGER: "M", Role.COUNTER: "C", Role.OWNER: "O"}
SETS = [frozenset(some) for size in range(5) for some in combinations(Role, size)]


def test_the_table_knows_every_permit() -> None:
    assert set(WHO) == set(Permit)
    for permit in Permit:
        assert roles_with(permit), permit


@pytest.mark.parametrize("permit", list(Permit))
@pytest.mark.parametrize("roles", SETS, ids=lambda roles: "+".join(sorted(roles)) or "nobody")
def test_any_one_of_the_roles_is_enough(permit: Permit, roles: frozenset[Role]) -> None:
    answer = decide(roles, permit)

    if any(LETTER[role] in WHO[permit] for role in roles):
        assert isinstance(answer, Allowed)
        assert answer
        assert answer.by in roles & roles_with(permit)
    else:
        assert isinstance(answer, Denied)
        assert not answer
        assert answer.reason.endswith(".")


@pytest.mark.parametrize(
    "permit", [permit for permit in Permit if len(roles_with(permit)) < len(Role)]
)
def test_a_refusal_names_everybody_who_can(permit: Permit) -> None:
    outsider = next(role for role in Role if role not in roles_with(permit))
    answer = decide(frozenset({outsider}), permit)

    assert isinstance(answer, Denied)
    for role in roles_with(permit):
        assert role.label in answer.reason


@pytest.mark.parametrize("permit", list(Permit))
def test_without_a_role_one_is_told_to_ask_for_one(permit: Permit) -> None:
    assert decide(frozenset(), permit) == Denied(NO_ROLE)


def test_the_owner_sees_everything_but_signs_nothing() -> None:
    owner = frozenset({Role.OWNER})
    allowed = {permit for permit in Permit if decide(owner, permit)}

    assert allowed == {
        Permit.SEE_WORKSHOP,
        Permit.SEE_BAY,
        Permit.SEE_DESK,
        Permit.SEE_COUNTER,
        Permit.SEE_OFFICE,
        Permit.SEE_BILL,
        Permit.SEE_HOURS,
        Permit.SEE_CLAIMS,
        Permit.TAKE_ACCOUNTS,
        Permit.MOVE_STAGE,
        Permit.ISSUE_REPORT,  # a paper of their own, about no single job
        Permit.MANAGE_PEOPLE,
        Permit.MANAGE_WORKSHOP,
    }


def test_the_not_to_be_driven_mark_is_lifted_at_the_desk() -> None:
    answer = decide(frozenset({Role.TECHNICIAN}), Permit.LIFT_UNSAFE)
    assert answer == Denied(
        "Only the service manager lifts the not-to-be-driven mark. Ask at the Desk."
    )
    assert decide(frozenset({Role.TECHNICIAN, Role.MANAGER}), Permit.LIFT_UNSAFE) == Allowed(
        Role.MANAGER
    )


@pytest.mark.parametrize(
    ("roles", "home"),
    [
        ({Role.TECHNICIAN}, "bay"),
        ({Role.MANAGER}, "desk"),
        ({Role.COUNTER}, "counter"),
        ({Role.OWNER}, "office"),
        ({Role.TECHNICIAN, Role.MANAGER}, "desk"),
        ({Role.TECHNICIAN, Role.OWNER}, "bay"),
        ({Role.COUNTER, Role.OWNER}, "counter"),
        (set(), ""),
    ],
)
def test_everybody_lands_where_others_wait_for_them(roles: set[Role], home: str) -> None:
    assert home_of(frozenset(roles)) == home


def test_the_home_of_every_role_may_be_seen_by_it() -> None:
    sees = {
        "bay": Permit.SEE_BAY,
        "desk": Permit.SEE_DESK,
        "counter": Permit.SEE_COUNTER,
        "office": Permit.SEE_OFFICE,
    }
    for roles in SETS:
        if roles:
            assert decide(roles, sees[home_of(roles)]), roles
