"""What a report says, before anything is drawn: sections of sentences, charts and tables. Pure.

The Office page, the PDF, CSV and XLSX, and the frozen copy of an issued report are all made of
this, so that none can say anything else. jobs.reports.frozen turns it into JSON and back.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from shop import tables
from shop.charting import Chart


@dataclass(frozen=True, slots=True)
class Span:
    """What a report counts: the month it is about (its first day), and the last day counted.

    The month may be under way: then `until` is today. Everything that happened later is left out.
    """

    month: date
    until: date


@dataclass(frozen=True, slots=True)
class Way:
    """The way to the jobs behind a figure: the name of an address, its parts, and what follows
    the question mark. On paper it is left out."""

    name: str
    parts: tuple[str | int, ...] = ()
    query: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """One cell: as it is read, as a file holds it, and the way to its jobs."""

    words: str
    value: tables.Cell = None
    way: Way | None = None


@dataclass(frozen=True, slots=True)
class ReportTable:
    """`key` names its file. A row begins with what it is about; a cell may be an honest blank
    (words "–", value None). `note` stands beneath."""

    key: str
    title: str
    columns: tuple[tables.Column, ...]
    rows: tuple[tuple[Shown, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A chart with what limits its numbers, in words that stand beside it."""

    chart: Chart
    limits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that changed and may be worth the owner's time, in one sentence.

    `weight`: how much it is worth against others, by jobs.reports.weights. `key` tells findings
    apart (the same thing is not said twice); `way` leads to its jobs. `about`: whose failures or
    returns it counts (jobs.reports.findings.matter), so that no two sentences count the same ones.
    """

    key: str
    words: str
    weight: float
    way: Way | None = None
    about: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """`says`: what is to be read in it, most important first. `limits`: what its numbers cannot
    show, printed beside them. `findings`: candidates for the sentences on top of the Office."""

    key: str
    title: str
    says: tuple[str, ...]
    figures: tuple[Figure, ...] = ()
    tables: tuple[ReportTable, ...] = ()
    limits: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    workshop: str
    span: Span
    findings: tuple[Finding, ...]
    sections: tuple[Section, ...]
