"""A session as its sheets show it, gathered in a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Exists, OuterRef

from diagnostics import plan_of_car, words
from diagnostics.models import (
    LampCheck,
    Phase,
    Procedure,
    ProcedureRun,
    Reading,
    Session,
)
from diagnostics.next_list import Known, Listed, Proposal, others, proposals
from diagnostics.places import CORNERS
from diagnostics.plan_of_car import MODULATOR, STEERING, Mark
from diagnostics.queries.memory import FlagSeen, MemorySeen, memory_of
from diagnostics.telltales import Lamp, Shown, Situation

# What has no position but a place of its own on the plan.
_PLACE_OF_SYSTEM = {"power_steering": STEERING, "brake_control": MODULATOR}


@dataclass(frozen=True, slots=True)
class ReadingSeen:
    """One value as a line of the list; a replaced one is struck through, never hidden."""

    pk: int
    what: str
    quantity: str
    position: str
    place: str
    where: str
    shown: str
    condition: str
    allowed: str
    source: str
    verdict: str
    reason: str
    phase: str
    at: datetime
    by: str
    replaced: bool
    because: str
    component: str
    measurement: int | None = None  # what it was worked out from

    @property
    def why(self) -> str:
        """The reason after its verdict's word: "Outside: 42 kΩ is ..." -> "42 kΩ is ..."."""
        said = self.reason.partition(": ")[2] or self.reason
        return said[:1].upper() + said[1:]


@dataclass(frozen=True, slots=True)
class LampSeen:
    """One lamp in one situation; `name` and `says` are its words beside the drawing."""

    lamp: str
    situation: str
    shown: str

    @property
    def name(self) -> str:
        name = Lamp(self.lamp).label
        return f"{name[:1].upper()}{name[1:]}"

    @property
    def says(self) -> str:
        return f"{Shown(self.shown).label} {Situation(self.situation).label}"


@dataclass(frozen=True, slots=True)
class LampsSeen:
    """One look at the lamps with what was made of it."""

    pk: int
    phase: str
    at: datetime
    by: str
    says: str
    first: str
    may_drive: bool | None
    unsafe: bool
    normal: bool
    lamps: tuple[LampSeen, ...]


@dataclass(frozen=True, slots=True)
class RunSeen:
    pk: int
    title: str
    phase: str
    finished: bool
    procedure: int


@dataclass(frozen=True, slots=True)
class Picture:
    """Everything recorded in one session, and what may be worked through next."""

    session: Session
    readings: tuple[ReadingSeen, ...] = ()
    lamps: tuple[LampsSeen, ...] = ()
    memory: tuple[MemorySeen, ...] = ()
    runs: tuple[RunSeen, ...] = ()
    systems: tuple[str, ...] = ()
    lists: tuple[Listed, ...] = field(default=(), repr=False)

    @property
    def closed(self) -> bool:
        return self.session.closed_at is not None

    @property
    def after_repair(self) -> bool:
        return self.session.phase == Phase.AFTER_REPAIR

    @property
    def standing(self) -> tuple[ReadingSeen, ...]:
        return tuple(one for one in self.readings if not one.replaced)

    @property
    def last_lamps(self) -> LampsSeen | None:
        return self.lamps[-1] if self.lamps else None

    @property
    def earlier_lamps(self) -> tuple[LampsSeen, ...]:
        """The looks before the last one, latest first."""
        return self.lamps[-2::-1]

    @property
    def flags_as_found(self) -> tuple[FlagSeen, ...]:
        """Every code read before the repair, once, by its last status."""
        found = {
            flag.code: flag
            for read in self.memory
            if read.phase == Phase.AS_FOUND
            for flag in read.flags
        }
        return tuple(found.values())

    @property
    def flags_standing(self) -> tuple[FlagSeen, ...]:
        """What each module last held: nothing once it was cleared or read empty."""
        by_module: dict[str, tuple[FlagSeen, ...]] = {}
        for one in self.memory:
            if not one.module:  # every module at once
                by_module.clear()
            by_module[one.module.casefold()] = tuple(flag for flag in one.flags if not flag.quiet)
        return tuple({flag.code: flag for flags in by_module.values() for flag in flags}.values())

    @property
    def last_reading(self) -> ReadingSeen | None:
        return self.readings[-1] if self.readings else None

    @property
    def memory_as_found(self) -> tuple[MemorySeen, ...]:
        return tuple(one for one in self.memory if one.phase == Phase.AS_FOUND)

    @property
    def memory_after(self) -> tuple[MemorySeen, ...]:
        return tuple(one for one in self.memory if one.phase == Phase.AFTER_REPAIR)

    @property
    def more_flags(self) -> int:
        return len(self.flags_as_found) - 2

    @property
    def lamp_lines(self) -> tuple[LampSeen, ...]:
        """The lamps that were lit at the last look, or the dark one when none was."""
        if self.last_lamps is None:
            return ()
        after_start = [
            one for one in self.last_lamps.lamps if one.situation != Situation.KEY_ON
        ] or list(self.last_lamps.lamps)
        lit = [one for one in after_start if one.shown != Shown.DARK] or after_start[:1]
        return tuple(lit)

    def known(self) -> Known:
        phase = self.session.phase
        return Known(
            after_repair=self.after_repair,
            lamps_looked_at=any(one.phase == phase for one in self.lamps),
            flags_read=any(one.phase == phase and not one.cleared for one in self.memory),
            codes=tuple(flag.code for flag in self.flags_as_found),
            systems=self.systems,
            finished=frozenset(
                run.procedure for run in self.runs if run.finished and run.phase == phase
            ),
            begun=frozenset(
                run.procedure for run in self.runs if not run.finished and run.phase == phase
            ),
        )

    def proposals(self) -> tuple[Proposal, ...]:
        return proposals(self.lists, self.known())

    def other_lists(self) -> tuple[Proposal, ...]:
        return others(self.lists, self.known())

    def plan(
        self, *, suspect: str = "", now: str = "", about: str = "", link: str = ""
    ) -> dict[str, Mark]:
        """The marks on the plan of the car: each by the values that count there."""
        codes: dict[str, list[str]] = defaultdict(list)
        for flag in self.flags_standing:
            if flag.position in CORNERS:
                codes[flag.position].append(flag.code)
        measured = (
            plan_of_car.Measured(
                what=(one.what, one.component),
                place=one.place,
                shown=one.shown,
                verdict=one.verdict,
                phase=one.phase,
            )
            for one in self.standing
        )
        return plan_of_car.marks(
            measured,
            codes={place: tuple(found) for place, found in codes.items()},
            suspect=suspect,
            now=now,
            about=about,
            link=link,
        )


