"""The rows that belong to one catalogue version. Written once, never edited."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.catalogue.beforehand import curve_numbers, figure_number
from diagnostics.catalogue.book import Book
from diagnostics.catalogue.figures import limit_figures, si
from diagnostics.catalogue.references import read_code
from diagnostics.catalogue.schema import (
    END,
    VERDICTS,
    Engine,
    LimitEntry,
    OutcomeEntry,
    StepEntry,
)
from diagnostics.catalogue.steps import leads_to
from diagnostics.models import (
    CatalogueVersion,
    ChassisSystem,
    Component,
    Curve,
    CurvePoint,
    Figure,
    FlagDefinition,
    FlagPointer,
    LabourOperation,
    Limit,
    Procedure,
    ProvingRule,
    Quantity,
    SharedStep,
    Step,
    StepOutcome,
    TelltalePattern,
    TelltaleRule,
)
from diagnostics.services.catalogue_coverage import write_coverage
from shop import units


@dataclass(frozen=True)
class Stock:
    """The rows that pages refer to, by their keys."""

    systems: Mapping[str, ChassisSystem]
    quantities: Mapping[str, Quantity]
    components: Mapping[str, Component]

    def system(self, key: str | None) -> ChassisSystem | None:
        return self.systems[key] if key else None

    def component(self, key: str | None) -> Component | None:
        return self.components[key] if key else None

    def quantity(self, key: str | None) -> Quantity | None:
        return self.quantities[key] if key else None


def write_pages(book: Book, version: CatalogueVersion, stock: Stock) -> None:
    """Write everything a version holds. The book must be sound (references.check)."""
    _write_limits(book, version, stock)
    _write_figures(book, version, stock)
    _write_curves(book, version, stock)
    _write_flags(book, version, stock)
    _write_telltales(book, version)
    _write_procedures(book, version, stock)
    _write_labour(book, version, stock)
    _write_shared_steps(book, version)
    write_coverage(book, version, stock.systems, stock.components)
    _write_proving(book, version)


def _write_limits(book: Book, version: CatalogueVersion, stock: Stock) -> None:
    Limit.objects.bulk_create(
        _limit(placed.entry, version, stock) for placed in book.limits.values()
    )


def _limit(entry: LimitEntry, version: CatalogueVersion, stock: Stock) -> Limit:
    quantity = stock.quantities[entry.quantity]
    figures = limit_figures(entry, quantity.kind)
    return Limit(
        version=version,
        quantity=quantity,
        component=stock.component(entry.component),
        position=next(iter(entry.positions), ""),
        low=figures.low,
        high=figures.high,
        unit=figures.unit,
        conditions=entry.conditions,
        reference_k=figures.reference_k,
        corrects_for_copper=entry.copper_correction,
        engine="" if entry.engine is Engine.ANY else entry.engine.value,
        pressure_low=figures.pressure_low,
        pressure_high=figures.pressure_high,
        pressure_unit=figures.pressure_unit,
        uncertainty=figures.uncertainty,
        near_margin=figures.near_margin,
        source=entry.source,
    )


def _write_figures(book: Book, version: CatalogueVersion, stock: Stock) -> None:
    rows: list[Figure] = []
    for placed in book.figures.values():
        entry = placed.entry
        number = figure_number(entry)
        rows.append(
            Figure(
                version=version,
                key=entry.figure,
                component=stock.component(entry.component),
                position=next(iter(entry.positions), ""),
                value=number.value,
                unit=number.unit,
                words=number.words,
                source=entry.source,
            )
        )
    Figure.objects.bulk_create(rows)


def _write_curves(book: Book, version: CatalogueVersion, stock: Stock) -> None:
    points: list[CurvePoint] = []
    for placed in book.curves.values():
        entry = placed.entry
        quantity = stock.quantities[entry.quantity]
        numbers = curve_numbers(entry, quantity.kind)
        row = Curve.objects.create(
            version=version,
            quantity=quantity,
            component=stock.component(entry.component),
            against=entry.against,
            unit=numbers.unit,
            against_unit=numbers.against_unit,
            tolerance=numbers.tolerance,
            source=entry.source,
        )
        points += [CurvePoint(curve=row, x=x, y=y) for x, y in numbers.points]
    CurvePoint.objects.bulk_create(points)


def _write_flags(book: Book, version: CatalogueVersion, stock: Stock) -> None:
    rows: list[FlagDefinition] = []
    for key, placed in book.flags.items():
        code, flag = read_code(key), placed.entry
        rows.append(
            FlagDefinition(
                version=version,
                code=code.text,
                failure_type="" if code.failure_type is None else f"{code.failure_type:02X}",
                text=flag.text,
                system=stock.systems[flag.system],
                position=next(iter(flag.position), ""),
                lamp=flag.lamp,
                source=flag.source,
            )
        )
    FlagDefinition.objects.bulk_create(rows)
    FlagPointer.objects.bulk_create(
        FlagPointer(
            flag=row,
            component=stock.components[pointer.component],
            position=next(iter(pointer.position), ""),
            order=order,
        )
        for row, placed in zip(rows, book.flags.values(), strict=True)
        for order, pointer in enumerate(placed.entry.points_at, start=1)
    )


def _write_telltales(book: Book, version: CatalogueVersion) -> None:
    rows = [
        TelltaleRule(
            version=version,
            key=key,
            order=order,
            says=placed.entry.says,
            first=placed.entry.first,
            may_drive=placed.entry.may_drive,
            unsafe=placed.entry.unsafe,
            bulb_finding=placed.entry.bulb_finding,
            only_alone=placed.entry.only_alone,
        )
        for order, (key, placed) in enumerate(book.telltales.items(), start=1)
    ]
    TelltaleRule.objects.bulk_create(rows)
    TelltalePattern.objects.bulk_create(
        TelltalePattern(
            rule=row,
            lamp=pattern.lamp,
            situation=pattern.situation,
            shown=" ".join(pattern.shown.split()),
        )
        for row, placed in zip(rows, book.telltales.values(), strict=True)
        for pattern in placed.entry.when
    )


def _write_procedures(book: Book, version: CatalogueVersion, stock: Stock) -> None:
    rows = [
        Procedure(
            version=version,
            key=key,
            title=placed.entry.title,
            system=stock.system(placed.entry.system),
            purpose=placed.entry.purpose,
            use=placed.entry.use.value,
            order=order,
            for_flags=" ".join(placed.entry.for_flags),
        )
        for order, (key, placed) in enumerate(book.procedures.items(), start=1)
    ]
    Procedure.objects.bulk_create(rows)
    outcomes: list[StepOutcome] = []
    for row, placed in zip(rows, book.procedures.values(), strict=True):
        entries = placed.entry.steps
        steps = {
            key: _step(key, entry, number, row, stock)
            for number, (key, entry) in enumerate(entries.items(), start=1)
        }
        Step.objects.bulk_create(steps.values())
        for key in entries:
            outcomes += _outcomes(entries, key, steps)
    StepOutcome.objects.bulk_create(outcomes)


def _step(key: str, entry: StepEntry, number: int, procedure: Procedure, stock: Stock) -> Step:
    return Step(
        procedure=procedure,
        number=number,
        key=key,
        kind=entry.kind.value,
        title=entry.title,
        text=entry.text,
        purpose=entry.purpose,
        caution=entry.caution,
        component=stock.component(entry.component),
        position=entry.position,
        quantity=stock.quantity(entry.quantity),
        works_out=entry.works_out or "",
        minutes=entry.minutes,
    )


def _outcomes(
    entries: Mapping[str, StepEntry], key: str, steps: Mapping[str, Step]
) -> list[StepOutcome]:
    """The answers of a step; a value's four verdicts are always there, a caution has one."""
    entry = entries[key]
    answers: Mapping[str, OutcomeEntry] = entry.outcomes
    if entry.by_verdict:
        answers = {verdict: answers.get(verdict, OutcomeEntry()) for verdict in VERDICTS}
    if not answers:
        answers = {"read": OutcomeEntry(label="Read and understood", goto=entry.goto)}
    rows: list[StepOutcome] = []
    for order, (name, answer) in enumerate(answers.items(), start=1):
        label, judged = VERDICTS.get(name, ("", None)) if entry.by_verdict else ("", None)
        leads = leads_to(entries, key, answer.goto)
        rows.append(
            StepOutcome(
                step=steps[key],
                order=order,
                key=name,
                label=answer.label or label,
                judged=(answer.judged or judged or "good"),
                says=answer.says,
                goto=None if leads == END else steps[leads],
                ends=leads == END,
            )
        )
    return rows


