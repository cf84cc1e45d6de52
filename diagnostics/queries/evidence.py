"""What was recorded in a session and may carry a conclusion; and what carries one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from django.db.models import F, Q, QuerySet

from diagnostics import words
from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import (
    Conclusion,
    Evidence,
    FlagRead,
    LampCheck,
    Reading,
    Session,
    Step,
    StepOutcome,
    StepResult,
    StoredFlag,
)
from diagnostics.queries.at_step import step_of, with_step

Kind = Literal["reading", "flag", "step", "lamps", "read"]
Judged = Literal["good", "bad", "unknown"]

_FIELDS: dict[str, str] = {
    "reading": "reading_id",
    "flag": "flag_id",
    "step": "step_result_id",
    "lamps": "lamp_check_id",
    "read": "flag_read_id",
}
_BY_VERDICT: dict[str, Judged] = {
    VerdictKind.WITHIN: "good",
    VerdictKind.NEAR: "good",
    VerdictKind.OUTSIDE: "bad",
    VerdictKind.NOT_JUDGED: "unknown",
}
_BY_OUTCOME: dict[str, Judged] = {
    StepOutcome.Judged.GOOD: "good",
    StepOutcome.Judged.BAD: "bad",
    StepOutcome.Judged.UNKNOWN: "unknown",
}
# A flag that a module holds speaks for a fault; one it has not tested, or tested well, does not.
_BY_STATUS: dict[str, Judged] = {
    StoredFlag.Status.NOT_TESTED: "unknown",
    StoredFlag.Status.QUIET: "good",
}


@dataclass(frozen=True, slots=True)
class Candidate:
    """One recorded fact. `suggested`: it speaks for a fault. `verdict` only for readings."""

    key: str
    kind: Kind
    words: str
    phase: str
    at: datetime
    by: str
    judged: Judged
    verdict: str = ""
    allowed: str = ""

    @property
    def suggested(self) -> bool:
        return self.judged == "bad"


def candidates(session: Session) -> tuple[Candidate, ...]:
    """Everything that stands, in the order it was recorded: five queries and their prefetches."""
    of_session = Q(session=session)
    found = [
        *map(_reading, _readings(of_session, Reading.objects.standing())),
        *map(_flag, _flags(Q(read__session=session))),
        *map(_step, _latest(_steps(of_session & Q(reading=None)))),
        *map(_lamps, _lamp_checks(of_session)),
        *map(_read, _reads(of_session & Q(none_stored=True))),
    ]
    return tuple(sorted(found, key=lambda one: (one.at, one.key)))


def evidence_words(conclusion: Conclusion) -> tuple[Candidate, ...]:
    """What one conclusion rests on."""
    return evidence_of([conclusion]).get(conclusion.pk, ())


def evidence_of(conclusions: Iterable[Conclusion]) -> dict[int, tuple[Candidate, ...]]:
    """What each conclusion rests on, by its pk; the number of queries is constant."""
    rows = list(Evidence.objects.filter(conclusion__in=[one.pk for one in conclusions]))
    if not rows:
        return {}
    by_key: dict[str, Candidate] = {one.key: one for one in _candidates_in(rows)}
    found: dict[int, list[Candidate]] = defaultdict(list)
    for row in rows:
        found[row.conclusion_id].append(by_key[_key_of(row)])
    return {
        pk: tuple(sorted(carried, key=lambda one: (one.at, one.key)))
        for pk, carried in found.items()
    }


def as_row(key: str) -> dict[str, int]:
    """ "reading:12" -> {"reading_id": 12}. Raises KeyError or ValueError for no such key."""
    kind, _, pk = key.partition(":")
    return {_FIELDS[kind]: int(pk)}


def _key_of(row: Evidence) -> str:
    for kind, field in _FIELDS.items():
        pk = getattr(row, field)
        if pk is not None:
            return f"{kind}:{pk}"
    raise AssertionError("evidence without a fact")


def _candidates_in(rows: list[Evidence]) -> Iterator[Candidate]:
    def pks(field: str) -> list[int]:
        return [pk for row in rows if (pk := getattr(row, field)) is not None]

    yield from map(_reading, _readings(Q(pk__in=pks("reading_id"))))
    yield from map(_flag, _flags(Q(pk__in=pks("flag_id"))))
    yield from map(_step, _steps(Q(pk__in=pks("step_result_id"))))
    yield from map(_lamps, _lamp_checks(Q(pk__in=pks("lamp_check_id"))))
    yield from map(_read, _reads(Q(pk__in=pks("flag_read_id"))))


def _readings(which: Q, among: QuerySet[Reading] | None = None) -> QuerySet[Reading]:
    rows = Reading.objects.all() if among is None else among
    rows = rows.filter(which).select_related("quantity", "component", "by")
    return with_step(rows).annotate(capture_name=F("measurement__capture__name"))


def _flags(which: Q) -> QuerySet[StoredFlag]:
    return StoredFlag.objects.filter(which).select_related("read__by", "definition")


def _steps(which: Q) -> QuerySet[StepResult]:
    answered = which & Q(outcome__isnull=False) & ~Q(step__kind=Step.Kind.CAUTION)
    return StepResult.objects.filter(answered).select_related("step", "outcome", "by")


def _lamp_checks(which: Q) -> QuerySet[LampCheck]:
    return LampCheck.objects.filter(which).select_related("by").prefetch_related("observations")


def _reads(which: Q) -> QuerySet[FlagRead]:
    return FlagRead.objects.filter(which).select_related("by")


def _latest(rows: QuerySet[StepResult]) -> list[StepResult]:
    return list({(row.run_id, row.step_id): row for row in rows}.values())


def _reading(row: Reading) -> Candidate:
    step, capture = step_of(row), getattr(row, "capture_name", None)
    beside = [f"“{step}”" if step else "", f"capture “{capture}”" if capture else ""]
    noted = ", ".join(part for part in beside if part)
    return Candidate(
        key=f"reading:{row.pk}",
        kind="reading",
        words=f"{words.reading(row)} ({noted})" if noted else words.reading(row),
        phase=row.phase,
        at=row.at,
        by=str(row.by),
        judged=_BY_VERDICT[row.verdict],
        verdict=row.verdict,
        allowed=words.allowed(row),
    )


def _flag(row: StoredFlag) -> Candidate:
    key, read = f"flag:{row.pk}", row.read
    judged = _BY_STATUS.get(row.status, "bad")
    return Candidate(key, "flag", words.flag(row), read.phase, read.at, str(read.by), judged)


def _step(row: StepResult) -> Candidate:
    judged = _BY_OUTCOME[row.outcome.judged] if row.outcome else "unknown"
    said = words.step_result(row)
    return Candidate(f"step:{row.pk}", "step", said, row.phase, row.at, str(row.by), judged)


def _lamps(row: LampCheck) -> Candidate:
    said = "; ".join(words.lamp(seen) for seen in row.observations.all())
    judged: Judged = "good" if row.normal else "bad" if row.rule_id else "unknown"
    said = said[:1].upper() + said[1:]
    return Candidate(f"lamps:{row.pk}", "lamps", said, row.phase, row.at, str(row.by), judged)


def _read(row: FlagRead) -> Candidate:
    said = words.flag_read(row)
    return Candidate(f"read:{row.pk}", "read", said, row.phase, row.at, str(row.by), "good")
