"""Who has more or fewer comebacks than chance gives: technicians and suppliers, never ranked.

Workmanship is held against who fitted the part, a wrong diagnosis or a fault that was not found
against who named the cause, the part against its supplier.

Each is held against what all the others' repairs would have brought at the same kinds of work, for
as long as each one's own were followed: who repaired much last week is neither praised nor blamed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from django.utils.translation import gettext as _

from jobs.queries.returns import OF_DIAGNOSIS, OF_PARTS, OF_WORK
from jobs.reports.document import Figure, Finding, ReportTable, Section, Shown, Span, Way
from jobs.reports.figures.comebacks import listed
from jobs.reports.figures.failure_words import BLANK, count, number
from jobs.reports.findings import matter
from jobs.reports.queries.comebacks import Group, Repairs, repairs
from jobs.reports.stats.counts import Counts
from jobs.reports.stats.expected import expected
from jobs.reports.stats.funnel import Counted, Screened, Screening, poisson_limits, screen
from jobs.reports.weights import WORSE_THAN_OTHERS, more
from shop.actor import Actor
from shop.charting import Axis, Chart, Dots, Level, Line
from shop.models import User
from shop.tables import Column, Reads
from shop.units import format_number

KEY: Final = "people"
ENOUGH_FOR_ITS_OWN: Final = 20
"""Returns of a kind, from which it has a hazard of its own; the others share one: our advice."""
_STEPS: Final = 40
Key = TypeVar("Key", int, str)


@dataclass(frozen=True, slots=True)
class Cell:
    """One person or supplier: repairs, how many came back, how many of them chance would give;
    `undecided`: of how many that came back nobody has said yet whose matter they are."""

    name: str
    repairs: int
    back: int
    expected: float
    way: Way
    undecided: int = 0


@dataclass(frozen=True, slots=True)
class Judged:
    """Who was judged, and how; both in the order of the names."""

    cells: tuple[Cell, ...]
    screening: Screening


def section(actor: Actor, span: Span) -> Section:
    """Of all repairs handed over up to the last day counted. Six queries."""
    found = repairs(actor, span.until)
    keys = {key for group in found.groups for key in (group.technician, group.diagnosed) if key}
    people = {user.pk: user.display_name for user in User.objects.filter(pk__in=keys)}
    return made(found, people)


def made(found: Repairs, people: Mapping[int, str]) -> Section:
    """The section of what was counted; nothing is read any more."""
    title = _("Who has more returns than chance gives")
    if not found.count:
        return Section(KEY, title, says=(_("No repair was handed over yet."),))
    own, named = by_fitter(found, people), by_diagnosis(found, people)
    parts = by_supplier(found)
    figures = [
        Figure(chart, (_about_the_funnel(),))
        for chart in (
            _chart(_("Comebacks by who fitted"), own),
            _chart(_("Comebacks by who named the cause"), named),
            _chart(_("Comebacks by supplier"), parts),
        )
        if chart is not None
    ]
    return Section(
        KEY,
        title,
        says=(
            _says(own, _("technicians who fitted")),
            _says(named, _("technicians who named the cause")),
            _says(parts, _("suppliers")),
        ),
        figures=tuple(figures),
        tables=(
            _table("people-technicians", _("By who fitted"), _("Technician"), own),
            _table("people-diagnosis", _("By who named the cause"), _("Technician"), named),
            _table("people-suppliers", _("Suppliers of what was fitted"), _("Supplier"), parts),
        ),
        limits=_limits(),
        findings=tuple(_findings(parts)),
    )


def by_fitter(found: Repairs, people: Mapping[int, str]) -> Judged:
    return _judge(
        found,
        OF_WORK,
        _named(people, {group.technician for group in found.groups}),
        lambda group: group.technician,
        lambda key: listed(found.until, "work", technician=key, first="counted"),
    )


def by_diagnosis(found: Repairs, people: Mapping[int, str]) -> Judged:
    return _judge(
        found.where(lambda group: group.diagnosed is not None),
        OF_DIAGNOSIS,
        _named(people, {group.diagnosed for group in found.groups}),
        lambda group: group.diagnosed,
        lambda key: listed(found.until, "diagnosis", diagnosed=key, first="counted"),
    )


def _named(people: Mapping[int, str], keys: set[int | None]) -> list[tuple[int, str]]:
    some = [(key, name) for key, name in people.items() if key in keys]
    return sorted(some, key=lambda one: (one[1].casefold(), one[0]))


def by_supplier(found: Repairs) -> Judged:
    names = sorted({group.supplier for group in found.groups if group.supplier}, key=str.casefold)
    fitted = found.where(lambda group: group.supplier != "")
    return _judge(
        fitted,
        OF_PARTS,
        [(name, name) for name in names],
        lambda group: group.supplier,
        lambda name: listed(found.until, "parts", supplier=name, first="counted"),
    )


def _judge(
    found: Repairs,
    causes: frozenset[str],
    named: Sequence[tuple[Key, str]],
    key_of: Callable[[Group], object],
    way_of: Callable[[Key], Way],
) -> Judged:
    hazards = _hazards(found, causes)
    cells = []
    for key, name in named:
        own = found.where(_has(key_of, key))
        due = sum(
            expected(hazards.get(kind, hazards[""]), part.counts(causes))
            for kind, part in _by_kind(own, hazards).items()
        )
        back, waiting = own.returns(causes), own.returns(frozenset({""}))
        cells.append(Cell(name, own.count, back, due, way_of(key), waiting))
    rows = [Counted(cell.back, cell.expected) for cell in cells]
    return Judged(tuple(cells), screen(rows))


def _has(key_of: Callable[[Group], object], key: object) -> Callable[[Group], bool]:
    return lambda group: key_of(group) == key


def _hazards(found: Repairs, causes: frozenset[str]) -> dict[str, Counts]:
    """By kind with enough returns its own counts; by "" those of all the others."""
    kinds = {group.kind for group in found.groups}
    own = {kind: found.where(lambda group, kind=kind: group.kind == kind) for kind in kinds}  # type: ignore[misc]
    enough = {kind for kind, part in own.items() if part.returns(causes) >= ENOUGH_FOR_ITS_OWN}
    hazards = {kind: own[kind].counts(causes) for kind in enough}
    hazards[""] = found.where(lambda group: group.kind not in enough).counts(causes)
    return hazards


def _by_kind(own: Repairs, hazards: Mapping[str, Counts]) -> dict[str, Repairs]:
    kinds = {group.kind if group.kind in hazards else "" for group in own.groups}
    return {
        kind: own.where(
            lambda group, kind=kind: (group.kind if group.kind in hazards else "") == kind  # type: ignore[misc]
        )
        for kind in kinds
    }


def _says(judged: Judged, of: str) -> str:
    words = {"of": of, "judged": judged.screening.judged, "all": len(judged.cells)}
    if not judged.screening.judged:
        return _("Of %(all)d %(of)s none has enough repairs to be judged.") % words
    more, fewer = _outside(judged, "high"), _outside(judged, "low")
    if not more + fewer:
        return (
            _("%(judged)d of %(all)d %(of)s could be judged: none differs by more than chance.")
            % words
        )
    if not fewer:
        said = _(
            "%(judged)d of %(all)d %(of)s could be judged. More than chance gives: %(more)s (look "
            "at the jobs before anything else is thought)."
        )
    elif not more:
        said = _(
            "%(judged)d of %(all)d %(of)s could be judged. Fewer than chance gives: %(fewer)s "
            "(look at the jobs before anything else is thought)."
        )
    else:
        said = _(
            "%(judged)d of %(all)d %(of)s could be judged. More than chance gives: %(more)s; "
            "fewer: %(fewer)s (look at the jobs before anything else is thought)."
        )
    return said % (words | {"more": ", ".join(more), "fewer": ", ".join(fewer)})


def _outside(judged: Judged, side: str) -> list[str]:
    return [
        cell.name
        for cell, row in zip(judged.cells, judged.screening.rows, strict=True)
        if row.outside and row.side == side
    ]


def _findings(parts: Judged) -> list[Finding]:
    """Suppliers alone: what a person is told is told in person, not on the first page."""
    return [
        Finding(
            f"supplier {cell.name}",
            _comes_back(cell),
            WORSE_THAN_OTHERS + more(cell.back),
            cell.way,
            matter(supplier=cell.name),
        )
        for cell, row in zip(parts.cells, parts.screening.rows, strict=True)
        if row.outside and row.side == "high"
    ]


def _comes_back(cell: Cell) -> str:
    if cell.undecided:
        text = _(
            "Parts from %(name)s come back more often than chance gives: %(back)d where "
            "%(expected)s were to be expected; of %(open)d of them nobody has decided yet whether "
            "the part was at fault."
        )
    else:
        text = _(
            "Parts from %(name)s come back more often than chance gives: %(back)d where "
            "%(expected)s were to be expected."
        )
    return text % {
        "name": cell.name,
        "back": cell.back,
        "expected": format_number(cell.expected, digits=2),
        "open": cell.undecided,
    }


def _table(key: str, title: str, of: str, judged: Judged) -> ReportTable:
    columns = (
        Column(of, _("In the order of their names: this is no ranking.")),
        Column(_("Repairs"), _("Handed over up to the last day counted."), Reads.WHOLE),
        Column(_("Came back"), _("Of the classes that can lie with them."), Reads.WHOLE),
        Column(
            _("Expected"),
            _("If theirs came back as often as everybody’s, at the same work and as long."),
            Reads.NUMBER,
        ),
        Column(_("Chance: from"), _("With 95 %, if they are like the others."), Reads.NUMBER),
        Column(_("to"), _("With 95 %, if they are like the others."), Reads.NUMBER),
        Column(_("Says"), _("Judged with regard to how many were looked at.")),
    )
    rows = tuple(
        (
            Shown(cell.name, cell.name),
            count(cell.repairs),
            count(cell.back, cell.way),
            number(cell.expected),
            *((BLANK, BLANK) if row.too_small else (number(row.low), number(row.high))),
            _verdict(row),
        )
        for cell, row in zip(judged.cells, judged.screening.rows, strict=True)
    )
    return ReportTable(key, title, columns, rows)


def _verdict(row: Screened) -> Shown:
    if row.too_small:
        words = _("too few to judge")
    elif not row.outside:
        words = _("within chance")
    else:
        words = _("more than chance") if row.side == "high" else _("fewer than chance")
    return Shown(words, words)


def _chart(title: str, judged: Judged) -> Chart | None:
    """A funnel: what came back over what was expected, against how much was expected."""
    pairs = zip(judged.cells, judged.screening.rows, strict=True)
    known = [(cell, row) for cell, row in pairs if not row.too_small and row.ratio is not None]
    if not known:
        return None
    most = max(cell.expected for cell, _row in known) * 1.1
    grid = [most * step / _STEPS for step in range(1, _STEPS + 1) if most * step / _STEPS >= 0.5]
    limits = [[(x, poisson_limits(x, p)) for x in grid] for p in (0.025, 0.975)]
    inside = tuple((cell.expected, row.ratio or 0.0) for cell, row in known if not row.outside)
    outside = tuple((cell.expected, row.ratio or 0.0) for cell, row in known if row.outside)
    layers = (
        Line(_("95 % of chance"), tuple(limits[0]), "soft", dashed=True),
        Line("", tuple(limits[1]), "soft", dashed=True),
        Level(_("as expected"), 1.0),
        *((Dots(_("within chance"), inside, "value"),) if inside else ()),
        *((Dots(_("more or fewer than chance"), outside, "bad"),) if outside else ()),
    )
    return Chart(
        title,
        _("Each dot is one of them; between the dashed lines is what chance gives."),
        Axis(_("Comebacks expected"), zero=True),
        Axis(_("Came back, over expected"), zero=True),
        layers,
    )


def _about_the_funnel() -> str:
    return _(
        "The fewer were expected, the wider is what chance gives. Whether one differs is judged "
        "in the table, with regard to how many were looked at."
    )


def _limits() -> tuple[str, ...]:
    return (
        _(
            "Expected is what all repairs of the same kind bring in the same time; harder jobs of "
            "one kind are not told apart from easy ones."
        ),
        _(
            "Of who fitted counts workmanship, of who named the cause a wrong diagnosis and what "
            "was not found, of suppliers the part; of each what is not decided yet."
        ),
        _("Where many are looked at, one in twenty of those who differ may do so by chance."),
    )
