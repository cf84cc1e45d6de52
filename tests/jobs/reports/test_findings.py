"""Which sentences stand on top: the weightiest, each thing once, never none."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from jobs.reports import weights
from jobs.reports.document import Finding, Section
from jobs.reports.findings import MOST, chosen


def _section(*findings: Finding) -> Section:
    return Section("some", "Some", ("Something.",), findings=findings)


FINDINGS = st.builds(
    Finding,
    key=st.sampled_from("abcdefgh"),
    words=st.text(max_size=4),
    weight=st.floats(0, 99),
)


@given(st.lists(st.lists(FINDINGS, max_size=6), max_size=4))
def test_there_are_one_to_five_of_different_keys_by_weight(groups: list[list[Finding]]) -> None:
    found = chosen(_section(*group) for group in groups)
    assert 1 <= len(found) <= MOST
    assert len({one.key for one in found}) == len(found)
    weighed = [one.weight for one in found]
    assert weighed == sorted(weighed, reverse=True)
    everything = [one for group in groups for one in group]
    if everything:
        assert found[0].weight == max(one.weight for one in everything)


def test_of_two_about_the_same_thing_the_weightier_is_said() -> None:
    light, heavy = Finding("hub", "less", 21.0), Finding("hub", "more", 95.0)
    assert chosen([_section(light), _section(heavy)]) == (heavy,)


def test_nothing_new_is_said_only_where_nothing_else_is() -> None:
    nothing = Finding("nothing-new", "Nothing changed.", weights.NOTHING_NEW)
    some = Finding("hub", "It fails more often.", weights.ALARM)
    assert chosen([_section(nothing), _section(some)]) == (some,)
    assert chosen([_section(nothing)]) == (nothing,)
    assert chosen([])[0].words == "Nothing changed in this month that the numbers can show."


def test_a_count_never_reaches_the_next_kind() -> None:
    assert weights.TREND + weights.more(1e9) < weights.MONEY
    assert weights.WORSE_THAN_OTHERS + weights.more(1e9) < weights.ALARM
