"""Which sentences stand on top: the weightiest, each thing once, never none."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from jobs.reports import weights
from jobs.reports.document import Finding, Section
from jobs.reports.findings import MOST, chosen, matter


def _section(*findings: Finding) -> Section:
    return Section("some", "Some", ("Something.",), findings=findings)


FINDINGS = st.builds(
    Finding,
    key=st.sampled_from("abcdefgh"),
    words=st.text(max_size=4),
    weight=st.floats(0, 99),
    about=st.builds(
        matter,
        kind=st.sampled_from(["", "hub", "pump"]),
        supplier=st.sampled_from(["", "Ashby"]),
        batch=st.sampled_from(["", "A1", "B2"]),
    ),
)
HUB = matter(kind="hub")
BATCH = matter(kind="hub", supplier="Ashby", batch="A1")


@given(st.lists(st.lists(FINDINGS, max_size=6), max_size=4))
def test_there_are_one_to_five_of_different_keys_by_weight(groups: list[list[Finding]]) -> None:
    found = chosen(_section(*group) for group in groups)
    assert 1 <= len(found) <= MOST
    assert len({one.key for one in found}) == len(found)
    weighed = [one.weight for one in found]
    assert weighed == sorted(weighed, reverse=True)
    everything = [one for group in groups for one in group]
    if everything:
        heaviest = max(one.weight for one in everything)
        assert weights.sort_of(found[0].weight) == weights.sort_of(heaviest)
    for one, other in combinations(found, 2):
        if one.about and other.about:
            assert not set(one.about) <= set(other.about)
            assert not set(other.about) <= set(one.about)


def test_of_two_about_the_same_thing_the_weightier_is_said() -> None:
    light, heavy = Finding("hub", "less", 21.0), Finding("hub", "more", 95.0)
    assert chosen([_section(light), _section(heavy)]) == (heavy,)


def test_a_batch_that_alarms_silences_the_rate_of_its_kind_and_of_its_supplier() -> None:
    batch = Finding("watch-a1", "Batch A1 began to fail.", weights.ALARM + 2, about=BATCH)
    others = [
        Finding("rate-hub", "Hubs failed more.", weights.RATE + 8, about=HUB),
        Finding("supplier", "Parts from Ashby return.", 75.0, about=matter(supplier="Ashby")),
        Finding("funnel", "Batch A1 stands out.", weights.WORSE_THAN_OTHERS, about=BATCH),
    ]
    assert chosen([_section(*others), _section(batch)]) == (batch,)


def test_of_two_alarms_about_the_same_failures_the_narrower_is_said() -> None:
    """Its kind counts a few failures more, and leads to jobs that the batch has no part in."""
    kind = Finding("watch-hub", "Hubs began to fail.", weights.ALARM + 8, about=HUB)
    batch = Finding("watch-a1", "Batch A1 began to fail.", weights.ALARM + 2, about=BATCH)
    assert chosen([_section(kind, batch)]) == (batch,)


def test_a_weightier_sort_is_said_though_a_narrower_matter_is_known() -> None:
    kind = Finding("watch-hub", "Hubs began to fail.", weights.ALARM, about=HUB)
    batch = Finding("funnel", "Batch A1 stands out.", weights.WORSE_THAN_OTHERS + 8, about=BATCH)
    assert chosen([_section(batch, kind)]) == (kind,)


def test_two_batches_of_a_kind_and_what_is_about_nothing_are_all_said() -> None:
    other = matter(kind="hub", supplier="Ashby", batch="B2")
    found = (
        Finding("watch-a1", "Batch A1 began to fail.", 95.0, about=BATCH),
        Finding("watch-b2", "Batch B2 began to fail.", 93.0, about=other),
        Finding("undecided", "Two returns wait.", 60.0),
        Finding("claims-short", "A claim was short.", 40.0),
    )
    assert chosen([_section(*found)]) == found


def test_nothing_new_is_said_only_where_nothing_else_is() -> None:
    nothing = Finding("nothing-new", "Nothing changed.", weights.NOTHING_NEW)
    some = Finding("hub", "It fails more often.", weights.ALARM)
    assert chosen([_section(nothing), _section(some)]) == (some,)
    assert chosen([_section(nothing)]) == (nothing,)
    assert chosen([])[0].words == "Nothing changed in this month that the numbers can show."


def test_a_count_never_reaches_the_next_kind() -> None:
    assert weights.TREND + weights.more(1e9) < weights.MONEY
    assert weights.WORSE_THAN_OTHERS + weights.more(1e9) < weights.ALARM