def _write_labour(book: Book, version: CatalogueVersion, stock: Stock) -> None:
    LabourOperation.objects.bulk_create(
        LabourOperation(
            version=version,
            code=code,
            text=placed.entry.text,
            system=stock.systems[placed.entry.system],
            component=stock.component(placed.entry.component),
            tenths=placed.entry.hours,
            diagnosis=placed.entry.diagnosis,
        )
        for code, placed in book.labour.items()
    )


def _write_shared_steps(book: Book, version: CatalogueVersion) -> None:
    operations = {row.code: row for row in version.operations.all()}
    through = SharedStep.operations.through
    rows = [
        SharedStep(
            version=version,
            key=key,
            words=placed.entry.words,
            tenths=placed.entry.hours,
            each_place=placed.entry.each_place,
        )
        for key, placed in book.shared_steps.items()
    ]
    SharedStep.objects.bulk_create(rows)
    through.objects.bulk_create(
        through(sharedstep=row, labouroperation=operations[code])
        for row, placed in zip(rows, book.shared_steps.values(), strict=True)
        for code in placed.entry.operations
    )


def _write_proving(book: Book, version: CatalogueVersion) -> None:
    assert book.proving is not None, "a sound book says how a repair is proved"
    entry = book.proving.entry
    ProvingRule.objects.create(
        version=version,
        self_test_speed_mps=si(entry.self_test_speed, units.Kind.SPEED),
        min_distance_m=si(entry.min_distance, units.Kind.LENGTH),
        source=entry.source,
    )