def picture(session: Session, systems: tuple[str, ...] = ()) -> Picture:
    """Nine queries, whatever was recorded. `session` comes from `get_session`; `systems` are the
    names of those that the complaints are about."""
    return Picture(
        session=session,
        readings=readings_of(session),
        lamps=tuple(_lamps_of(session)),
        memory=memory_of(session),
        runs=tuple(_runs_of(session)),
        systems=systems,
        lists=tuple(_lists_of(session)),
    )


def readings_of(session: Session) -> tuple[ReadingSeen, ...]:
    rows = Reading.objects.filter(session=session).select_related(
        "quantity", "component__system", "by"
    )
    standing = Reading.objects.standing().filter(session=session)
    found = list(rows.annotate(stands=Exists(standing.filter(pk=OuterRef("pk")))))
    return tuple(seen(row, replaced=not getattr(row, "stands", True)) for row in found)


def seen(row: Reading, *, replaced: bool = False) -> ReadingSeen:
    return ReadingSeen(
        pk=row.pk,
        what=row.quantity.key,
        quantity=row.quantity.name,
        position=row.position,
        place=_place_on_plan(row),
        where=words.place(row.position),
        shown=words.value(row),
        condition=words.conditions(row),
        allowed=words.allowed(row),
        source=row.limit_source,
        verdict=row.verdict,
        reason=row.reason,
        phase=row.phase,
        at=row.at,
        by=str(row.by),
        replaced=replaced,
        because=row.replaced_because,
        component=row.component.name if row.component else "",
        measurement=row.measurement_id,
    )


def _place_on_plan(row: Reading) -> str:
    if row.position:
        return row.position
    system = row.component.system.key if row.component else ""
    return _PLACE_OF_SYSTEM.get(system, "")


def _lamps_of(session: Session) -> Iterable[LampsSeen]:
    rows = LampCheck.objects.filter(session=session).select_related("by")
    for row in rows.prefetch_related("observations"):
        lamps = tuple(
            LampSeen(one.lamp, one.situation, one.shown) for one in row.observations.all()
        )
        yield LampsSeen(
            pk=row.pk,
            phase=row.phase,
            at=row.at,
            by=str(row.by),
            says=row.says,
            first=row.first,
            may_drive=row.may_drive,
            unsafe=row.unsafe,
            normal=row.normal,
            lamps=lamps,
        )


def _runs_of(session: Session) -> Iterable[RunSeen]:
    for row in ProcedureRun.objects.filter(session=session).select_related("procedure"):
        yield RunSeen(
            pk=row.pk,
            title=row.procedure.title,
            phase=row.phase,
            finished=row.finished_at is not None,
            procedure=row.procedure_id,
        )


def _lists_of(session: Session) -> Iterable[Listed]:
    if session.version_id is None:
        return
    rows = Procedure.objects.filter(version=session.version_id).select_related("system")
    for row in rows:
        yield Listed(
            pk=row.pk,
            title=row.title,
            purpose=row.purpose,
            use=row.use,
            order=row.order,
            for_flags=frozenset(row.for_flags.split()),
            system=row.system.name if row.system else "",
        )
