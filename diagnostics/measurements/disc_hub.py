"""Disc and hub flange together, and the bolt position with the least run-out. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.discs import (
    BoltPosition,
    Lean,
    RunOut,
    best_of,
    bolt_positions,
    lean_of,
    run_out,
    scaled,
    without,
)
from diagnostics.measurements.disc_pictures import as_vectors, bolt_table, by_bolt_position
from diagnostics.measurements.disc_words import (
    CAUTIONS,
    FIT_SOURCE,
    HOW_TO_DIAL,
    REMEDY_SOURCE,
    RUN_OUT_SOURCE,
    USUAL_DIAL,
    mm,
    turned_by,
)
from diagnostics.measurements.fields import Choice, Number, Series
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import (
    TONES,
    most_allowed,
    refused_at,
    tone_of,
    tool_uncertainty,
)
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.units import Kind

_ON_CAR, _ALONE = "on_car", "alone"
_DIAL_REACH = 5e-3


@dataclass(frozen=True, slots=True)
class _Assembly:
    """Hub brought to the disc's circle, disc by itself, and every way to bolt them together."""

    on_car: bool
    hub_read: RunOut
    disc_read: RunOut
    hub: Lean
    disc: Lean
    positions: tuple[BoltPosition, ...]

    @property
    def now(self) -> BoltPosition:
        return self.positions[0]

    @property
    def best(self) -> BoltPosition:
        return best_of(self.positions)


def _assembly(given: Given) -> _Assembly:
    on_car = given.choice("disc_where") == _ON_CAR
    with refused_at("hub"):
        hub_read = run_out(given.series("hub"))
    with refused_at("disc"):
        disc_read = run_out(given.series("disc"))
    hub = _at_the_disc(lean_of(hub_read), given)
    disc = without(lean_of(disc_read), hub) if on_car else lean_of(disc_read)
    with refused_at("bolts"):
        positions = bolt_positions(disc, hub, round(given.number("bolts")))
    return _Assembly(on_car, hub_read, disc_read, hub, disc, positions)


def _at_the_disc(hub: Lean, given: Given) -> Lean:
    """The flange's lean as it shows on the disc's larger circle, where both circles are known."""
    on_hub, on_disc = given.number_or_none("hub_circle"), given.number_or_none("disc_circle")
    if on_hub is None and on_disc is None:
        return hub
    if on_hub is None or on_disc is None:
        missing = "hub_circle" if on_hub is None else "disc_circle"
        raise InputError("Give both circles of the dial, or neither.", missing)
    return scaled(hub, on_hub, on_disc)


def _work_out(given: Given, known: Known) -> Outcome:
    found = _assembly(given)
    doubt = tool_uncertainty("disc_runout", known, USUAL_DIAL)
    allowed = most_allowed("disc_runout", known)
    charts = (
        by_bolt_position(found.positions, allowed),
        as_vectors(found.disc, found.hub, found.positions, allowed),
    )
    findings = (*_about_turning(found, known, doubt), *_about_hub(found, known))
    return Outcome(
        _leading(found, doubt),
        _figures(found),
        tuple(sorted(findings, key=lambda one: TONES.index(one.tone))),
        _notes(found, given),
        bolt_table(found.positions),
        charts,
        (RUN_OUT_SOURCE, FIT_SOURCE, "Sum of two leaning faces: geometry.", REMEDY_SOURCE),
    )


def _leading(found: _Assembly, doubt: float) -> str:
    now, best = found.now.together.total, found.best.together.total
    if found.best.step == 0 or now - best < doubt:
        return (
            f"As it is bolted, disc and hub make {mm(now)} once per turn; no other bolt "
            f"position is clearly better."
        )
    return (
        f"Turned {_turned(found)}, disc and hub should make about {mm(best)} once per "
        f"turn instead of {mm(now)}."
    )


def _figures(found: _Assembly) -> tuple[Figure, ...]:
    figures = [
        Figure(
            "hub_runout",
            "Hub flange run-out",
            found.hub_read.total,
            "mm",
            keep=True,
            decimals=3,
            reason=found.hub_read.reason,
        ),
        Figure(
            "disc_own_runout",
            "The disc’s own run-out, once per turn",
            found.disc.total,
            "mm",
            decimals=3,
            reason="What was measured on the car less the hub’s share, as arrows."
            if found.on_car
            else "Once per turn, as measured with the disc by itself.",
        ),
        Figure(
            "disc_runout_expected",
            "Run-out to expect at the best bolt position",
            found.best.together.total,
            "mm",
            decimals=3,
            reason=found.best.reason,
        ),
    ]
    if found.on_car:
        figures.insert(
            0,
            Figure(
                "disc_runout",
                "Disc run-out on the car",
                found.disc_read.total,
                "mm",
                keep=True,
                decimals=3,
                reason=found.disc_read.reason,
            ),
        )
    return tuple(figures)


