"""The lives of a vehicle's units by the rules. Pure; docs/lives.md says them at length.

1. Every place of the platform has a unit, touched or not, from the first sight of the vehicle on.
   A sight is an odometer reading: there is no other contact.
2. A unit is watched from the first sight, or from the day it was fitted; until the last sight, or
   the day of the taking in at which it was found to have to come off, never before it came. A
   failure is dated there and not when the new one went on: that is as near as a workshop comes.
   Found at an earlier taking in, and left on because the repair was declined, it failed at that one
   (jobs.lives.findings), though it was known to have left only when it came off.
3. Age is nought on the vehicle's first day in service, or on the day it was fitted here. Where the
   first day in service is not known or lies after the first sight, or somebody else fitted the
   unit, its age is not known. Its distance is nought likewise, at nought or where it was fitted.
4. First seen, and found to have failed at the taking in at which it was first seen, whenever it
   was taken off: watched for no time. It was chosen by failing, and is no event. Fitted here and
   failed that day, it is one.
5. An odometer that went backwards ends the distance clock at its last sound reading; age goes on.
6. The unit that came off is not the one on record: that one was replaced by somebody else, and
   left at the last sight before this visit. The one found is watched from this taking in, of
   unknown age.
7. A vehicle that is gone takes its units along on that day, not before the last sight or the last
   fitting of before. Seen again later, its units are first seen anew from there; where a unit had
   been replaced here before, the age of what is found then is not known.
   Of a vehicle that was gone twice only the last time is known; what came off in between and is
   not the one on record then falls under rule 6.
8. After the last sight nothing is known of what is still on: for how long it is followed is
   worked out with each report (jobs.reports.stats.staying), not kept here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from jobs.lives.odometer import Odometer, Spot, read
from jobs.lives.rows import Entry, Exit, History, Life, Place, Sight, Swap


@dataclass(frozen=True, slots=True)
class _Stay:
    """The time for which a vehicle was about: from one first sight until it was gone, if it was."""

    sights: tuple[Sight, ...]
    gone_day: int | None
    swaps: tuple[Swap, ...]
    again: bool = False

    @property
    def first_day(self) -> int:
        return self.sights[0].day

    @property
    def last_day(self) -> int:
        return self.sights[-1].day


@dataclass(frozen=True, slots=True)
class _Unit:
    """A life that goes on, and where its distance clock began."""

    life: Life
    start: Spot


def lives_of(history: History) -> tuple[Life, ...]:
    """Every life of every place, by place and in order of time; none for a vehicle never seen."""
    swapped = {swap.place for swap in history.swaps}
    places = sorted({*history.places, *swapped}, key=lambda one: (one.component, one.position))
    odometer, stays = read(history.sights), _stays(history)
    return tuple(
        life
        for place in places
        for stay in stays
        for life in _Place(place, history, odometer, stay).lives()
    )


def _stays(history: History) -> list[_Stay]:
    """One, or two when the vehicle was gone and seen again; none when it was never seen."""
    sights = tuple(sorted(history.sights, key=lambda one: one.day))
    # Two on one day follow each other as they were fitted: keys of units rise.
    swaps = tuple(
        sorted(history.swaps, key=lambda one: (one.fitted_day, one.on or 0, one.came_day))
    )
    gone = history.gone_day
    if not sights:
        return []
    if gone is None or gone < sights[0].day:
        return [_Stay(sights, None, swaps)]
    gone = max([gone, *(one.fitted_day for one in swaps if one.came_day <= gone)])
    before = tuple(one for one in sights if one.day <= gone)
    stays = [_Stay(before, gone, tuple(one for one in swaps if one.came_day <= gone))]
    if len(before) < len(sights):
        after = tuple(one for one in swaps if one.came_day > gone)
        stays.append(_Stay(sights[len(before) :], None, after, again=True))
    return stays


def _another(life: Life, swap: Swap) -> bool:
    """Whether what came off is not the unit on record."""
    return swap.another or (None not in (swap.off, life.unit) and swap.off != life.unit)


@dataclass(frozen=True, slots=True)
class _Place:
    """One place of a vehicle during one stay."""

    place: Place
    history: History
    odometer: Odometer
    stay: _Stay

    def lives(self) -> Iterator[Life]:
        now = self._first_seen()
        for swap in self.stay.swaps:
            if swap.place != self.place:
                continue
            if another := _another(now.life, swap):
                yield (gone := self._replaced_elsewhere(now, swap))
                now = self._found(swap, not_before=gone.out_day)
            yield (off := self._taken_off(now, swap, here_before=not another))
            now = self._fitted(swap, not_before=off.out_day)
        yield self._still_on(now)

    def _first_seen(self) -> _Unit:
        day, born = self.stay.first_day, self.history.in_service
        here_before = self.stay.again and any(
            swap.place == self.place and swap.came_day < day for swap in self.history.swaps
        )
        known = born is not None and born <= day and not here_before
        start = self.odometer.first_on(day) or Spot(0, 0)
        born_m = 0 if start.stretch == 0 and not here_before else None
        return self._begun("first_seen", day, start, born if known else None, born_m)

    def _found(self, swap: Swap, *, not_before: int) -> _Unit:
        """The unit of somebody else, first seen when it came in to be replaced."""
        day = max(swap.came_day, not_before)
        return self._begun("elsewhere", day, self._came(swap), None, None)

    def _fitted(self, swap: Swap, *, not_before: int) -> _Unit:
        day = max(swap.fitted_day, not_before)
        spot = self.odometer.by(swap.fitted_day, swap.fitted_m)
        start = Spot(spot.stretch if spot else 0, swap.fitted_m)
        unit = self._begun("fitted", day, start, day, swap.fitted_m)
        return replace(unit, life=replace(unit.life, unit=swap.on))

    def _begun(
        self, entry: Entry, day: int, start: Spot, born_day: int | None, born_m: int | None
    ) -> _Unit:
        life = Life(
            place=self.place,
            entry=entry,
            exit="",
            in_day=day,
            out_day=day,
            born_day=born_day,
            in_m=start.at_m,
            out_m=start.at_m,
            born_m=born_m,
            left_at_out_m=False,
            m_a_day=self.odometer.m_a_day(start.stretch),
            stretch=start.stretch,
        )
        return _Unit(life, start)

    def _replaced_elsewhere(self, unit: _Unit, swap: Swap) -> Life:
        before = [sight.day for sight in self.stay.sights if sight.day < swap.came_day]
        day = max(before, default=unit.life.in_day)
        life = self._out(unit, "elsewhere", day, self.odometer.by(day))
        return replace(life, known_day=swap.fitted_day)

    def _taken_off(self, unit: _Unit, swap: Swap, *, here_before: bool) -> Life:
        why: Exit = "failed" if swap.failed else "other"
        day, end = swap.came_day, self._came(swap)
        if swap.failed and here_before and swap.found_day is not None:
            day, end = self._found_before(unit, swap, swap.found_day)
        life = replace(self._out(unit, why, day, end), known_day=swap.fitted_day)
        return life if swap.off is None else replace(life, unit=swap.off)

    def _found_before(self, unit: _Unit, swap: Swap, day: int) -> tuple[int, Spot]:
        """When it was first found failed; when it was first seen, if the finding was of before."""
        if day < unit.life.in_day:
            return unit.life.in_day, unit.start
        spot = self.odometer.by(day, swap.found_m)
        return day, Spot(spot.stretch if spot else 0, swap.found_m or 0)

    def _still_on(self, unit: _Unit) -> Life:
        gone = self.stay.gone_day
        if gone is None:
            return self._out(unit, "", self.stay.last_day, None)
        life = self._out(unit, "gone", gone, None)
        return replace(life, known_day=life.out_day)

    def _came(self, swap: Swap) -> Spot:
        spot = self.odometer.by(swap.came_day, swap.came_m)
        return Spot(spot.stretch if spot else 0, swap.came_m)

    def _out(self, unit: _Unit, why: Exit, day: int, end: Spot | None) -> Life:
        """Watched until `day`, never less than from its beginning; `end`: where it left."""
        life, start = unit.life, unit.start
        day = max(day, life.in_day)
        sound = end is not None and end.stretch == start.stretch
        last = end.at_m if sound and end else self.odometer.last_of(start.stretch, day)
        return replace(
            life,
            exit=why,
            out_day=day,
            out_m=max(start.at_m, last or 0),
            left_at_out_m=sound,
        )
