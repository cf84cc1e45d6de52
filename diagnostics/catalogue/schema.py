"""The catalogue format: what a file may hold. docs/catalogue.md is its page for people. Pure.

These models check the shape of single entries. What one entry says of another (references,
units, supersession, the way through a procedure) is checked in references.py and steps.py.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from typing import Annotated, NoReturn, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from diagnostics.catalogue.fields import (
    Allowed,
    AllowedField,
    AmountField,
    Key,
    Line,
    LongLine,
    OperationNo,
    PartNo,
    Places,
    Prose,
    StepPlace,
    Tenths,
    Word,
)

FORMAT = "1"
DEMO_NOTICE = "demo figures: use the vehicle maker's"
END = "end"


def refuse(at: str, wrong: str, right: str) -> NoReturn:
    """Raise a schema error that belongs to the field `at` of the entry being checked."""
    raise PydanticCustomError("catalogue", "{wrong}", {"wrong": wrong, "right": right, "at": at})


class Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Shared(Entry):
    """An entry that a file may state anew in place of one it included."""

    replaces_included: bool = False


class PlatformEntry(Entry):
    code: Annotated[str, Field(pattern=r"^[A-Z0-9][A-Z0-9\-]*$", max_length=12)]
    make: Word
    model: Word
    body: Word = ""
    title: Annotated[str, Field(min_length=1, max_length=160)]
    first_year: Annotated[int, Field(ge=1950, le=2100)] | None = None
    last_year: Annotated[int, Field(ge=1950, le=2100)] | None = None
    demo: bool = False
    notice: LongLine = ""

    @model_validator(mode="after")
    def _years_in_order(self) -> Self:
        if self.first_year and self.last_year and self.last_year < self.first_year:
            refuse("last_year", "the last year is before the first", "exchange them")
        return self

    @property
    def shown_notice(self) -> str:
        return self.notice or (DEMO_NOTICE if self.demo else "")


class SystemEntry(Shared):
    name: Annotated[str, Field(min_length=1, max_length=80)]
    order: Annotated[int, Field(ge=0, le=999)] = 0


class QuantityEntry(Shared):
    name: Line
    kind: Annotated[str, Field(min_length=1, max_length=20)]
    unit: Annotated[str, Field(max_length=12)] = ""


class ComponentEntry(Shared):
    name: Line
    system: Key
    positions: Places = ()
    description: Prose = ""
    retired: bool = False
    failure_modes: dict[Key, Annotated[str, Field(min_length=1, max_length=160)]] = {}


Price = Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=2)]


class PartCondition(StrEnum):
    NEW = "new"
    REBUILT = "rebuilt"
    RECONDITIONED = "reconditioned"
    USED = "used"


class PartEntry(Shared):
    """`price` is the list price, `cost` what the shop pays, `core` the credit for the old unit."""

    component: Key
    positions: Places = ()
    price: Price
    cost: Price | None = None
    core: Price | None = None
    condition: PartCondition = PartCondition.NEW
    supplier: Annotated[str, Field(max_length=80)] = ""
    superseded_by: PartNo | None = None
    retired: bool = False

    @model_validator(mode="after")
    def _money_fits(self) -> Self:
        if self.cost is not None and self.cost > self.price:
            right = "exchange them, or correct the one that is wrong"
            refuse("cost", f"the cost {self.cost} is above the list price {self.price}", right)
        most = self.price if self.cost is None else self.cost
        if self.core is not None and self.core > most:
            wrong = f"the credit for the old unit {self.core} is more than the part's {most}"
            refuse("core", wrong, "write what the supplier gives back for one old unit")
        return self


class PointerEntry(Entry):
    component: Key
    position: Places = ()

    @model_validator(mode="after")
    def _one_position(self) -> Self:
        if len(self.position) > 1:
            refuse("position", "a flag points at one position", "write one entry for each")
        return self


class FlagEntry(Shared):
    text: LongLine
    system: Key
    position: Places = ()
    lamp: Line = ""
    points_at: list[PointerEntry] = []
    source: LongLine = ""

    @model_validator(mode="after")
    def _one_position(self) -> Self:
        if len(self.position) > 1:
            refuse("position", "a flag speaks of one position", "write one, or leave it out")
        return self


class Engine(StrEnum):
    ANY = "any"
    OFF = "off"
    RUNNING = "running"


class LimitEntry(Shared):
    quantity: Key
    component: Key | None = None
    positions: Places = ()
    allowed: AllowedField | None = None
    low: AmountField | None = None
    high: AmountField | None = None
    unit: Annotated[str, Field(max_length=12)] = ""
    temperature: AmountField | None = None
    copper_correction: bool = False
    engine: Engine = Engine.ANY
    pressure: AllowedField | None = None
    conditions: LongLine = ""
    tool_uncertainty: AmountField | None = None
    near_margin: AmountField | None = None
    source: LongLine

    @model_validator(mode="after")
    def _sides(self) -> Self:
        if self.allowed is None and self.low is None and self.high is None:
            refuse("", "the limit has no figures", "write `allowed: 1.28 to 1.50 kohm`")
        if self.allowed is not None and (self.low or self.high or self.unit):
            refuse(
                "allowed", "the figures are given twice", "keep `allowed`, or low, high and unit"
            )
        if self.copper_correction and self.temperature is None:
            right = "write the temperature the figures hold for, as in `temperature: 20 C`"
            refuse("copper_correction", "the temperature to correct to is missing", right)
        return self

    @property
    def range(self) -> Allowed:
        if self.allowed is not None:
            return self.allowed
        return Allowed(self.low, self.high)


class FigureEntry(Shared):
    """A fact about the platform for the computations: `figure` is one of figure_keys.FIGURES."""

    figure: Key
    component: Key | None = None
    positions: Places = ()
    value: Word
    source: LongLine


class CurveEntry(Shared):
    """What a quantity should be against another, as points joined by straight lines."""

    quantity: Key
    component: Key | None = None
    against: Key
    points: Annotated[dict[Word, Word], Field(max_length=40)]
    tolerance: AmountField
    source: LongLine

    @model_validator(mode="after")
    def _two_points(self) -> Self:
        if len(self.points) < 2:
            right = (
                "write `points:` with two or more, as in {0 km/h: 8.0 l/min, 60 km/h: 5.9 l/min}"
            )
            refuse("points", "a curve needs two points", right)
        return self


class LampPattern(Entry):
    lamp: Word
    situation: Word
    shown: Annotated[str, Field(min_length=1, max_length=32)]


class TelltaleEntry(Shared):
    when: Annotated[list[LampPattern], Field(min_length=1)]
    says: Prose
    first: Prose = ""
    may_drive: bool
    unsafe: bool = False
    bulb_finding: bool = False
    only_alone: bool = False

    @model_validator(mode="after")
    def _unsafe_is_not_driven(self) -> Self:
        if self.unsafe and self.may_drive:
            right = "write `may_drive: no`, or `unsafe: no`"
            refuse("may_drive", "an unsafe vehicle may not be driven", right)
        return self


class Judged(StrEnum):
    GOOD = "good"
    BAD = "bad"
    UNKNOWN = "unknown"


class OutcomeEntry(Entry):
    label: Line | None = None
    judged: Judged | None = None
    says: Prose = ""
    goto: Key | None = None


class StepKind(StrEnum):
    CAUTION = "caution"
    LOOK = "look"
    QUESTION = "question"
    MEASUREMENT = "measurement"
    CALCULATION = "calculation"


VERDICTS = {
    "within": ("Within", Judged.GOOD),
    "near": ("Near", Judged.GOOD),
    "outside": ("Outside", Judged.BAD),
    "not_judged": ("Not judged", Judged.UNKNOWN),
}


class StepEntry(Entry):
    kind: StepKind
    title: Annotated[str, Field(min_length=1, max_length=160)]
    text: Prose
    purpose: Prose
    caution: Prose = ""
    component: Key | None = None
    position: StepPlace = ""
    quantity: Key | None = None
    works_out: Key | None = None
    minutes: Annotated[int, Field(ge=1, le=600)] | None = None
    goto: Key | None = None
    outcomes: dict[Key, OutcomeEntry] = {}

    @property
    def by_verdict(self) -> bool:
        """Whether the answers are the verdicts of a value, not labels of the author's."""
        return self.quantity is not None

    @model_validator(mode="after")
    def _kind_fits(self) -> Self:
        _check_kind(self)
        for key, outcome in self.outcomes.items():
            _check_outcome(self, key, outcome)
        return self