def _about_turning(found: _Assembly, known: Known, doubt: float) -> list[Finding]:
    now, best = found.now.together.total, found.best.together.total
    verdict, before = tone_of(best, "disc_runout", known), tone_of(now, "disc_runout", known)
    if verdict == "bad":
        return [
            Finding(
                "bad",
                f"No bolt position brings it within what is allowed: the best leaves {mm(best)}. "
                f"The hub’s share is {mm(found.hub.total)}, the disc’s own {mm(found.disc.total)}: "
                "the larger one is where to look.",
            )
        ]
    if found.best.step == 0 or now - best < doubt:
        says = f"Another position gains less than the dial can tell, {mm(doubt)}: leave it there."
        return [Finding(before, says)]
    return [
        Finding(
            # What is out of limits now is not good yet, though it can be made so.
            "near" if before == "bad" else verdict,
            f"Mark disc and hub and turn the disc {_turned(found)}, counted the way the points "
            "were. Then measure again: this is worked out, not measured.",
        )
    ]


def _about_hub(found: _Assembly, known: Known) -> list[Finding]:
    tone = tone_of(found.hub_read.total, "hub_runout", known)
    if tone == "bad":
        says = (
            f"The hub flange itself runs out by {mm(found.hub_read.total)}. See that it is clean "
            "and that the bearing has no play before anything else is blamed: on this flange "
            "another disc would run out too."
        )
        return [Finding("bad", says)]
    left = max(found.hub_read.waviness, found.disc_read.waviness)
    if left > USUAL_DIAL:
        says = (
            f"Part of the readings is not one wave per turn ({mm(left)} rms). No bolt position "
            "takes that away, and these figures leave it out."
        )
        return [Finding("near", says)]
    return []


def _notes(found: _Assembly, given: Given) -> tuple[str, ...]:
    notes = []
    if found.on_car:
        notes.append(
            "The disc was read on the car, so its readings hold the hub’s run-out; the disc’s "
            "own is what is left when the hub’s is taken away."
        )
    else:
        notes.append(
            "The disc was read by itself; what it makes on this hub is worked out from both."
        )
    if given.number_or_none("hub_circle") is None:
        notes.append(
            "The hub’s run-out is taken as read. On the disc’s larger circle the same lean shows "
            "more: give both circles of the dial to count that in."
        )
    else:
        notes.append(
            f"On the disc’s circle the hub’s lean shows as {mm(found.hub.total)} once per turn."
        )
    return tuple(notes)


def _turned(found: _Assembly) -> str:
    return turned_by(found.best.step, len(found.positions))


DISC_ON_HUB = MeasurementKind(
    key="disc_on_hub",
    name="Disc and hub together",
    group=Group.DISCS,
    purpose="To find out whether disc or hub runs out, and the bolt position with the least.",
    fields=(
        Choice(
            "disc_where",
            "How the disc was read",
            (
                (_ON_CAR, "On the car, bolted to this hub"),
                (_ALONE, "By itself, on a true spindle"),
            ),
            default=_ON_CAR,
            help="On the car, mark which bolt of the hub stands at the disc’s start mark.",
        ),
        Series(
            "hub",
            "Dial on the hub flange, disc off",
            Kind.LENGTH,
            "mm",
            counts=(8, 12),
            help="Close to the flange’s edge. Same start mark and same way round as the disc.",
            lowest=-_DIAL_REACH,
            highest=_DIAL_REACH,
        ),
        Series(
            "disc",
            "Dial on the disc",
            Kind.LENGTH,
            "mm",
            counts=(8, 12),
            help=HOW_TO_DIAL,
            lowest=-_DIAL_REACH,
            highest=_DIAL_REACH,
        ),
        Number(
            "bolts",
            "Wheel bolts or studs",
            Kind.COUNT,
            "count",
            known="wheel_bolts",
            lowest=3,
            highest=10,
            whole=True,
            help="A disc held by one small screw cannot be turned: then measure only.",
        ),
        Number(
            "hub_circle",
            "Circle of the dial on the hub flange",
            Kind.LENGTH,
            "mm",
            required=False,
            known="hub_dial_diameter",
            lowest=0.03,
            highest=0.4,
            usual=(0.06, 0.25),
            help="Diameter. Leave both circles empty to take the hub’s reading as it is.",
        ),
        Number(
            "disc_circle",
            "Circle of the dial on the disc",
            Kind.LENGTH,
            "mm",
            required=False,
            known="disc_dial_diameter",
            lowest=0.1,
            highest=0.6,
            usual=(0.18, 0.45),
            help="Diameter, about 20 mm less than the disc’s.",
        ),
    ),
    quantities=(
        DerivedQuantity("hub_runout", "Hub flange run-out", Kind.LENGTH, "mm"),
        DerivedQuantity("disc_runout", "Disc run-out", Kind.LENGTH, "mm"),
        DerivedQuantity("disc_own_runout", "The disc’s own run-out", Kind.LENGTH, "mm"),
        DerivedQuantity(
            "disc_runout_expected", "Run-out to expect at the best bolt position", Kind.LENGTH, "mm"
        ),
    ),
    work_out=_work_out,
    place="wheel",
    cautions=CAUTIONS,
)
