"""A derived figure against its limit: the catalogue's, or the one that its own rule gives."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnostics import rules
from diagnostics.compute import verdict
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from diagnostics.models import Limit
from shop import units

WORST_FIRST = (
    VerdictKind.OUTSIDE,
    VerdictKind.NOT_JUDGED,
    VerdictKind.NEAR,
    VerdictKind.WITHIN,
)
_LONGEST_NUMBER, _MOST_DECIMALS = 24, 12
VERDICT_OF_TONE = {
    "bad": VerdictKind.OUTSIDE,
    "near": VerdictKind.NEAR,
    "good": VerdictKind.WITHIN,
    "unknown": VerdictKind.NOT_JUDGED,
}


def judged(
    figure: Figure, row: Limit | None, outcome: Outcome, *, elsewhere: tuple[str, ...] = ()
) -> dict[str, object]:
    """The fields of a reading that say how the figure was judged, and by which limit.

    elsewhere: the places, in words, for which a limit is known when none was chosen.
    """
    if figure.allowed is not None:
        found = verdict.judge(
            figure.value,
            limit_of(figure.allowed),
            uncertainty=figure.uncertainty or 0.0,
            unit=figure.unit,
        )
        return _said(found) | {
            "limit_low": figure.allowed.low,
            "limit_high": figure.allowed.high,
            "limit_unit": figure.allowed.unit,
            "limit_conditions": figure.allowed.conditions[:200],
            "limit_source": figure.allowed.source[:200],
        }
    if row is None and elsewhere:
        known = ", ".join(elsewhere)
        reason = f"Not judged: say where it was measured. Limits are known for {known}."
        return {"verdict": VerdictKind.NOT_JUDGED, "reason": reason}
    if row is None:
        return _said(verdict.judge(figure.value, None))
    observed = rules.noted(
        engine=outcome.engine,
        temperature_k=outcome.temperature_k,
        pressure_pa=figure.pressure_pa,
    )
    found = verdict.judge(
        figure.value,
        rules.limit_of(row),
        uncertainty=figure.uncertainty,
        observed=observed,
        corrected={"temperature": outcome.corrected} if outcome.corrected else {},
        unit=figure.unit,
    )
    return _said(found) | {
        "limit": row,
        "limit_low": row.low,
        "limit_high": row.high,
        "limit_unit": row.unit,
        "limit_conditions": row.conditions,
        "limit_source": row.source,
    }


def shown(figure: Figure) -> str:
    """The number as it is written, in the figure's own unit; what is next to nothing, as nought."""
    number = units.from_si(figure.value, figure.unit)
    text = units.format_number(number, decimals=figure.decimals)
    if len(text) > _LONGEST_NUMBER and abs(number) < 1:
        return units.format_number(number, decimals=_MOST_DECIMALS)
    return text


def check(outcome: Outcome) -> None:
    """Raises ValueError for a figure that no column and no line can hold."""
    for figure in outcome.figures:
        if len(shown(figure)) > _LONGEST_NUMBER:
            raise ValueError(f"{figure.quantity} has too many digits: {figure.value!r}.")


def limit_of(allowed: Allowed) -> verdict.Limit:
    return verdict.Limit(low=allowed.low, high=allowed.high, unit=allowed.unit)


def _said(found: verdict.Verdict) -> dict[str, object]:
    return {"verdict": found.kind, "reason": found.reason}


def worst(verdicts: Sequence[str], findings: Iterable[Finding]) -> str:
    """The worst of what was judged and found; what is not judged counts only when nothing is."""
    seen = {VerdictKind(one) for one in verdicts} | {VERDICT_OF_TONE[one.tone] for one in findings}
    for kind in (VerdictKind.OUTSIDE, VerdictKind.NEAR, VerdictKind.WITHIN):
        if kind in seen:
            return kind
    return VerdictKind.NOT_JUDGED
