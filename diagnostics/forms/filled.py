"""What a measurement's form is filled with beforehand, and where it comes from."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from diagnostics.compute.braking import is_newer
from diagnostics.measurements.fields import Choice, Number, Words
from diagnostics.measurements.known import Known
from shop import units


def known_text(
    field: Number | Choice | Words, known: Known, row: str = ""
) -> tuple[str, str] | None:
    """What is filled in beforehand and where it comes from; `row` is a wheel's, of a grid."""
    if field.known == "tyre":
        return (known.tyre, str(_("the vehicle's record"))) if known.tyre else None
    if field.known == "brake_rule":
        return (known.brake_rule, str(_("the workshop's settings"))) if known.brake_rule else None
    if field.known == "first_used":
        return _age(known)
    figure = known.figures.get(f"{field.known}/{row}") or known.figures.get(field.known)
    if figure is None:
        return None
    if figure.words:
        return figure.words, figure.source
    if figure.value is None:
        return None
    return units.format_number(units.from_si(figure.value, figure.unit)), figure.source


def _age(known: Known) -> tuple[str, str] | None:
    """Whether the vehicle is new enough for the higher figure of the in-service rule."""
    if known.first_used is None:
        return None
    return "new" if is_newer(known.first_used) else "old", str(_("the vehicle's record"))
