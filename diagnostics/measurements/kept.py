"""What was typed and what came of it as texts, to be kept as they were, and back again. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping

from pydantic import TypeAdapter

from diagnostics.measurements.outcome import Outcome

_OUTCOME: TypeAdapter[Outcome] = TypeAdapter(Outcome)
_TYPED: TypeAdapter[dict[str, str]] = TypeAdapter(dict[str, str])


def outcome_text(outcome: Outcome) -> str:
    """The outcome as JSON. Raises ValueError for nan and infinities, which no outcome holds."""
    _check_finite(_OUTCOME.dump_python(outcome))
    return _OUTCOME.dump_json(outcome).decode()


def outcome_of(text: str) -> Outcome:
    """The outcome kept by `outcome_text`. Raises ValueError when the text is none."""
    return _OUTCOME.validate_json(text)


def typed_text(typed: Mapping[str, str]) -> str:
    """The texts of a form by field name, as JSON."""
    return _TYPED.dump_json(dict(typed)).decode()


def typed_of(text: str) -> dict[str, str]:
    """The texts kept by `typed_text`. Raises ValueError when the text is none."""
    return _TYPED.validate_json(text)


def _check_finite(value: object) -> None:
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError("An outcome holds finite numbers only.")
    if isinstance(value, dict):
        for one in value.values():
            _check_finite(one)
    elif isinstance(value, list | tuple):
        for one in value:
            _check_finite(one)