def _check_kind(step: StepEntry) -> None:
    kind = step.kind
    if kind is StepKind.MEASUREMENT and step.quantity is None:
        refuse("", "a measurement needs a quantity", "write `quantity:` and what is measured")
    if step.quantity and kind not in (StepKind.MEASUREMENT, StepKind.CALCULATION):
        refuse("quantity", f"a {kind} has no quantity", "make it a measurement, or leave it out")
    if step.works_out and step.quantity is None:
        right = "write `quantity:` and the figure of it that answers the step"
        refuse("works_out", "a step that works something out needs a quantity", right)
    if kind is StepKind.CAUTION:
        if not step.caution:
            refuse("", "a caution step needs its caution", "write `caution:` and the warning")
        if step.outcomes:
            refuse("outcomes", "a caution has no outcomes", "use `goto:` if it leads elsewhere")
        return
    if step.goto:
        refuse("goto", f"a {kind} leads on by its outcomes", "put `goto:` into each outcome")
    if not step.by_verdict and len(step.outcomes) < 2:
        wrong = f"a {kind} needs at least two outcomes"
        refuse("outcomes" if step.outcomes else "", wrong, "write one for each possible answer")


def _check_outcome(step: StepEntry, key: str, outcome: OutcomeEntry) -> None:
    at = f"outcomes.{key}"
    if step.by_verdict:
        if key not in VERDICTS:
            refuse(at, f"{key} is no verdict", f"the outcomes here are: {', '.join(VERDICTS)}")
        if outcome.judged is not None:
            refuse(f"{at}.judged", "a verdict judges itself", "leave `judged` out")
        return
    if outcome.label is None:
        refuse(at, "the answer has no label", "write `label:` and what is tapped")
    if outcome.judged is None:
        refuse(at, "the answer is not judged", "write `judged:` good, bad or unknown")


