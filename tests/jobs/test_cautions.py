"""The cautions that belong to the work at hand."""

from __future__ import annotations

import pytest

from jobs.cautions import BASE_BRAKES, BRAKE_CONTROL, POWER_STEERING, WHEEL_ENDS, cautions_for


@pytest.mark.parametrize(
    ("system", "asked", "not_asked"),
    [
        (BRAKE_CONTROL, {"pressure", "self_build", "fluid", "dust", "lift"}, {"column"}),
        (POWER_STEERING, {"column", "steering_fluid", "lift", "nuts"}, {"dust", "pressure"}),
        (BASE_BRAKES, {"dust", "fluid", "nuts"}, {"pressure", "column"}),
        (WHEEL_ENDS, {"dust", "nuts", "lift"}, {"column", "fluid"}),
    ],
)
def test_each_system_brings_its_own_cautions(
    system: str, asked: set[str], not_asked: set[str]
) -> None:
    keys = {caution.key for caution in cautions_for([system])}
    assert asked <= keys
    assert not keys & not_asked


def test_work_on_an_unknown_system_brings_them_all() -> None:
    assert len(cautions_for([])) == len(cautions_for(["something else"]))
    assert len(cautions_for([])) > len(cautions_for([BRAKE_CONTROL]))


def test_no_caution_is_said_twice_for_two_systems() -> None:
    found = cautions_for([BRAKE_CONTROL, POWER_STEERING])
    assert len({caution.key for caution in found}) == len(found)
