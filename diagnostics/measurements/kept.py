"""An outcome as text, to be kept as it was shown, and back again. Pure."""

from __future__ import annotations

from typing import Any

from pydantic import TypeAdapter

from diagnostics.measurements.outcome import Outcome

_OUTCOME: TypeAdapter[Outcome] = TypeAdapter(Outcome)


def to_plain(outcome: Outcome) -> dict[str, Any]:
    """The outcome as plain lists, texts and numbers. Raises ValueError for nan and infinities."""
    plain: dict[str, Any] = _OUTCOME.dump_python(outcome, mode="json")
    _check_finite(plain)
    return plain


def from_plain(plain: object) -> Outcome:
    """The outcome kept by `to_plain`. Raises ValueError when it is none."""
    return _OUTCOME.validate_python(plain)


def _check_finite(value: object) -> None:
    if isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        raise ValueError("An outcome holds finite numbers only.")
    if isinstance(value, dict):
        for one in value.values():
            _check_finite(one)
    elif isinstance(value, list | tuple):
        for one in value:
            _check_finite(one)
