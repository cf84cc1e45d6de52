"""Claims found, listed, and one of them as its page shows it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Q, QuerySet
from django.http import Http404

from jobs.claims.settled import Standing
from jobs.claims.states import CLOSED, OUT, UNSENT, Next, State, next_of
from jobs.claims.time_limits import Limit
from jobs.models import Claim, ClaimLine, ClaimPayer, Complaint, Payer
from jobs.queries.claim_lines import asked_lines, differs
from jobs.queries.claim_payers import ASKED, in_use, payer_for
from jobs.queries.coverage import CoveragePicture, pictures
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor

_OURS = frozenset({*UNSENT, State.ASKED, State.SHORT, State.REFUSED})

# By what is to be done: the words of the list's links, and the states behind them.
GROUPS: Mapping[str, frozenset[State]] = {
    "ours": _OURS,
    "late": _OURS,
    "payer": frozenset({State.SENT, State.ACCEPTED}),
    "closed": CLOSED,
}


@dataclass(frozen=True, slots=True)
class Row:
    """One claim of the list: whose move it is, and until when."""

    claim: Claim
    next: Next
    limit: Limit | None
    today: date

    @property
    def over(self) -> bool:
        return self.limit is not None and self.limit.over(self.today)

    @property
    def soon(self) -> bool:
        return self.limit is not None and self.limit.soon(self.today)

    @property
    def sentence(self) -> str:
        return self.limit.sentence(self.today) if self.limit else ""


@dataclass(frozen=True, slots=True)
class Picture:
    """A claim with its lines; `stale` when the job says other figures today."""

    row: Row
    lines: tuple[ClaimLine, ...]
    stale: bool
    owed: Decimal

    @property
    def claim(self) -> Claim:
        return self.row.claim


@dataclass(frozen=True, slots=True)
class Claimable:
    """A complaint that somebody else pays: its claims, and who may be asked."""

    complaint: Complaint
    claims: tuple[Claim, ...]
    payers: tuple[ClaimPayer, ...]
    chosen: ClaimPayer | None
    ready: bool


def claims_of(actor: Actor) -> QuerySet[Claim]:
    rows: QuerySet[Claim] = Claim.objects.of(actor).select_related(
        "workshop",
        "payer",
        "approved_by",
        "opened_by",
        "complaint__order__vehicle__platform",
        "complaint__order__customer",
        "complaint__order__workshop",
        "complaint__order__session",
        "complaint__conclusion__component",
        "complaint__conclusion__failure_mode",
        "coverage",
    )
    return rows


def get_claim(actor: Actor, number: str) -> Claim:
    """A stranger's is 404, as none at all."""
    found = claims_of(actor).filter(number=number.upper()).first()
    if found is None:
        raise Http404
    return found


def listing(actor: Actor, *, group: str, payer: int | None, asked: str) -> QuerySet[Claim]:
    """Open ones by their last day, closed ones newest first. `asked`: a number, plate or VIN."""
    rows = claims_of(actor)
    if group in GROUPS:
        rows = rows.filter(state__in=sorted(GROUPS[group]))
    if group == "late":
        rows = rows.filter(closed_at__isnull=True, due_on__lt=clock.today())
    if payer:
        rows = rows.filter(payer=payer)
    words = asked.strip().upper()
    if words:
        plate = "".join(sign for sign in words if sign.isalnum())
        return rows.filter(
            Q(number=words)
            | Q(complaint__order__number=words)
            | Q(complaint__order__vehicle__vin=words)
            | Q(complaint__order__vehicle__plate_key=plate)
        )
    if group == "closed":
        return rows.order_by("-closed_at", "-pk")
    return (
        rows.order_by("closed_at", "due_on", "pk") if not group else rows.order_by("due_on", "pk")
    )


@dataclass(frozen=True, slots=True)
class Waiting:
    """Claims that wait for the workshop, and how many of them are past their last day."""

    count: int
    late: int


def waiting(actor: Actor) -> Waiting:
    """One query, on what is open."""
    rows = Claim.objects.of(actor).filter(closed_at=None, state__in=sorted(GROUPS["ours"]))
    found = rows.aggregate(count=Count("pk"), late=Count("pk", filter=Q(due_on__lt=clock.today())))
    return Waiting(found["count"], found["late"])


def row_of(claim: Claim) -> Row:
    """Without a query. A last day is shown while something is still to be sent."""
    state = State(claim.state)
    limit = None
    if claim.due_on and state in _OURS:
        working = claim.payer.days_are == ClaimPayer.Days.WORKING
        words = "send it again" if claim.first_sent_at else "send the claim"
        limit = Limit(claim.due_on, working=working, words=words)
    return Row(claim, next_of(state), limit, clock.today())


def picture_of(claim: Claim) -> Picture:
    """The number of queries does not grow with the lines."""
    lines = tuple(claim.lines.all())
    editable = State(claim.state) in UNSENT
    now = asked_lines(claim.complaint, claim.payer) if editable else ()
    standing = Standing(claim.state, claim.claimed, claim.agreed, claim.paid, claim.written_off)
    out = State(claim.state) in OUT
    return Picture(
        row=row_of(claim),
        lines=lines,
        stale=editable and differs(lines, now),
        owed=max(standing.owed, Decimal(0)) if out else Decimal(0),
    )


def claimable(complaints: Collection[Complaint]) -> Mapping[int, Claimable]:
    """By complaint, those that somebody else pays. The number of queries is constant."""
    asked = [one for one in complaints if one.payer in ASKED]
    if not asked:
        return {}
    rows = list(
        Complaint.objects.filter(pk__in=[one.pk for one in asked])
        .select_related("order__vehicle__platform", "order__workshop")
        .prefetch_related("replacements__unit_off")
    )
    claims: dict[int, list[Claim]] = defaultdict(list)
    for claim in Claim.objects.filter(complaint__in=rows).select_related("payer").order_by("pk"):
        claims[claim.complaint_id].append(claim)
    payers = in_use(rows[0].order.workshop_id)
    by_contract = any(row.payer == Payer.SERVICE_CONTRACT for row in rows)
    seen: Mapping[int, CoveragePicture] = pictures(rows) if by_contract else {}
    return {
        row.pk: Claimable(
            complaint=row,
            claims=tuple(claims[row.pk]),
            payers=tuple(one for one in payers if one.kind == row.payer),
            chosen=payer_for(row, payers, seen.get(row.pk)),
            ready=row.decision == Complaint.Decision.AUTHORISED
            and Stage(row.order.stage) not in (Stage.VOID, Stage.DECLINED),
        )
        for row in rows
    }
