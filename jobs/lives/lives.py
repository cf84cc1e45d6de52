"""The lives of a vehicle's units by the rules. Pure; docs/lives.md says them in words.

* A unit is watched from the first sight of its vehicle, or from the day it was fitted; until the
  last sight, or the taking in at which it was found to have to come off. A failure is dated there,
  not when the new one was fitted: that is as near as a workshop comes to the day it happened.
* Its age is nought when it was fitted here, else on the vehicle's first day in service. Where that
  day is not known, or somebody else fitted it, its age is not known.
* A first-seen unit that failed at the first visit was watched for no time: it is no event.
* An odometer that went backwards ends the distance clock (jobs.lives.odometer).
* A unit that somebody else replaced left at the last sight before that was noticed; the one found
  in its place is watched from there, of unknown age.
* A vehicle that is gone takes its units along on that day; when it is seen again, it was not gone.
* A later sight only lengthens the lives of what is still on the vehicle.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from jobs.lives.odometer import Odometer, read
from jobs.lives.rows import Exit, History, Life, Place, Swap


@dataclass(frozen=True, slots=True)
class _Vehicle:
    history: History
    odometer: Odometer
    first_day: int
    last_day: int


def lives_of(history: History) -> tuple[Life, ...]:
    """Every life of every place, by place and in order of time; none for a vehicle never seen."""
    if not history.sights:
        return ()
    days = [sight.day for sight in history.sights]
    vehicle = _Vehicle(history, read(history.sights), min(days), max(days))
    swapped = {swap.place for swap in history.swaps}
    places = sorted({*history.places, *swapped}, key=lambda one: (one.component, one.position))
    return tuple(life for place in places for life in _at(vehicle, place))


def _at(vehicle: _Vehicle, place: Place) -> Iterator[Life]:
    now = _first_seen(vehicle, place)
    swaps = (swap for swap in vehicle.history.swaps if swap.place == place)
    for swap in sorted(swaps, key=lambda one: (one.fitted_day, one.came_day)):
        if swap.another:
            yield _replaced_elsewhere(vehicle, now, swap)
            now = _found(vehicle, swap)
        yield _taken_off(vehicle, now, swap)
        now = _fitted(vehicle, swap)
    yield _still_on(vehicle, now)


def _first_seen(vehicle: _Vehicle, place: Place) -> Life:
    born = vehicle.history.in_service
    known = born is not None and born <= vehicle.first_day
    at_m = _sound(vehicle, vehicle.first_day, vehicle.odometer.by(vehicle.first_day))
    return Life(
        place=place,
        entry="first_seen",
        exit="",
        in_day=vehicle.first_day,
        out_day=vehicle.first_day,
        born_day=born if known else None,
        in_m=at_m,
        out_m=at_m,
        born_m=None if at_m is None else 0,
        left_at_out_m=False,
        m_a_day=vehicle.odometer.m_a_day,
    )


def _found(vehicle: _Vehicle, swap: Swap) -> Life:
    """The unit of somebody else, first seen when it came in to be replaced."""
    at_m = _sound(vehicle, swap.came_day, swap.came_m)
    first = _first_seen(vehicle, swap.place)
    return replace(
        first,
        entry="elsewhere",
        in_day=swap.came_day,
        out_day=swap.came_day,
        born_day=None,
        in_m=at_m,
        out_m=at_m,
        born_m=None,
    )


def _fitted(vehicle: _Vehicle, swap: Swap) -> Life:
    at_m = _sound(vehicle, swap.fitted_day, swap.fitted_m)
    first = _first_seen(vehicle, swap.place)
    return replace(
        first,
        entry="fitted",
        in_day=swap.fitted_day,
        out_day=swap.fitted_day,
        born_day=swap.fitted_day,
        in_m=at_m,
        out_m=at_m,
        born_m=at_m,
        unit=swap.on,
    )


def _replaced_elsewhere(vehicle: _Vehicle, life: Life, swap: Swap) -> Life:
    before = [sight.day for sight in vehicle.history.sights if sight.day < swap.came_day]
    return _out(vehicle, life, "elsewhere", max(before, default=life.in_day))


def _taken_off(vehicle: _Vehicle, life: Life, swap: Swap) -> Life:
    why: Exit = "failed" if swap.failed else "other"
    left = _out(vehicle, life, why, swap.came_day, swap.came_m)
    return replace(left, unit=swap.off if swap.off is not None else left.unit)


def _still_on(vehicle: _Vehicle, life: Life) -> Life:
    gone = vehicle.history.gone_day
    if gone is None or gone < vehicle.last_day:
        return _out(vehicle, life, "", vehicle.last_day)
    return _out(vehicle, life, "gone", gone)


def _out(vehicle: _Vehicle, life: Life, why: Exit, day: int, at_m: int | None = None) -> Life:
    """Watched until `day`, never less than from its beginning; `at_m` where it left the vehicle."""
    day = max(day, life.in_day)
    if life.in_m is None:
        return replace(life, exit=why, out_day=day)
    sound = at_m is not None and vehicle.odometer.sound_on(day) and at_m >= life.in_m
    last = at_m if sound and at_m is not None else (vehicle.odometer.by(day) or life.in_m)
    return replace(
        life,
        exit=why,
        out_day=day,
        out_m=max(last, life.in_m),
        left_at_out_m=sound,
    )


def _sound(vehicle: _Vehicle, day: int, at_m: int | None) -> int | None:
    """A distance that the odometer showed, where it was not broken on that day."""
    return at_m if vehicle.odometer.sound_on(day) else None
