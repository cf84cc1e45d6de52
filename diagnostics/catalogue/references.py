"""What one entry of a platform's pages says of another: does it exist, does it fit? Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from diagnostics.catalogue.beforehand import check_beforehand
from diagnostics.catalogue.book import Book, Placed
from diagnostics.catalogue.coverage import check_coverage
from diagnostics.catalogue.derived import DERIVED
from diagnostics.catalogue.fields import CORNERS, STEP_POSITIONS
from diagnostics.catalogue.figures import difference, limit_figures, si, unit_key
from diagnostics.catalogue.naming import fitting, known
from diagnostics.catalogue.problems import Path, Problem, Wrong, instead
from diagnostics.catalogue.schema import (
    LampPattern,
    LimitEntry,
    PartEntry,
    ProcedureEntry,
    StepEntry,
)
from diagnostics.catalogue.shared_steps import check_shared_steps
from diagnostics.catalogue.steps import check_steps
from diagnostics.codes.two_byte import Code, CodeError, parse_code
from diagnostics.measurements.registry import KINDS
from diagnostics.telltales import Lamp, Shown, Situation
from shop import units


def check(book: Book) -> list[Problem]:
    """Every problem between the entries of one platform, in the order of the sections."""
    return [
        *_check_quantities(book),
        *_check_components(book),
        *_check_parts(book),
        *_check_flags(book),
        *_check_limits(book),
        *check_beforehand(book),
        *_check_telltales(book),
        *_check_procedures(book),
        *_check_labour(book),
        *check_shared_steps(book),
        *check_coverage(book),
        *_check_proving(book),
    ]


def _check_quantities(book: Book) -> Iterator[Problem]:
    kinds = [kind.value for kind in units.Kind]
    for key, placed in book.quantities.items():
        quantity = placed.entry
        if quantity.kind not in kinds:
            right = instead(quantity.kind, kinds, "kind")
            yield placed.problem(("kind",), f"there is no kind {quantity.kind}", right)
            continue
        derived = DERIVED.get(key)
        if derived is not None and derived.kind != quantity.kind:
            says = f"{key} is worked out by the program as a {derived.kind}"
            yield placed.problem(("kind",), says, f"write {derived.kind}, or another key")
            continue
        try:
            unit_key(quantity.unit, quantity.kind)
        except Wrong as wrong:
            yield placed.problem(("unit",), wrong.wrong, wrong.right)


def _check_components(book: Book) -> Iterator[Problem]:
    for placed in book.components.values():
        yield from known(placed, ("system",), placed.entry.system, book.systems, "system")


def _check_parts(book: Book) -> Iterator[Problem]:
    for number, placed in book.parts.items():
        part = placed.entry
        yield from known(placed, ("component",), part.component, book.components, "component")
        yield from fitting(book, placed, ("positions",), part.component, part.positions)
        if part.superseded_by is not None:
            yield from _check_successor(book, number, placed, part.superseded_by)


def _check_successor(
    book: Book, number: str, placed: Placed[PartEntry], follows: str
) -> Iterator[Problem]:
    at: Path = ("superseded_by",)
    if follows not in book.parts:
        yield from known(placed, at, follows, book.parts, "part number")
        return
    part, next_part = placed.entry, book.parts[follows].entry
    if next_part.component != part.component:
        wrong = f"{follows} is a {next_part.component}, not a {part.component}"
        yield placed.problem(at, wrong, "a number is superseded by one of the same component")
    covers = set(part.positions) <= set(next_part.positions) if part.positions else False
    if next_part.positions and not covers:
        wrong = f"{follows} does not fit the positions of {number}"
        yield placed.problem(at, wrong, "give both numbers the same positions")
    seen = [number]
    while follows in book.parts and follows not in seen:
        seen.append(follows)
        follows = book.parts[follows].entry.superseded_by or ""
    if follows == number:
        chain = " > ".join([*seen, number])
        yield placed.problem(at, f"the numbers supersede each other in a ring: {chain}", "break it")


def read_code(key: str) -> Code:
    """A flag's key (`C0045` or `C0045-13`) as a code. Raises Wrong."""
    try:
        code = parse_code(key)
    except CodeError as error:
        right = (
            f"did you mean {error.suggestion}?"
            if error.suggestion
            else ("write a letter, a digit 0 to 3 and three of 0-9 A-F, as in C0045 or C0045-13")
        )
        raise Wrong(f"{key} is no flag code: {error.sentence}", right) from None
    if key not in (code.text, code.full):
        raise Wrong(f"{key} is not written in full", f"write {code.full}")
    return code


def _check_flags(book: Book) -> Iterator[Problem]:
    for key, placed in book.flags.items():
        try:
            read_code(key)
        except Wrong as wrong:
            yield placed.problem((), wrong.wrong, wrong.right)
        flag = placed.entry
        yield from known(placed, ("system",), flag.system, book.systems, "system")
        for index, pointer in enumerate(flag.points_at):
            at: Path = ("points_at", index)
            name = pointer.component
            yield from known(placed, (*at, "component"), name, book.components, "component")
            yield from fitting(book, placed, (*at, "position"), name, pointer.position)


