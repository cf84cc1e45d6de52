"""The laws that fixtures/demo/truth.yaml states, read and checked."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

import yaml
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from jobs.demo.data import DemoProblem

Manner = Literal["thorough", "quick", "new"]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Law(_Entry):
    """Weibull in days of age."""

    scale: float = Field(gt=0)
    shape: float = Field(gt=0)

    def hazard_to(self, age: float) -> float:
        """The hazard summed up to an age."""
        return float((max(age, 0.0) / self.scale) ** self.shape)

    def age_after(self, exponential: float, beyond: float = 0.0) -> float:
        """The age at failure of a unit that lasted beyond an age, from a draw of the unit law."""
        return float(self.scale * (self.hazard_to(beyond) + exponential) ** (1 / self.shape))


class KindLaw(Law):
    component: str
    faults: dict[str, float]


class EarlyBatch(Law):
    component: str
    supplier: str
    batch: str
    from_day: int
    to_day: int
    share: float = Field(ge=0, le=1)


class Habits(_Entry):
    gap_mean: float
    gap_shape: float
    lost_a_year: float
    first_by_failure: float = Field(ge=0, le=1)
    age_median: float
    age_sigma: float
    km_median: float
    km_sigma: float


class Others(_Entry):
    a_year: float
    faults: dict[str, float]


class Returns(_Entry):
    within: int
    chance: dict[Manner, float]
    fault: str
    causes: dict[str, float]
    undecided_days: int


class NewestHand(_Entry):
    manner: Manner
    since: int
    share: float


class Truth(_Entry):
    seed: int
    opened: int
    vehicles: dict[str, int]
    platforms: dict[str, float]
    habits: Habits
    kinds: tuple[KindLaw, ...]
    early: EarlyBatch
    others: Others
    returns: Returns
    newest_hand: NewestHand


def read_truth(folder: Path) -> Truth:
    """Raises DemoProblem when the file is not as it should be."""
    path = folder / "truth.yaml"
    read: Any = yaml.safe_load(path.read_text(encoding="utf-8"))
    try:
        return Truth.model_validate(read)
    except ValidationError as wrong:
        raise DemoProblem(f"fixtures/demo/truth.yaml: {wrong}") from wrong
