"""What one person of the demo does at a vehicle: lamps, flags, lists, readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from uuid import uuid4

from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import ProcedureRun, Reading, Session, Step, StepOutcome
from diagnostics.places import resolve
from diagnostics.services import flags, lamps, readings, runs
from diagnostics.services.flags import FlagInput
from diagnostics.services.readings import ReadingInput
from diagnostics.services.runs import Answer
from diagnostics.telltales import Lamp, Observation, Shown, Situation
from jobs.demo.figures import WITHIN, figure
from jobs.demo.shelf import Shelf
from jobs.demo.watch import Watch
from shop.actor import Actor

SKIP = "skip:"
# Questions that sum a list up: an opinion, and no evidence of its own.
_SUMMING_UP = frozenset({"one_cause", "explains"})


@dataclass(frozen=True, slots=True)
class Found:
    """A recorded fact by its evidence key ("reading:12"), and whether it speaks for a fault."""

    key: str
    bad: bool


def looked_at(shown: Mapping[Lamp, Shown]) -> list[Observation]:
    """Bulb check passed; with the engine running all dark but `shown`."""
    watched = [Lamp.AMBER_ANTILOCK, Lamp.RED_BRAKE]
    watched += [lamp for lamp in shown if lamp not in watched]
    bulbs = [Observation(lamp, Situation.KEY_ON, Shown.STEADY) for lamp in watched]
    running = [
        Observation(lamp, Situation.ENGINE_RUNNING, shown.get(lamp, Shown.DARK)) for lamp in watched
    ]
    return bulbs + running


class Bench:
    """One person at one vehicle; the watch goes on with every act."""

    def __init__(
        self, actor: Actor, session_id: int, watch: Watch, rng: Random, shelf: Shelf
    ) -> None:
        self.actor = actor
        self.session = Session.objects.select_related("version").get(pk=session_id)
        self.watch = watch
        self.rng = rng
        self.shelf = shelf

    def see_lamps(self, shown: Mapping[Lamp, Shown]) -> Found:
        with self.watch.spend(2):
            check = lamps.record(
                self.actor, self.session, act=uuid4(), observations=looked_at(shown)
            )
        return Found(f"lamps:{check.pk}", not check.normal)

    def read_flag(self, module: str, code: str, status: str = "stored") -> Found:
        """One flag in the module's memory, or none when `code` is empty."""
        given = [FlagInput(code, status, lamp_requested=status != "stored")] if code else []
        with self.watch.spend(4):
            read = flags.record_read(
                self.actor,
                self.session,
                act=uuid4(),
                module=module,
                flags=given,
                none_stored=not code,
            )
        flag = read.flags.first()
        return Found(f"flag:{flag.pk}", True) if flag else Found(f"read:{read.pk}", False)

    def clear_flags(self, module: str) -> None:
        with self.watch.spend(2):
            flags.clear(self.actor, self.session, act=uuid4(), module=module)

    def work_through(
        self, key: str, *, corner: str = "", answers: Mapping[str, str], stop_at: str = ""
    ) -> dict[str, Found]:
        """Answer a list step by step, as it should be where `answers` says nothing else.

        Returns what was found, by step. `stop_at` leaves the list there, unanswered.
        """
        sheet = self.shelf.list_of(self.session, key)
        corner = (corner or Step.Place.LF) if sheet.names_corners else ""
        with self.watch.spend(1):
            run = runs.begin(
                self.actor, self.session, act=uuid4(), procedure=sheet.procedure, corner=corner
            )
        found: dict[str, Found] = {}
        while run.current is not None and run.current.key != stop_at:
            step = run.current
            result = self._step(run, step, answers.get(step.key, ""))
            if result is not None:
                found[step.key] = result
        if run.current is not None and run.current.caution:
            self._acknowledge(run, run.current)
        return found

    def take_again(self, reading: Reading) -> None:
        """The same measurement after the repair, and now as it should be."""
        quantity = reading.quantity
        limit = self.shelf.limit(self.session, quantity, reading.component, reading.position)
        typed = figure(quantity, limit, WITHIN, self.rng)
        taken = ReadingInput(
            quantity=quantity,
            value=typed.value,
            unit=typed.unit,
            component=reading.component,
            position=reading.position,
            temperature=typed.temperature,
            engine=typed.engine,
        )
        with self.watch.spend(3):
            readings.record(self.actor, self.session, act=uuid4(), taken=taken)

    def _step(self, run: ProcedureRun, step: Step, said: str) -> Found | None:
        if step.caution:
            self._acknowledge(run, step)
        if step.kind == Step.Kind.CAUTION:
            return None
        with self.watch.spend(step.minutes or 1):
            if said.startswith(SKIP):
                because = said.removeprefix(SKIP).strip()
                runs.skip(
                    self.actor, run, act=uuid4(), revision=run.revision, step=step, because=because
                )
                return None
            result = runs.answer(
                self.actor,
                run,
                act=uuid4(),
                revision=run.revision,
                step=step,
                answer=self._answer(run, step, said),
            )
        if result.reading is not None:
            outside = result.reading.verdict == VerdictKind.OUTSIDE
            return Found(f"reading:{result.reading.pk}", outside)
        assert result.outcome is not None  # every look and question ends in one
        bad = result.outcome.judged == StepOutcome.Judged.BAD and step.key not in _SUMMING_UP
        return Found(f"step:{result.pk}", bad)

    def _acknowledge(self, run: ProcedureRun, step: Step) -> None:
        with self.watch.spend(1):
            runs.acknowledge(self.actor, run, act=uuid4(), revision=run.revision, step=step)

    def _answer(self, run: ProcedureRun, step: Step, said: str) -> Answer:
        if step.quantity is None:
            return Answer(outcome=said or self.shelf.good_answer(step))
        place = resolve(step.position, run.corner) or ""
        limit = self.shelf.limit(self.session, step.quantity, step.component, place)
        return Answer(reading=figure(step.quantity, limit, said or WITHIN, self.rng))