def _check_limits(book: Book) -> Iterator[Problem]:
    seen: set[tuple[str, Path]] = set()
    for placed in book.limits.values():
        if (placed.source.name, placed.path) in seen:
            continue
        seen.add((placed.source.name, placed.path))
        limit = placed.entry
        yield from known(placed, ("quantity",), limit.quantity, book.measurable, "quantity")
        yield from known(placed, ("component",), limit.component, book.components, "component")
        yield from fitting(book, placed, ("positions",), limit.component, limit.positions)
        yield from _check_figures(book, placed)


def _check_figures(book: Book, placed: Placed[LimitEntry]) -> Iterator[Problem]:
    limit = placed.entry
    kind = book.measurable.get(limit.quantity)
    if kind is None or kind not in list(units.Kind):
        return
    if limit.copper_correction and kind != units.Kind.RESISTANCE:
        wrong = f"a {kind} is not corrected for copper"
        yield placed.problem(("copper_correction",), wrong, "leave it out")
    try:
        limit_figures(limit, kind)
    except Wrong as wrong:
        yield placed.problem((wrong.at,), wrong.wrong, wrong.right)


def _check_telltales(book: Book) -> Iterator[Problem]:
    for placed in book.telltales.values():
        pairs: set[tuple[str, str]] = set()
        for index, pattern in enumerate(placed.entry.when):
            at: Path = ("when", index)
            yield from _check_pattern(placed, at, pattern)
            pair = (pattern.lamp, pattern.situation)
            if pair in pairs:
                wrong = f"{pattern.lamp} in {pattern.situation} is given twice"
                yield placed.problem(
                    at, wrong, "write both in one `shown`, as in `flashing steady`"
                )
            pairs.add(pair)


def _check_pattern(placed: Placed[Any], at: Path, pattern: LampPattern) -> Iterator[Problem]:
    lamps = [lamp.value for lamp in Lamp]
    situations = [situation.value for situation in Situation]
    ways = [way.value for way in Shown]
    yield from known(placed, (*at, "lamp"), pattern.lamp, lamps, "lamp")
    yield from known(placed, (*at, "situation"), pattern.situation, situations, "situation")
    for way in pattern.shown.split():
        yield from known(placed, (*at, "shown"), way, ways, "way to show a lamp")


def _check_procedures(book: Book) -> Iterator[Problem]:
    for placed in book.procedures.values():
        procedure = placed.entry
        yield from known(placed, ("system",), procedure.system, book.systems, "system")
        for index, key in enumerate(procedure.for_flags):
            yield from known(placed, ("for_flags", index), key, book.flags, "flag")
        for key, step in procedure.steps.items():
            at: Path = ("steps", key)
            component, quantity = step.component, step.quantity
            yield from known(placed, (*at, "component"), component, book.components, "component")
            yield from known(placed, (*at, "quantity"), quantity, book.measurable, "quantity")
            yield from _check_works_out(book, placed, at, step)
            if step.position not in ("suspect", "opposite"):
                place: Path = (*at, "position")
                yield from fitting(book, placed, place, component, [step.position])
        yield from check_steps(placed)


def _check_works_out(
    book: Book, placed: Placed[ProcedureEntry], at: Path, step: StepEntry
) -> Iterator[Problem]:
    """The kind of measurement that answers a step must give the quantity of the step."""
    if step.works_out is None:
        return
    at = (*at, "works_out")
    yield from known(placed, at, step.works_out, KINDS, "kind of measurement")
    kind = KINDS.get(step.works_out)
    if kind is None or step.quantity not in book.measurable:
        return
    given = [quantity.key for quantity in kind.quantities]
    if step.quantity not in given:
        wrong = f"{step.works_out} does not give {step.quantity}"
        yield placed.problem(at, wrong, f"what it gives is: {', '.join(given)}")
    places = _PLACES[kind.place]
    if step.position not in places:
        here = "the whole car" if kind.place == "car" else f"one {kind.place}"
        right = f"write one of: {' '.join(places)}" if any(places) else "leave the position out"
        at = (*at[:-1], "position")
        yield placed.problem(at, f"{step.works_out} is made on {here}", right)


_PLACES = {
    "car": ("",),
    "axle": ("front", "rear"),
    "wheel": (*CORNERS, "suspect", "opposite"),
    "any": ("", *STEP_POSITIONS),
}


def _check_labour(book: Book) -> Iterator[Problem]:
    for placed in book.labour.values():
        labour = placed.entry
        yield from known(placed, ("system",), labour.system, book.systems, "system")
        yield from known(placed, ("component",), labour.component, book.components, "component")


def _check_proving(book: Book) -> Iterator[Problem]:
    placed = book.proving
    if placed is None:
        right = "write `proving:` with self_test_speed, min_distance and source"
        yield book.platform.problem((), "the platform does not say how a repair is proved", right)
        return
    checks = (
        ("self_test_speed", placed.entry.self_test_speed, units.Kind.SPEED),
        ("min_distance", placed.entry.min_distance, units.Kind.LENGTH),
    )
    for name, given, kind in checks:
        try:
            difference(given, kind)
            si(given, kind)
        except Wrong as wrong:
            yield placed.problem((name,), wrong.wrong, wrong.right)
