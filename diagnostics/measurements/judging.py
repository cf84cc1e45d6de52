"""How a figure stands before the catalogue's limit, and refusals beside a field. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from diagnostics.compute.verdict import Verdict, VerdictKind, judge
from diagnostics.measurements.given import InputError
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Finding, Tone

_TONES: dict[VerdictKind, Tone] = {
    VerdictKind.WITHIN: "good",
    VerdictKind.NEAR: "near",
    VerdictKind.OUTSIDE: "bad",
    VerdictKind.NOT_JUDGED: "unknown",
}
TONES: tuple[Tone, ...] = ("bad", "near", "unknown", "good")
"""Worst first: the order of findings."""


@contextmanager
def refused_at(field: str) -> Iterator[None]:
    """What a computation refuses (ValueError) becomes an InputError beside `field`."""
    try:
        yield
    except InputError:
        raise
    except ValueError as error:
        raise InputError(str(error), field) from error


def tone_of_verdict(verdict: VerdictKind) -> Tone:
    """The tone in which a verdict is told."""
    return _TONES[verdict]


def said_of(what: str, verdict: Verdict) -> str:
    """The verdict's reason, told of `what`; its tone says the rest."""
    return f"{what}: {verdict.reason.split(': ', 1)[-1]}"


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings in the order in which they are shown; those of one tone keep theirs."""
    return tuple(sorted(findings, key=lambda finding: TONES.index(finding.tone)))


def tone_of(value: float, quantity: str, known: Known) -> Tone:
    """The verdict of the catalogue's limit for `quantity`, "unknown" where there is none."""
    limit = known.limits.get(quantity)
    return _TONES[judge(value, limit.limit).kind] if limit else "unknown"


def most_allowed(quantity: str, known: Known) -> float | None:
    """The catalogue's upper limit, SI."""
    limit = known.limits.get(quantity)
    return limit.limit.high if limit else None


def least_allowed(quantity: str, known: Known) -> float | None:
    """The catalogue's lower limit, SI."""
    limit = known.limits.get(quantity)
    return limit.limit.low if limit else None


def tool_uncertainty(quantity: str, known: Known, otherwise: float) -> float:
    """The expanded uncertainty of the usual tool, SI; `otherwise` where no page gives one."""
    limit = known.limits.get(quantity)
    return limit.limit.uncertainty if limit and limit.limit.uncertainty else otherwise


def verdict_of(
    value: float, quantity: str, known: Known, *, engine: str = "", corrected: str = ""
) -> Verdict | None:
    """How the catalogue's limit judges a value under what was noted; None without a limit."""
    limit = known.limits.get(quantity)
    if limit is None:
        return None
    return judge(
        value,
        limit.limit,
        observed={"engine": engine},
        corrected={"temperature": corrected} if corrected else {},
    )
