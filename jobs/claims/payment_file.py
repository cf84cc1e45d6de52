"""What a payer's file says was paid: its bytes in, checked lines out. Pure.

docs/claim-payments.md says how such a file is written. Either every line is good or none is taken:
all that is wrong is said at once, each with its line and its column.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from types import MappingProxyType

from jobs.claims.payment_text import NAMES, Cells, Problem, Sheet, Unreadable, sheet_of, text_of
from jobs.claims.payment_values import (
    Habits,
    Unclear,
    amount_of,
    date_of,
    date_order,
    decimal_mark,
)
from shop.money import total

SPLIT = ("labour", "parts", "handling", "sublet", "tax")
AMOUNTS = (*SPLIT, "amount")
MOST_PROBLEMS = 25
_NOTHING = Decimal("0.00")
_LENGTHS: Mapping[str, int] = MappingProxyType(
    {"claim": 60, "order": 60, "vin": 40, "reference": 60}
)
_NOT_TOLD = Habits()
_PAID = frozenset({"", "paid", "payment"})
_BACK = frozenset({"taken back", "taken_back", "charged back", "reversal"})


@dataclass(frozen=True, slots=True)
class PaidLine:
    """One line. Amounts are below nought when money was taken back.

    `split` is by labour, parts, handling, sublet and tax; None when the payer does not say.
    """

    line: int
    claim_number: str
    order_number: str
    vin: str
    reference: str
    paid_on: date
    amount: Decimal
    split: Mapping[str, Decimal] | None

    @property
    def taken_back(self) -> bool:
        return self.amount < 0

    @property
    def same(self) -> tuple[object, ...]:
        """What two lines have in common when they are the same payment."""
        return (
            self.claim_number,
            self.order_number,
            self.vin,
            self.reference,
            self.paid_on,
            self.amount,
        )


@dataclass(frozen=True, slots=True)
class ReadFile:
    """`lines` is empty when there are problems. `left_out`: lines on which nothing was paid."""

    lines: tuple[PaidLine, ...]
    problems: tuple[Problem, ...]
    habits: Habits = _NOT_TOLD
    ignored: tuple[str, ...] = ()
    left_out: tuple[int, ...] = ()

    @property
    def asks(self) -> frozenset[str]:
        """What a person must say before the file can be read: "decimal", "dates"."""
        return frozenset(problem.asks for problem in self.problems if problem.asks)


def read(raw: bytes, *, today: date, told: Habits = _NOT_TOLD) -> ReadFile:
    """Read a file. `told` is what a person said of it, and counts before what it shows."""
    try:
        sheet = sheet_of(text_of(raw))
        habits = _habits(sheet, told)
    except Unreadable as error:
        return ReadFile((), (error.problem,))
    lines: list[PaidLine] = []
    problems: list[Problem] = []
    left_out: list[int] = []
    for row in sheet.rows:
        reader = _Line(row, habits, today, sheet.heads)
        line = reader.read()
        problems += reader.problems
        if line and line.amount:
            lines.append(line)
        elif line:
            left_out.append(line.line)
    problems += _doubled(lines)
    problems.sort(key=lambda problem: problem.line)
    if not problems and not lines:
        problems.append(Problem(0, NAMES["amount"], "Nothing was paid on any line."))
    if problems:
        return ReadFile((), _first_of(problems), habits, sheet.ignored)
    return ReadFile(tuple(lines), (), habits, sheet.ignored, tuple(left_out))


def _habits(sheet: Sheet, told: Habits) -> Habits:
    try:
        mark = told.decimal or decimal_mark(
            row[key] for row in sheet.rows for key in AMOUNTS if row[key]
        )
        order = told.dates or date_order(row["paid_on"] for row in sheet.rows)
    except Unclear as error:
        raise Unreadable(Problem(0, "", error.sentence)) from error
    return Habits(mark, order)


def _doubled(lines: list[PaidLine]) -> list[Problem]:
    seen: dict[tuple[object, ...], int] = {}
    found = []
    for line in lines:
        first = seen.setdefault(line.same, line.line)
        if first != line.line:
            found.append(
                Problem(
                    line.line,
                    "",
                    f"This is line {first} once more. Take one out; if it was paid twice, "
                    "give each its own reference.",
                )
            )
    return found


def _first_of(problems: list[Problem]) -> tuple[Problem, ...]:
    rest = len(problems) - MOST_PROBLEMS
    if rest <= 0:
        return tuple(problems)
    more = Problem(0, "", f"{rest} more problems follow; the first {MOST_PROBLEMS} are shown.")
    asked = [one for one in problems[MOST_PROBLEMS:] if one.asks][:1]
    return (*problems[:MOST_PROBLEMS], *asked, more)


class _Line:
    """Reads one line, collecting everything that is wrong with it."""

    def __init__(self, row: Cells, habits: Habits, today: date, heads: Mapping[str, str]) -> None:
        self.row = row
        self.habits = habits
        self.today = today
        self.heads = heads
        self.problems: list[Problem] = []

    def wrong(self, key: str, sentence: str, asks: str = "") -> None:
        column = self.heads.get(key, NAMES.get(key, ""))
        self.problems.append(Problem(self.row.line, column, sentence, asks))

    def read(self) -> PaidLine | None:
        """None when something is wrong."""
        texts = {key: self._text(key) for key in _LENGTHS}
        if not (texts["claim"] or texts["order"] or texts["vin"]):
            self.wrong("claim", "Nothing says what was paid: write the claim’s number.")
        when = self._date()
        back = self._back()
        amounts = {key: self._amount(key) for key in AMOUNTS}
        if not self.row["amount"]:
            self.wrong("amount", "The amount is missing.")
        if self.problems or when is None:
            return None
        line = PaidLine(
            self.row.line,
            texts["claim"],
            texts["order"],
            texts["vin"].upper(),
            texts["reference"],
            when,
            amounts["amount"] or _NOTHING,
            self._split(amounts),
        )
        return self._signed(line, back)

    def _text(self, key: str) -> str:
        text = " ".join(self.row[key].split())
        if len(text) > _LENGTHS[key]:
            self.wrong(key, f"It has at most {_LENGTHS[key]} signs.")
        return text

    def _date(self) -> date | None:
        if not self.row["paid_on"]:
            self.wrong("paid_on", "The day it was paid is missing.")
            return None
        try:
            return date_of(self.row["paid_on"], self.habits.dates, self.today)
        except Unclear as error:
            self.wrong("paid_on", error.sentence, error.asks)
            return None

    def _back(self) -> bool:
        kind = self.row["kind"].lower()
        if kind not in _PAID | _BACK:
            self.wrong("kind", f"“{self.row['kind']}” is neither “paid” nor “taken back”.")
        return kind in _BACK

    def _amount(self, key: str) -> Decimal | None:
        if not self.row[key]:
            return None
        try:
            return amount_of(self.row[key], self.habits.decimal)
        except Unclear as error:
            self.wrong(key, error.sentence, error.asks)
            return None

    def _split(self, amounts: Mapping[str, Decimal | None]) -> Mapping[str, Decimal] | None:
        if all(amounts[key] is None for key in SPLIT):
            return None
        return MappingProxyType({key: amounts[key] or _NOTHING for key in SPLIT})

    def _signed(self, line: PaidLine, back: bool) -> PaidLine | None:
        """The line with its sign, its parts added up. Taken back, a minus may be left out."""
        if line.split is not None and total(line.split.values()) != line.amount:
            parts = total(line.split.values())
            self.wrong("amount", f"{line.amount} is not the sum of its parts, which is {parts}.")
            return None
        figures = {"amount": line.amount, **(line.split or {})}
        below = [key for key, figure in figures.items() if figure < 0]
        above = [key for key, figure in figures.items() if figure > 0]
        if not back and below:
            self.wrong(
                below[-1] if "amount" not in below else "amount",
                f"{figures[below[0]]} is below zero. If the payer took it back, the column "
                "“kind” says “taken back”.",
            )
            return None
        if back and below and above:
            self.wrong("amount", "Of what was taken back some is below zero and some above.")
            return None
        if not back or below:
            return line
        split = line.split and MappingProxyType({key: -one for key, one in line.split.items()})
        return replace(line, amount=-line.amount, split=split)
