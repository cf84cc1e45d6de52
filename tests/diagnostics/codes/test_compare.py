"""What became of the flags from one reading of a memory to another."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.codes.compare import Change, Held, compare

REAR = Held("C0045", "13", "stored")
FRONT = Held("C0035", "13", "present now")
LOST = Held("U0121", "00", "stored")


def changes(
    before: list[Held], after: list[Held], *, cleared: bool = True, covered: bool = True
) -> dict[str, Change]:
    found = compare(before, after, cleared_between=cleared, covered=covered)
    return {one.code: one.change for one in found}


def test_cleared_come_back_still_there_and_new() -> None:
    assert changes([REAR, FRONT], [FRONT, LOST]) == {
        "C0035-13": Change.CAME_BACK,
        "U0121-00": Change.NEW,
        "C0045-13": Change.CLEARED,
    }
    assert changes([FRONT], [FRONT], cleared=False) == {"C0035-13": Change.STILL_THERE}


def test_what_was_not_tested_since_clearing_shows_nothing_yet() -> None:
    untested = Held("C0045", "13", "not tested since clear", untested=True)
    assert changes([REAR], [untested]) == {"C0045-13": Change.NOT_TESTED}
    assert changes([], [untested]) == {"C0045-13": Change.NOT_TESTED}
    assert changes([untested], [REAR]) == {"C0045-13": Change.NEW}
    assert changes([untested], []) == {}


def test_a_flag_that_was_tested_and_is_not_failing_is_not_held() -> None:
    quiet = Held("C0045", "13", "not failing", quiet=True)
    assert changes([REAR], [quiet]) == {"C0045-13": Change.CLEARED}
    assert changes([quiet], [REAR]) == {"C0045-13": Change.NEW}
    assert changes([quiet], [quiet]) == {"C0045-13": Change.CLEARED}
    assert changes([], [quiet]) == changes([quiet], []) == {}


def test_another_modules_reading_clears_nothing() -> None:
    assert changes([REAR], [], covered=False) == {"C0045-13": Change.NOT_READ}


def test_a_code_read_once_without_its_failure_type_is_the_same_flag() -> None:
    bare = Held("C0045", says="stored")
    assert changes([bare], [REAR]) == {"C0045-13": Change.CAME_BACK}
    assert changes([REAR], [bare]) == {"C0045-13": Change.CAME_BACK}
    other = Held("C0045", "11")
    assert changes([REAR, other], [other]) == {
        "C0045-11": Change.CAME_BACK,
        "C0045-13": Change.CLEARED,
    }


def test_what_needs_work_comes_first_and_each_status_is_said() -> None:
    found = compare([REAR, FRONT], [LOST, FRONT], cleared_between=True)
    assert [one.change.label for one in found] == ["come back", "new", "gone"]
    assert (found[0].before, found[0].after) == ("present now", "present now")
    assert (found[2].before, found[2].after) == ("stored", "")


held = st.builds(
    Held,
    st.sampled_from(["C0035", "C0045", "U0121"]),
    st.sampled_from(["", "11", "13"]),
    st.just("stored"),
    untested=st.booleans(),
    quiet=st.booleans(),
)
memories = st.lists(held, max_size=6, unique_by=lambda one: one.full)


@given(memories, memories, st.booleans(), st.booleans())
def test_no_flag_that_is_held_now_is_ever_called_cleared_or_left_out(
    before: list[Held], after: list[Held], cleared: bool, covered: bool
) -> None:
    found = compare(before, after, cleared_between=cleared, covered=covered)
    held_now = [one for one in after if not (one.quiet or one.untested)]
    alarming = [
        one for one in found if one.change in (Change.CAME_BACK, Change.STILL_THERE, Change.NEW)
    ]
    assert len(alarming) == len(held_now)


@pytest.mark.parametrize("memory", [[], [REAR, FRONT]])
def test_a_reading_beside_itself_has_nothing_new(memory: list[Held]) -> None:
    found = compare(memory, memory, cleared_between=False)
    assert {one.change for one in found} <= {Change.STILL_THERE}
