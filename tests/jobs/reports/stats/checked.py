"""The published statistical values, and who works each of them out.

fixtures/reference/statistics/check_values.csv holds one value a row. A module `claims_*.py` of this
folder claims rows: a function marked by `checks(dataset, quantity)`, two patterns that must match
the whole of the row's columns, gives the value. Named groups of the patterns are its arguments:

    @checks("garwood_95", r"(?P<end>lower|upper) k=(?P<count>[0-9]+)")
    def garwood(end: str, count: str) -> float: ...

tests/jobs/reports/stats/test_check_values.py runs every row by itself, and fails for a row that
nobody claims, a row claimed twice, and a claim that matches no row.
"""

from __future__ import annotations

import csv
import importlib
import math
import pkgutil
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.reference import FOLDER

STATISTICS = FOLDER / "statistics"
Work = Callable[..., float]
# A tolerance of nought asks for the same number; that is up to the last bits of a float.
LAST_BITS = 1e-14


@dataclass(frozen=True, slots=True)
class CheckRow:
    dataset: str
    quantity: str
    value: float
    tolerance: float
    source: str
    status: str

    @property
    def mark(self) -> str:
        """R read in the source, M from memory and reproduced by code, C computed or constructed."""
        if self.status.startswith("read"):
            return "R"
        return "M" if "from memory" in self.status.lower() else "C"

    @property
    def named(self) -> str:
        """The id of the row's test: what, how sure, and where it is from."""
        return f"{self.dataset} | {self.quantity} | {self.mark}: {self.status} | {self.source}"

    def met_by(self, found: float) -> bool:
        return math.isclose(found, self.value, rel_tol=LAST_BITS, abs_tol=self.tolerance)


@dataclass(frozen=True, slots=True)
class Claim:
    dataset: re.Pattern[str]
    quantity: re.Pattern[str]
    work: Work

    def reads(self, row: CheckRow) -> dict[str, str] | None:
        """The named parts of a row it claims, None for a row it does not."""
        of_set = self.dataset.fullmatch(row.dataset)
        of_what = self.quantity.fullmatch(row.quantity)
        if of_set is None or of_what is None:
            return None
        return {**of_set.groupdict(), **of_what.groupdict()}


CLAIMS: list[Claim] = []


def checks(dataset: str, quantity: str) -> Callable[[Work], Work]:
    """Marks a function that works out the rows whose columns match both patterns wholly."""

    def mark(work: Work) -> Work:
        CLAIMS.append(Claim(re.compile(dataset), re.compile(quantity), work))
        return work

    return mark


def check_rows() -> tuple[CheckRow, ...]:
    """Every row of check_values.csv, in its order."""
    return tuple(
        CheckRow(
            dataset=row["dataset"],
            quantity=row["quantity"],
            value=float(row["value"]),
            tolerance=float(row["tolerance"]),
            source=row["source"],
            status=row["status"],
        )
        for row in data_set("check_values")
    )


def data_set(name: str) -> list[dict[str, str]]:
    """The rows of one data set by column name, as they stand in its file."""
    with (STATISTICS / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def column(name: str, of: str) -> list[float]:
    """One column of a data set as numbers."""
    return [float(row[of]) for row in data_set(name)]


def load_claims() -> tuple[Claim, ...]:
    """Every claim of the folder's claims_*.py modules."""
    folder = Path(__file__).parent
    for module in pkgutil.iter_modules([str(folder)]):
        if module.name.startswith("claims_"):
            importlib.import_module(f"{__package__}.{module.name}")
    return tuple(CLAIMS)
