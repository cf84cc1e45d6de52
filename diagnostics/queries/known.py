"""What is known of a vehicle before a measurement is typed: a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from diagnostics import rules
from diagnostics.captures import Samples
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownCurve, KnownFigure, KnownLimit
from diagnostics.models import Component, Curve, Figure, Limit, Session
from diagnostics.places import CORNERS
from diagnostics.queries.limits import most_specific
from shop import clock


def known_for(
    session: Session,
    kind: MeasurementKind,
    component: Component | None,
    position: str,
    *,
    capture: Samples | None = None,
) -> Known:
    """Facts for the kind at a place; at most six queries, whatever the pages hold.

    Figures and limits stand under their key when they hold at the place itself. Where a
    measurement takes in several wheels, those that hold at one of them stand under "key/LF" and
    so on as well.
    """
    vehicle = session.vehicle
    return Known(
        tyre=vehicle.tyre_size,
        position=position,
        figures=_figures(session, component, position),
        curves=_curves(session, kind, component),
        limits=_limits(session, kind, component, position),
        brake_rule=session.workshop.brake_rule,
        first_used=vehicle.in_service_on,
        today=clock.today(),
        capture=capture,
    )


def _places(position: str) -> Iterator[tuple[str, str]]:
    """Where to look, with what stands after the key: the place itself, then its wheels."""
    yield position, ""
    if position in CORNERS:
        return
    for wheel in CORNERS:
        yield wheel, f"/{wheel}"
    if not position:
        for axle in ("front", "rear"):
            yield axle, f"/{axle}"


def _figures(
    session: Session, component: Component | None, position: str
) -> Mapping[str, KnownFigure]:
    rows: defaultdict[str, list[Figure]] = defaultdict(list)
    if session.version_id is not None:
        found = Figure.objects.filter(version_id=session.version_id).order_by("pk")
        for row in found.select_related("component"):
            rows[row.key].append(row)
    return {
        f"{key}{end}": KnownFigure(best.value, best.unit, best.source, best.words)
        for key, of_key in rows.items()
        for place, end in _places(position)
        if (best := most_specific(of_key, component, place)) is not None
    }


def _limits(
    session: Session, kind: MeasurementKind, component: Component | None, position: str
) -> Mapping[str, KnownLimit]:
    rows: defaultdict[str, list[Limit]] = defaultdict(list)
    if session.version_id is not None:
        found = Limit.objects.filter(
            version_id=session.version_id, quantity__key__in=_keys(kind)
        ).order_by("pk")
        for row in found.select_related("component", "quantity"):
            rows[row.quantity.key].append(row)
    return {
        f"{key}{end}": KnownLimit(rules.limit_of(best), best.source)
        for key, of_key in rows.items()
        for place, end in _places(position)
        if (best := most_specific(of_key, component, place)) is not None
    }


def _curves(
    session: Session, kind: MeasurementKind, component: Component | None
) -> Mapping[str, KnownCurve]:
    if session.version_id is None:
        return {}
    found = Curve.objects.filter(version_id=session.version_id, quantity__key__in=_keys(kind))
    rows: defaultdict[str, list[Curve]] = defaultdict(list)
    for row in found.order_by("pk").select_related("quantity").prefetch_related("points"):
        if component is None or row.component_id in (None, component.pk):
            rows[row.quantity.key].append(row)
    return {key: _curve(best) for key, of_key in rows.items() if (best := _only(of_key))}


def _only(rows: Iterable[Curve]) -> Curve | None:
    """The curve of a component before one of any; None where two would do."""
    ranked = sorted(rows, key=lambda row: row.component_id is None)
    best = [row for row in ranked if (row.component_id is None) == (ranked[0].component_id is None)]
    return best[0] if len(best) == 1 else None


def _curve(row: Curve) -> KnownCurve:
    return KnownCurve(
        quantity=row.quantity.key,
        against=row.against,
        points=tuple(sorted((point.x, point.y) for point in row.points.all())),
        tolerance=row.tolerance,
        unit=row.unit,
        against_unit=row.against_unit,
        source=row.source,
    )


def _keys(kind: MeasurementKind) -> list[str]:
    return [quantity.key for quantity in kind.quantities]
