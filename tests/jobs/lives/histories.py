"""Histories of vehicles, by hand and by chance."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from jobs.lives.rows import History, Place, Sight, Swap

HUB, HOSE = Place(1, "LR"), Place(2, "")
KM = 1_000
BEGAN = date(2024, 2, 29).toordinal()


def a_history(
    *sights: tuple[int, int],
    swaps: tuple[Swap, ...] = (),
    places: tuple[Place, ...] = (HUB,),
    in_service: int | None = -1000,
    gone: int | None = None,
) -> History:
    """Sights are (day, km), and every day is counted from 29 February 2024."""
    return History(
        sights=tuple(Sight(BEGAN + day, km * KM) for day, km in sights),
        places=places,
        swaps=swaps,
        in_service=None if in_service is None else BEGAN + in_service,
        gone_day=None if gone is None else BEGAN + gone,
    )


def a_swap(
    came: tuple[int, int],
    fitted: tuple[int, int] | None = None,
    *,
    place: Place = HUB,
    failed: bool = True,
    another: bool = False,
    off: int | None = None,
    on: int | None = None,
) -> Swap:
    """Found at `came` (day, km), the new one on at `fitted`, else there and then."""
    (day, km), (on_day, on_km) = came, fitted or came
    return Swap(
        place, BEGAN + day, km * KM, BEGAN + on_day, on_km * KM, failed, another, off=off, on=on
    )


@st.composite
def histories(draw: st.DrawFn, may_be_gone: bool = True) -> History:
    """Of a vehicle that was seen at least once; swaps at days on which it was here."""
    days = sorted(draw(st.lists(st.integers(0, 900), min_size=1, max_size=8)))
    metres = [draw(st.integers(0, 300_000)) * KM for _ in days]
    if draw(st.booleans()):
        metres.sort()
    sights = tuple(Sight(BEGAN + day, at_m) for day, at_m in zip(days, metres, strict=True))
    places = tuple(draw(st.lists(st.sampled_from([HUB, HOSE, Place(3, "RR")]), unique=True)))
    swaps = tuple(_swap(draw, sights, key) for key in range(draw(st.integers(0, 5))))
    return History(
        sights=sights,
        places=places,
        swaps=swaps,
        in_service=draw(st.none() | st.integers(BEGAN - 3000, BEGAN + 100)),
        gone_day=draw(st.none() | st.integers(BEGAN - 10, BEGAN + 1000)) if may_be_gone else None,
    )


def _swap(draw: st.DrawFn, sights: tuple[Sight, ...], key: int) -> Swap:
    came = draw(st.sampled_from(sights))
    stayed = draw(st.integers(0, 60))
    known = [one for one in sights if one.day <= came.day + stayed]
    return Swap(
        place=draw(st.sampled_from([HUB, HOSE])),
        came_day=came.day,
        came_m=came.at_m,
        fitted_day=came.day + stayed,
        fitted_m=known[-1].at_m,
        failed=draw(st.booleans()),
        another=draw(st.booleans()),
        on=key + 1,
    )
