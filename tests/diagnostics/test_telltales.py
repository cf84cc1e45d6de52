"""Lamps. The rules are common practice with no source [CP]."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from diagnostics.telltales import Lamp, Observation, Part, Rule, Shown, Situation, triage
from tests.diagnostics.telltale_rules import (
    AMBER,
    AMBER_NEVER_LIT,
    AMBER_STEADY,
    DARK,
    DEMO_RULES,
    DRIVING,
    FLASHING,
    KEY_ON,
    LIT,
    NOTHING,
    RED,
    RED_AND_AMBER,
    RED_BRAKE,
    RUNNING,
    STEADY,
)


def seen(*looks: tuple[Lamp, Situation, Shown]) -> list[Observation]:
    return [Observation(*look) for look in looks]


BULB_CHECK = (AMBER, KEY_ON, STEADY)


@pytest.mark.parametrize(
    ("looks", "key", "may_drive", "unsafe"),
    [
        ([BULB_CHECK, (AMBER, RUNNING, DARK), (RED, RUNNING, DARK)], "nothing", True, False),
        (
            [BULB_CHECK, (AMBER, RUNNING, FLASHING), (RED, RUNNING, DARK)],
            "amber-flashing",
            True,
            False,
        ),
        ([BULB_CHECK, (AMBER, RUNNING, STEADY), (RED, RUNNING, DARK)], "amber-steady", True, False),
        ([BULB_CHECK, (AMBER, RUNNING, DARK), (RED, RUNNING, STEADY)], "red", False, True),
        ([BULB_CHECK, (AMBER, RUNNING, DARK), (RED, RUNNING, FLASHING)], "red", False, True),
        (
            [BULB_CHECK, (AMBER, RUNNING, STEADY), (RED, RUNNING, STEADY)],
            "red-and-amber",
            False,
            True,
        ),
        (
            [(AMBER, KEY_ON, DARK), (AMBER, RUNNING, DARK), (RED, RUNNING, DARK)],
            "amber-never-lit",
            True,
            False,
        ),
    ],
)
def test_lamps_that_were_all_looked_at_have_one_meaning(
    looks: list[tuple[Lamp, Situation, Shown]], key: str, may_drive: bool, unsafe: bool
) -> None:
    answer = triage(seen(*looks), DEMO_RULES)

    assert answer.rule_key == key
    assert answer.may_drive is may_drive
    assert answer.unsafe is unsafe
    assert answer.says
    assert answer.first


def test_the_most_severe_wins_and_all_are_reported() -> None:
    answer = triage(
        seen((AMBER, KEY_ON, DARK), (AMBER, RUNNING, STEADY), (RED, RUNNING, STEADY)), DEMO_RULES
    )

    assert answer.matched == ("red-and-amber", "red", "amber-never-lit")
    assert answer.says == RED_AND_AMBER.says
    assert answer.findings == (RED_BRAKE.says, AMBER_NEVER_LIT.says)


def test_red_is_unsafe_before_anything_else_was_looked_at() -> None:
    answer = triage(seen((RED, RUNNING, STEADY)), DEMO_RULES)

    assert answer.rule_key == "red"
    assert answer.unsafe
    assert answer.may_drive is False
    assert answer.missing == ("amber anti-lock lamp with the engine running",)


def test_amber_alone_says_nothing_until_red_was_looked_at() -> None:
    looks = [(AMBER, RUNNING, STEADY)]
    answer = triage(seen(*looks), DEMO_RULES)

    assert answer.rule_key is None
    assert answer.may_drive is None
    assert not answer.unsafe
    assert answer.missing[0] == "red brake lamp with the engine running"
    assert answer.missing[0] in answer.says
    assert answer.first == "Look at the red brake lamp with the engine running."
    assert triage(seen(*looks, (RED, RUNNING, DARK)), DEMO_RULES).rule_key == "amber-steady"


def test_a_lamp_that_never_lit_cannot_clear_the_vehicle() -> None:
    # Dark with the engine running, but nobody saw it light at key-on.
    answer = triage(seen((AMBER, RUNNING, DARK), (RED, RUNNING, DARK)), DEMO_RULES)

    assert answer.rule_key is None
    assert answer.missing == ("amber anti-lock lamp at key-on",)


def test_a_missing_look_that_could_forbid_driving_leaves_it_open() -> None:
    answer = triage(seen((AMBER, KEY_ON, DARK)), DEMO_RULES)

    assert answer.rule_key == "amber-never-lit"
    assert answer.may_drive is None
    assert "red brake lamp with the engine running" in answer.missing


def test_nothing_looked_at_is_said_with_where_to_begin() -> None:
    answer = triage([], DEMO_RULES)

    assert answer.says == "No lamp has been looked at yet."
    assert answer.may_drive is None
    assert answer.first.startswith("Look at the ")
    assert "no tell-tale rules" in triage([], ()).first


def test_a_pattern_that_no_rule_describes_is_not_explained_away() -> None:
    answer = triage(seen((AMBER, RUNNING, DARK)), [AMBER_STEADY])

    assert answer.rule_key is None
    assert answer.may_drive is None
    assert answer.says == "No rule describes these lamps together."


def test_a_later_look_replaces_the_earlier_one() -> None:
    looks = [BULB_CHECK, (AMBER, RUNNING, STEADY), (RED, RUNNING, STEADY)]
    assert triage(seen(*looks), DEMO_RULES).unsafe

    again = [*looks, (RED, RUNNING, DARK)]
    assert triage(seen(*again), DEMO_RULES).rule_key == "amber-steady"


def test_nobody_is_sent_driving_to_learn_whether_it_may_be_driven() -> None:
    while_driving = Rule(
        key="red-driving",
        order=5,
        pattern=(Part(RED, DRIVING, LIT),),
        says="The red lamp came on while driving.",
        first="Do not drive it again.",
        may_drive=False,
        unsafe=True,
    )
    rules = (while_driving, *DEMO_RULES)
    looks = [BULB_CHECK, (AMBER, RUNNING, DARK), (RED, RUNNING, DARK)]

    assert triage(seen(*looks), rules).may_drive is True
    assert triage(seen(*looks), rules).missing == ()
    driven = triage(seen(*looks, (RED, DRIVING, STEADY)), rules)
    assert driven.rule_key == "red-driving"
    # "Nothing detected" is not said beside a lamp that came on.
    assert NOTHING.says not in driven.findings


def test_red_lit_with_the_engine_running_is_unsafe_whatever_else_is_seen() -> None:
    shown = [*Shown, None]
    for key_on, running, red in product(shown, shown, (FLASHING, STEADY)):
        looks = seen((RED, RUNNING, red))
        looks += seen((AMBER, KEY_ON, key_on)) if key_on else []
        looks += seen((AMBER, RUNNING, running)) if running else []
        answer = triage(looks, DEMO_RULES)
        assert answer.unsafe
        assert answer.may_drive is False


def test_the_order_of_the_rules_in_the_file_does_not_matter() -> None:
    looks = seen(BULB_CHECK, (AMBER, RUNNING, STEADY), (RED, RUNNING, STEADY))
    assert triage(looks, reversed(DEMO_RULES)) == triage(looks, DEMO_RULES)


def test_of_two_rules_of_the_same_rank_the_unsafe_one_speaks() -> None:
    mild = replace(RED_BRAKE, key="aaa", may_drive=True, unsafe=False, says="Mild.")
    for rules in ([mild, RED_BRAKE], [RED_BRAKE, mild]):
        assert triage(seen((RED, RUNNING, STEADY)), rules).rule_key == "red"


def test_rules_that_contradict_themselves_are_refused() -> None:
    with pytest.raises(ValueError, match="unsafe and lets it be driven"):
        replace(RED_BRAKE, may_drive=True)
    with pytest.raises(ValueError, match="no pattern"):
        replace(RED_BRAKE, pattern=())
    with pytest.raises(ValueError, match="no way for the lamp to show"):
        Part(RED, RUNNING, frozenset())
    with pytest.raises(ValueError, match="same key"):
        triage([], [RED_BRAKE, replace(RED_BRAKE, order=21)])


def test_every_look_has_its_words() -> None:
    for choices in (Lamp, Situation, Shown):
        labels = [choice.label for choice in choices]
        assert all(labels)
        assert len(set(labels)) == len(labels)
    assert Part(AMBER, KEY_ON, frozenset({DARK})).in_words == "amber anti-lock lamp at key-on"
    assert Observation(AMBER, KEY_ON, STEADY) == Observation(*BULB_CHECK)