class Use(StrEnum):
    FIRST = "first"
    FINDING = "finding"
    PROVING = "proving"


class ProcedureEntry(Shared):
    title: Annotated[str, Field(min_length=1, max_length=160)]
    purpose: Prose
    use: Use = Use.FINDING
    system: Key | None = None
    for_flags: list[str] = []
    steps: Annotated[dict[Key, StepEntry], Field(min_length=1, max_length=60)]

    @model_validator(mode="after")
    def _not_for_every_flag(self) -> Self:
        if len(" ".join(self.for_flags)) > 400:
            right = "at most 44: divide the procedure, or name the commonest"
            refuse("for_flags", f"{len(self.for_flags)} flags are too many", right)
        return self


class LabourEntry(Shared):
    text: LongLine
    system: Key
    component: Key | None = None
    hours: Tenths
    diagnosis: bool = False


class SharedStepEntry(Shared):
    """A step that lies in the time of each of `operations`; done together it is paid once."""

    words: Line
    hours: Tenths
    operations: Annotated[list[OperationNo], Field(max_length=60)]
    each_place: bool = False

    @model_validator(mode="after")
    def _shared_by_several(self) -> Self:
        twice = sorted({one for one in self.operations if self.operations.count(one) > 1})
        if twice:
            refuse("operations", f"{twice[0]} is named twice", "name each operation once")
        if len(self.operations) < 2:
            wrong = "the step is shared by fewer than two operations"
            refuse("operations", wrong, "name at least two operations, or delete the step")
        return self


class PromisedOf(StrEnum):
    VEHICLE = "vehicle"
    UNIT = "unit"


class CoverageEntry(Shared):
    """What is promised: months and distance, whichever first; what is left out has no limit."""

    name: Line
    of: PromisedOf
    months: Annotated[int, Field(ge=1, le=600)] | None = None
    distance: AmountField | None = None
    unlimited: bool = False
    systems: Annotated[list[Key], Field(max_length=20)] = []
    components: Annotated[list[Key], Field(max_length=60)] = []
    left_out: Annotated[list[Key], Field(max_length=60)] = []
    failure_modes: Annotated[list[Key], Field(max_length=60)] = []
    bears: Annotated[Decimal, Field(ge=Decimal("0.01"), le=100, max_digits=5, decimal_places=2)] = (
        Decimal(100)
    )
    first_year: Annotated[int, Field(ge=1950, le=2100)] | None = None
    last_year: Annotated[int, Field(ge=1950, le=2100)] | None = None
    supplier: Annotated[str, Field(max_length=80)] = ""
    source: LongLine

    @model_validator(mode="after")
    def _limited_or_said_so(self) -> Self:
        limited = self.months is not None or self.distance is not None
        if self.unlimited and limited:
            refuse("unlimited", "a limit is written too", "leave `unlimited` out, or the limit")
        if not self.unlimited and not limited:
            right = "write `months:` or `distance:`, or `unlimited: yes`"
            refuse("", "the term has no limit", right)
        if self.first_year and self.last_year and self.last_year < self.first_year:
            refuse("last_year", "the last year is before the first", "exchange them")
        return self

    @model_validator(mode="after")
    def _of_what_it_is(self) -> Self:
        if self.supplier and self.of is not PromisedOf.UNIT:
            refuse("supplier", "a vehicle has no supplier", "write `of: unit`, or leave it out")
        if self.failure_modes and not self.components:
            right = "write `components:` and the components that fail so"
            refuse("failure_modes", "nothing says which component fails so", right)
        return self


class ProvingEntry(Entry):
    self_test_speed: AmountField
    min_distance: AmountField
    source: LongLine


class FileEntry(Entry):
    """A whole file: a platform, or pages that platforms include."""

    format: str
    platform: PlatformEntry | None = None
    include: list[str] = []
    systems: dict[Key, SystemEntry] = {}
    quantities: dict[Key, QuantityEntry] = {}
    components: dict[Key, ComponentEntry] = {}
    parts: dict[PartNo, PartEntry] = {}
    flags: dict[str, FlagEntry] = {}
    limits: list[LimitEntry] = []
    figures: list[FigureEntry] = []
    curves: list[CurveEntry] = []
    telltales: dict[Key, TelltaleEntry] = {}
    procedures: dict[Key, ProcedureEntry] = {}
    labour: dict[OperationNo, LabourEntry] = {}
    shared_steps: dict[Key, SharedStepEntry] = {}
    coverage: dict[Key, CoverageEntry] = {}
    proving: ProvingEntry | None = None


SECTIONS = (
    "systems",
    "quantities",
    "components",
    "parts",
    "flags",
    "telltales",
    "procedures",
    "labour",
    "shared_steps",
    "coverage",
)
