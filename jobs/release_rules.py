"""What must be shown before a vehicle goes back on the road. Pure.

Common practice, no source: flags cleared after the repair, a road test long and fast enough for
the module's self-test (the modulator tests its motors once per start above about 3 mph, 5 km/h),
lamps normal, flags read again after it with none present, and every reading that was outside
taken again and inside. The vehicle maker's service information comes first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol, TypeVar

Place = tuple[str, str, str]
NOWHERE: Place = ("", "", "")


class Dated(Protocol):
    @property
    def at(self) -> datetime: ...


T = TypeVar("T", bound=Dated)


@dataclass(frozen=True, slots=True)
class ClearingFact:
    """`module` is blank when every module was cleared."""

    at: datetime
    module: str = ""


@dataclass(frozen=True, slots=True)
class FlagReadFact:
    """`codes` are present or stored; `untested` were not tested since they were cleared."""

    at: datetime
    codes: tuple[str, ...]
    module: str = ""
    untested: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RoadTestFact:
    at: datetime
    long_enough: bool
    reason: str


@dataclass(frozen=True, slots=True)
class LampFact:
    at: datetime
    normal: bool
    says: str


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """One reading that stands (not replaced).

    `place` is the key of the quantity, the id of the component, and the position; `name` says
    the place in words, `shown` the value with its unit; `verdict` is one of the measuring floor.
    """

    at: datetime
    place: Place
    name: str
    shown: str
    verdict: str
    after_repair: bool


@dataclass(frozen=True, slots=True)
class Proof:
    """The dated facts of one job.

    `repaired_at` is the last fitting, None when nothing was fitted; `begun_at` is when diagnosis
    was last begun. What is older than the later of the two proves nothing.
    """

    repaired_at: datetime | None = None
    begun_at: datetime | None = None
    clearings: tuple[ClearingFact, ...] = ()
    flag_reads: tuple[FlagReadFact, ...] = ()
    road_tests: tuple[RoadTestFact, ...] = ()
    lamp_checks: tuple[LampFact, ...] = ()
    readings: tuple[ReadingFact, ...] = ()
    without_conclusion: tuple[int, ...] = ()
    without_correction: tuple[int, ...] = ()

    @property
    def since(self) -> datetime | None:
        moments = [at for at in (self.repaired_at, self.begun_at) if at is not None]
        return max(moments) if moments else None


class Where(StrEnum):
    """The place in the product where a missing thing is entered."""

    CONCLUDE = "conclude"
    FLAGS_CLEAR = "flags_clear"
    ROAD_TEST = "road_test"
    LAMPS = "lamps"
    FLAGS = "flags"
    READINGS = "readings"
    CORRECTION = "correction"


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the release checklist: shown, or still to do, and why."""

    key: Where
    done: bool
    title: str
    sentence: str
    line: int = 0
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing still to do: `key` names the place to do it, `sentence` says what."""

    key: Where
    sentence: str
    line: int = 0
    place: Place = NOWHERE


def missing_for_release(proof: Proof) -> tuple[Missing, ...]:
    """Everything that still has to be shown, in the order of work; empty when all is proved."""
    return tuple(
        Missing(item.key, item.sentence, item.line, item.place)
        for item in checklist(proof)
        if not item.done
    )


def checklist(proof: Proof) -> tuple[Item, ...]:
    """The release checklist of a job, in the order of work, done and not done."""
    cleared = tuple(_cleared(proof))
    all_cleared = all(item.done for item in cleared)
    tests = _since(proof.road_tests, _cleared_at(proof) or proof.since) if all_cleared else []
    return (
        *_concluded(proof),
        *cleared,
        _driven(proof, tests, all_cleared),
        _lamps_normal(proof, tests),
        *_flags_read_again(proof, tests),
        *_readings_again(proof),
        *_corrected(proof),
    )


def _concluded(proof: Proof) -> Iterator[Item]:
    for line in proof.without_conclusion:
        yield Item(
            Where.CONCLUDE,
            False,
            f"Conclusion on complaint {line}",
            f"Complaint {line} has no conclusion: name the fault, or conclude that none was found.",
            line=line,
        )
    if not proof.without_conclusion:
        yield Item(Where.CONCLUDE, True, "Conclusions", "Every complaint has its conclusion.")


def _corrected(proof: Proof) -> Iterator[Item]:
    for line in proof.without_correction:
        yield Item(
            Where.CORRECTION,
            False,
            f"Correction of complaint {line}",
            f"Complaint {line} has no correction: write what was done about it.",
            line=line,
        )
    if not proof.without_correction:
        yield Item(
            Where.CORRECTION,
            True,
            "Corrections",
            "Every complaint that was not declined has its correction.",
        )


def _cleared(proof: Proof) -> Iterator[Item]:
    """Flags were found: the memory they were found in must be cleared after the repair."""
    after = _repair(proof)
    modules = _modules_with_flags(proof)
    for module in modules:
        title = f"Flags cleared, {module}" if module else "Flags cleared"
        cleared = _last(c for c in _since(proof.clearings, proof.since) if _covers(c, module))
        if cleared:
            said = f"Cleared {_when(cleared.at)}."
            yield Item(Where.FLAGS_CLEAR, True, title, said)
        else:
            where = f" in {module}" if module else ""
            said = f"Flags were found{where} and have not been cleared {after}."
            yield Item(Where.FLAGS_CLEAR, False, title, said)
    if not modules:
        yield Item(
            Where.FLAGS_CLEAR,
            True,
            "Flags cleared",
            "No flag was found, so none had to be cleared.",
        )


def _driven(proof: Proof, tests: list[RoadTestFact], all_cleared: bool) -> Item:
    """`tests` are the road tests after the last clearing; earlier ones show nothing."""
    title = "Road test"
    cleared_at = _cleared_at(proof)
    good = _last(test for test in tests if test.long_enough)
    if good:
        return Item(Where.ROAD_TEST, True, title, f"Driven {_when(good.at)}: {good.reason}")
    last = _last(tests)
    if last:
        said = f"The road test {_when(last.at)} does not count: {last.reason}"
    elif not all_cleared:
        said = "The road test comes after the flags are cleared, so that it can show them gone."
    elif cleared_at:
        said = f"No road test since the flags were cleared {_when(cleared_at)}."
    else:
        said = f"No road test {_repair(proof)}."
    return Item(Where.ROAD_TEST, False, title, said)


def _lamps_normal(proof: Proof, tests: list[RoadTestFact]) -> Item:
    """Looked at once the module has tested itself: a lamp may come back only on the drive."""
    title = "Lamps normal"
    driven = _last(test for test in tests if test.long_enough)
    last = _last(_since(proof.lamp_checks, driven.at if driven else proof.since))
    if last is None:
        when = "since the road test" if driven else _repair(proof)
        said = f"The lamps have not been looked at {when}."
        return Item(Where.LAMPS, False, title, said)
    if last.normal and driven is None:
        said = "Look at the lamps again after a road test that counts."
        return Item(Where.LAMPS, False, title, said)
    if last.normal:
        return Item(Where.LAMPS, True, title, f"Seen normal {_when(last.at)}.")
    said = f"The lamps were not normal when last looked at, {_when(last.at)}: {last.says}"
    return Item(Where.LAMPS, False, title, said)


def _flags_read_again(proof: Proof, tests: list[RoadTestFact]) -> Iterator[Item]:
    """Every module in which flags were found, or any one when none were."""
    driven = _last(test for test in tests if test.long_enough)
    for module in _modules_with_flags(proof) or ("",):
        title = f"Flags read again, {module}" if module else "Flags read again"
        where = f" in {module}" if module else ""
        if driven is None:
            said = f"Read the flags again{where} after a road test that counts."
            yield Item(Where.FLAGS, False, title, said)
            continue
        reads = [r for r in _since(proof.flag_reads, driven.at) if _covers(r, module)]
        yield _read_again(title, where, _last(reads), driven)


def _read_again(title: str, where: str, read: FlagReadFact | None, driven: RoadTestFact) -> Item:
    if read is None:
        said = f"Flags have not been read{where} since the road test {_when(driven.at)}."
        return Item(Where.FLAGS, False, title, said)
    if read.codes:
        are = "is" if len(read.codes) == 1 else "are"
        said = (
            f"{_and(read.codes)} {are} still there{where}, read {_when(read.at)} "
            "after the road test."
        )
        return Item(Where.FLAGS, False, title, said)
    if read.untested:
        said = (
            f"{_and(read.untested)} not tested since cleared{where}, read {_when(read.at)}: "
            "drive until the module has tested itself, then read again."
        )
        return Item(Where.FLAGS, False, title, said)
    return Item(Where.FLAGS, True, title, f"Read {_when(read.at)}: none present.")


def _readings_again(proof: Proof) -> Iterator[Item]:
    """What was outside before the last repair, and what was outside when last taken after it.

    Before it lies what was found, and what was measured after an earlier repair that did not cure.
    """
    outside: dict[Place, ReadingFact] = {}
    again: dict[Place, ReadingFact] = {}
    for reading in sorted(proof.readings, key=lambda r: r.at):
        if reading.after_repair and (proof.since is None or reading.at >= proof.since):
            again[reading.place] = reading
        elif reading.verdict == "outside":
            outside[reading.place] = reading
    for place, reading in again.items():
        if reading.verdict == "outside":
            outside.setdefault(place, reading)
    for place, found in outside.items():
        yield _taken_again(found, again.get(place))
    if not outside:
        yield Item(
            Where.READINGS, True, "Readings taken again", "No reading was outside its limits."
        )


def _taken_again(found: ReadingFact, now: ReadingFact | None) -> Item:
    title = f"Taken again: {found.name}"
    was = f"{found.name} was outside ({found.shown})"
    if now is None:
        return Item(
            Where.READINGS,
            False,
            title,
            f"{was} and has not been taken again after the repair.",
            place=found.place,
        )
    if now.verdict in ("within", "near"):
        near = ", near the limit: near counts as inside" if now.verdict == "near" else ", within"
        said = f"{now.shown} {_when(now.at)}{near}; as found it was {found.shown}."
        return Item(Where.READINGS, True, title, said, place=found.place)
    verdict = "still outside" if now.verdict == "outside" else "could not be judged"
    said = f"{found.name}, taken again {_when(now.at)}, is {verdict} ({now.shown})."
    return Item(Where.READINGS, False, title, said, place=found.place)


def _modules_with_flags(proof: Proof) -> tuple[str, ...]:
    """Modules in which any flag was ever read on this job, first seen first."""
    found = (r.module.strip() for r in proof.flag_reads if r.codes or r.untested)
    return tuple({module.casefold(): module for module in found}.values())


def _cleared_at(proof: Proof) -> datetime | None:
    """The last clearing after the repair: a road test before it shows nothing."""
    last = _last(_since(proof.clearings, proof.since))
    return last.at if last else None


def _covers(fact: ClearingFact | FlagReadFact, module: str) -> bool:
    said = fact.module.strip().casefold()
    return said in ("", module.casefold()) or module == ""


def _since(facts: Iterable[T], moment: datetime | None) -> list[T]:
    return [fact for fact in facts if moment is None or fact.at >= moment]


def _last(facts: Iterable[T]) -> T | None:
    """The latest; of several at one moment the one recorded last."""
    return max(reversed(list(facts)), key=lambda fact: fact.at, default=None)


def _repair(proof: Proof) -> str:
    return "since the repair" if proof.repaired_at else "since diagnosis began"


def _when(at: datetime) -> str:
    return f"{at.day} {at:%b} at {at:%H:%M}"


def _and(words: tuple[str, ...]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
