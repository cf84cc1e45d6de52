"""How this workshop bills, with the strict default where nothing was set."""

from __future__ import annotations

from decimal import Decimal

from jobs.bill import Rounding, Share, TaxRule
from jobs.jurisdictions import Figures, departures
from jobs.models import Complaint, LabourRate, Payer, Tax, Terms
from jobs.pricing import Group
from shop.models import Workshop

ALONE = Decimal(100)


def terms_of(workshop: Workshop) -> Terms:
    """The kept terms, or unsaved ones that hold the strict default."""
    return Terms.objects.filter(workshop=workshop).first() or Terms(workshop=workshop)


def set_otherwise(terms: Terms) -> tuple[str, ...]:
    """What was set otherwise than the chosen set says, in the words of the form. No query."""
    names = Figures.__dataclass_fields__
    figures = Figures(**{name: getattr(terms, name) for name in names})
    changed = departures(terms.profile, figures)
    return tuple(str(Terms._meta.get_field(name).verbose_name) for name in changed)  # type: ignore[union-attr]


def rounding_of(terms: Terms) -> Rounding:
    return Rounding(terms.tax_rounding)


def tax_rules(workshop: Workshop) -> tuple[TaxRule, ...]:
    """The taxes in force, as the bill wants them. One query."""
    rows = Tax.objects.filter(workshop=workshop, retired=False).order_by("pk")
    return tuple(TaxRule(row.name, row.percent, _on(row), row.customer_only) for row in rows)


def rates_of(workshop: Workshop) -> dict[str, Decimal]:
    """The labour rate of each payer that has its own. One query."""
    rows = LabourRate.objects.filter(workshop=workshop)
    return dict(rows.values_list("payer", "rate"))


def rate_for(workshop: Workshop, payer: str) -> Decimal:
    own: Decimal = rates_of(workshop).get(payer, workshop.labour_rate)
    return own


def rate_on(complaint: Complaint, workshop: Workshop) -> Decimal:
    """The rate of who bears all of a complaint; what is shared goes at the customer's.

    A line has one price, and the customer's part must not change with who helps to pay it.
    """
    alone = complaint.payer_percent == ALONE
    return rate_for(workshop, complaint.payer if alone else Payer.CUSTOMER)


def share_of(complaint: Complaint) -> Share:
    return Share(complaint.payer, complaint.payer_percent, complaint.deductible, complaint.order_id)


def _on(tax: Tax) -> frozenset[Group]:
    laid = (
        (tax.on_assemblies, Group.ASSEMBLIES),
        (tax.on_labour, Group.LABOUR),
        (tax.on_sublet, Group.SUBLET),
    )
    return frozenset(group for on, group in laid if on)
