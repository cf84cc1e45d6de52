"""An estimate as it was given and an answer as it was recorded, for their papers.

Both come from the stored rows alone, so that a paper printed again says what it said.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs import signature
from jobs.models import Authority, Complaint, Estimate, EstimateLine, RepairOrder
from jobs.pricing import Group, LineKind
from shop.money import total

_KINDS = {
    LineKind.ASSEMBLY: "part",
    LineKind.MATERIAL: "material",
    LineKind.LABOUR: "labour",
    LineKind.DIAGNOSIS: "diagnosis",
    LineKind.SUBLET: "sublet work",
}


@dataclass(frozen=True, slots=True)
class PaperLine:
    line: EstimateLine
    kind: str


@dataclass(frozen=True, slots=True)
class PaperComplaint:
    complaint: Complaint
    lines: tuple[PaperLine, ...]
    total: Decimal
    customer: Decimal

    @property
    def other(self) -> Decimal:
        return total((self.total, -self.customer))

    @property
    def said(self) -> EstimateLine:
        """Any of its lines: who bears how much of a complaint, and why, is the same on each."""
        return self.lines[0].line


@dataclass(frozen=True, slots=True)
class EstimatePaper:
    """`assemblies`, `labour` and `sublet` are before tax; `total` is with tax."""

    number: str
    given: Estimate
    complaints: tuple[PaperComplaint, ...]
    assemblies: Decimal
    labour: Decimal
    sublet: Decimal
    total: Decimal
    before: Estimate | None
    answers: tuple[Authority, ...]

    @property
    def shared(self) -> bool:
        return self.given.payer_total != 0

    @property
    def diagnosis_only(self) -> bool:
        lines = [one for complaint in self.complaints for one in complaint.lines]
        return all(one.line.kind == LineKind.DIAGNOSIS for one in lines)


@dataclass(frozen=True, slots=True)
class AnswerPaper:
    number: str
    answer: Authority
    estimate: Estimate
    estimate_number: str
    decisions: tuple[tuple[Complaint, str, Decimal], ...]
    total_before: Decimal
    signature: str

    @property
    def shared(self) -> bool:
        return self.answer.customer_after not in (None, self.answer.total_after)


def estimate_paper(order: RepairOrder, number: int) -> EstimatePaper | None:
    rows = Estimate.objects.filter(order=order, number=number).select_related("given_by")
    given = rows.prefetch_related("taxes", "answers__recorded_by").first()
    if given is None:
        return None
    lines = list(given.lines.select_related("complaint").order_by("complaint__line", "pk"))
    return EstimatePaper(
        number=f"{order.number}/E{number}",
        given=given,
        complaints=_complaints(lines),
        assemblies=_sum(lines, Group.ASSEMBLIES),
        labour=_sum(lines, Group.LABOUR),
        sublet=_sum(lines, Group.SUBLET),
        total=total((given.total, given.tax)),
        before=Estimate.objects.filter(order=order, number=number - 1).first(),
        answers=tuple(given.answers.all()),
    )


def answer_paper(order: RepairOrder, number: int) -> AnswerPaper | None:
    """The answers of an order are numbered in the order in which they were recorded."""
    rows = Authority.objects.filter(estimate__order=order).select_related(
        "estimate__given_by", "recorded_by"
    )
    answers = list(rows.order_by("pk")[:number])
    if number < 1 or len(answers) < number:
        return None
    answer = answers[-1]
    sums: dict[int, Decimal] = {}
    for line in answer.estimate.lines.all():
        sums[line.complaint_id] = total((sums.get(line.complaint_id, Decimal(0)), line.amount))
    given = answer.lines.select_related("complaint").order_by("complaint__line")
    return AnswerPaper(
        number=f"{order.number}/A{number}",
        answer=answer,
        estimate=answer.estimate,
        estimate_number=f"{order.number}/E{answer.estimate.number}",
        decisions=tuple(
            (
                line.complaint,
                str(line.get_decision_display()),
                sums.get(line.complaint_id, Decimal("0.00")),
            )
            for line in given
        ),
        total_before=answers[-2].total_after if len(answers) > 1 else Decimal("0.00"),
        signature=signature.picture_of(answer.signature),
    )


def _complaints(lines: list[EstimateLine]) -> tuple[PaperComplaint, ...]:
    by_complaint: dict[int, list[EstimateLine]] = {}
    for line in lines:
        by_complaint.setdefault(line.complaint_id, []).append(line)
    return tuple(
        PaperComplaint(
            own[0].complaint,
            tuple(map(_line, own)),
            total(line.amount for line in own),
            total(line.customer_amount for line in own),
        )
        for own in by_complaint.values()
    )


def _line(line: EstimateLine) -> PaperLine:
    return PaperLine(line, _KINDS[LineKind(line.kind)] if line.kind else "")


def _sum(lines: list[EstimateLine], group: Group) -> Decimal:
    return total(line.amount for line in lines if line.kind and LineKind(line.kind).group is group)
