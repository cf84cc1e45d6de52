"""What a wheel-speed signal points to: ring, sensor, wiring or bearing. Pure.

What it cannot separate is said as well.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.waveform import Pulses, Sensor, Waveform
from diagnostics.compute.waveform_dropouts import DropOut
from diagnostics.compute.waveform_levels import HIGH_CURRENT, LOW_CURRENT
from diagnostics.compute.waveform_modulation import OncePerTurn
from diagnostics.compute.waveform_turns import OddKind, OddTooth
from diagnostics.measurements.judging import TONES, tone_of
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Finding, Tone
from shop.units import format_number, format_value

# Common practice, no source: from here on a wave once a turn is worth a look, noise disturbs, and
# a duty is unusual.
HEIGHT_WORTH, PITCH_WORTH = 0.1, 0.02
_NOISY_DB, _USUAL_DUTY = 20.0, (0.3, 0.7)
_STEADY, _WANDERS = 0.9, 0.7
_MOST_NAMED = 6
# Before so many turns a wrong number of teeth cannot be told from gaps that keep no place.
_TURNS_TO_SEPARATE = 3


@dataclass(frozen=True, slots=True)
class Currents:
    """The two levels in ampere."""

    low: float
    high: float


def findings(
    waveform: Waveform, known: Known, *, moved: bool, currents: Currents | None, unit: str = "V"
) -> tuple[Finding, ...]:
    """Worst first. moved: whether somebody moved the harness during the capture. currents: None
    where the levels stay volts. unit: of the channel, V or A."""
    pulses = waveform.pulses
    if pulses is None:
        return (Finding("unknown", f"{waveform.reason} {_no_pulses(waveform)}"),)
    found = [
        *_of_count(pulses),
        *_of_ring(pulses),
        *_of_drop_outs(pulses, moved=moved, unit=unit),
        *_of_waves(pulses, known),
        *_of_noise(pulses),
    ]
    if waveform.sensor is not Sensor.COIL:
        found += _of_levels(waveform, pulses, currents)
    if not any(one.tone in ("bad", "near") for one in found):
        found.append(_sound(pulses, moved=moved))
    return tuple(sorted(found, key=lambda one: TONES.index(one.tone)))


def _no_pulses(waveform: Waveform) -> str:
    if waveform.sensor is Sensor.COIL:
        return (
            "A wheel that stood, an open or shorted circuit, a sensor far from its ring and a lead "
            "on the wrong pin all look like this. Measure the winding next."
        )
    return (
        "A wheel that stood, a sensor without supply and a sensor far from its ring all look like "
        "this. Measure the supply at the sensor next."
    )


# ---- the ring ----


def _of_count(pulses: Pulses) -> list[Finding]:
    ring = pulses.ring
    if not ring.contradicts:
        return []
    return [
        Finding(
            "bad",
            f"The gaps come back every {ring.teeth} teeth, missing ones counted: that is a place "
            f"on the ring, and it has {ring.teeth} places, not {ring.given}. Everything here is "
            f"worked out with {ring.teeth}. Count the teeth: a ring of the wrong number makes the "
            "wheel's speed wrong by itself.",
        )
    ]


def _of_ring(pulses: Pulses) -> list[Finding]:
    ring = pulses.ring
    if ring.turns < 2:
        return [Finding("unknown", ring.reason)] if _has_gaps(pulses) else []
    kinds: tuple[tuple[OddKind, Tone, str], ...] = (
        (
            "missing",
            "bad",
            (
                "The same place in turn after turn is the ring: a tooth broken off, or a space "
                "packed with rust or swarf. Sensor and wiring do not know where the wheel stands."
            ),
        ),
        (
            "damaged",
            "bad",
            (
                "The same place in turn after turn is the ring: a tooth worn, bent or packed. It "
                "is not the sensor or its wiring."
            ),
        ),
        (
            "displaced",
            "near",
            (
                "The spacing is off there in turn after turn: a cracked ring opens at one place, a "
                "bent tooth leans. Look at the ring there."
            ),
        ),
    )
    found = []
    for kind, tone, means in kinds:
        teeth = [tooth for tooth in ring.odd if tooth.kind == kind]
        if teeth:
            found.append(Finding(tone, f"{_named(teeth, ring.teeth or 0)} {means}"))
    return found


def _has_gaps(pulses: Pulses) -> bool:
    return bool(pulses.train.gaps.unexplained.any())


def _named(teeth: list[OddTooth], of: int) -> str:
    first = teeth[:_MOST_NAMED]
    places = ", ".join(f"{t.number} ({format_number(t.degrees, decimals=0)}°)" for t in first)
    more = f" and {len(teeth) - len(first)} more" if len(teeth) > len(first) else ""
    many = "Tooth" if len(teeth) == 1 else "Teeth"
    how = teeth[0].kind
    seen = max(tooth.seen for tooth in teeth)
    height = f", at {format_value(teeth[0].height, '%', digits=2)} of the height beside it"
    only = height if how == "damaged" and len(teeth) == 1 else ""
    return (
        f"{many} {places}{more} of {of}, counted from the first in the capture: {how}{only}, "
        f"seen over {seen} turns."
    )


# ---- the wiring ----


def _of_drop_outs(pulses: Pulses, *, moved: bool, unit: str) -> list[Finding]:
    silent, weak = pulses.drop_outs.silent, pulses.drop_outs.weak
    found = []
    if silent:
        count = len(silent) + pulses.drop_outs.more
        longest = max(silent, key=lambda one: one.lasts)
        where = (
            "Moved with the harness, they point to a wire broken inside its cover, a clip, or a "
            "connector: move it again, hand by hand, to find the place. A joint inside the sensor "
            "can do the same; the ring cannot."
            if moved
            else "They keep no place in the turn, so the ring does not make them: wiring, "
            "connector or sensor. Capture again while the harness is moved hand by hand."
        )
        if pulses.ring.turns < _TURNS_TO_SEPARATE:
            where = (
                "Whether they keep a place in the turn cannot be told here, so ring and wiring "
                "stay possible. Capture more turns and give the number of teeth."
            )
        level = _level_said(pulses, longest, unit)
        many = "drop-out" if count == 1 else "drop-outs"
        found.append(
            Finding(
                "bad",
                f"{count} {many} that the wheel's speed does not explain; the longest begins at "
                f"{format_value(longest.begin, 's', decimals=3)} and lasts "
                f"{format_value(longest.lasts, 'ms', digits=3)}{level}. {where}",
            )
        )
    if weak:
        found.append(
            Finding(
                "near",
                f"{len(weak)} stretches with pulses under half of the usual height, the first at "
                f"{format_value(weak[0].begin, 's', decimals=3)}: a contact that gets worse for a "
                "moment, or a gap that opens.",
            )
        )
    return found


def _level_said(pulses: Pulses, drop_out: DropOut, unit: str) -> str:
    levels = pulses.levels
    if levels is None:
        return ""
    apart = levels.high - levels.low
    share = (drop_out.level - levels.low) / apart if apart else 0.0
    shown = format_value(drop_out.level, unit, decimals=2 if unit == "V" else 4)
    if share < -0.3:
        return f", with the line at {shown}, below both levels: no current flows"
    if share > 1.3:
        return f", with the line at {shown}, above both levels: shorted towards the supply"
    if share < 0.25:
        return f", with the line stuck at the low level, {shown}"
    if share > 0.75:
        return f", with the line stuck at the high level, {shown}"
    return f", with the line in between, at {shown}"


# ---- run-out and play ----


def _of_waves(pulses: Pulses, known: Known) -> list[Finding]:
    found = []
    height, pitch = pulses.height_wave, pulses.pitch_wave
    if isinstance(height, OncePerTurn) and height.found:
        tone = _tone(height.size, "once_per_turn_modulation", known, HEIGHT_WORTH)
        found.append(
            Finding(
                tone,
                f"The height swells and fades by {format_value(height.size, '%', digits=2)} to "
                f"either side once a turn. {_out_of_true(height, tone)}",
            )
        )
    if isinstance(pitch, OncePerTurn) and pitch.found:
        tone = _tone(pitch.size, "pitch_modulation", known, PITCH_WORTH)
        found.append(
            Finding(
                tone,
                f"The pitch grows and shrinks by {format_value(pitch.size, '%', digits=2)} to "
                "either side once a turn: a ring off its centre does that, and so does a wheel "
                "turned unevenly by hand or out of balance, which this cannot separate.",
            )
        )
    return found


def _out_of_true(wave: OncePerTurn, tone: Tone) -> str:
    if tone == "good":
        return "That is little, and usual."
    both = "Ring run-out and bearing play both do that: put a dial gauge on ring and hub."
    if wave.steadiness > _STEADY:
        return f"It is the same in every turn, which fits run-out better than play. {both}"
    if wave.steadiness < _WANDERS:
        return f"It wanders from turn to turn, which fits play better than run-out. {both}"
    return both


def _tone(size: float, quantity: str, known: Known, worth: float) -> Tone:
    judged = tone_of(size, quantity, known)
    if judged != "unknown":
        return judged
    return "near" if size > worth else "good"


# ---- noise and levels ----


def _of_noise(pulses: Pulses) -> list[Finding]:
    found = []
    noise = pulses.heights.noise_db
    if noise is not None and noise < _NOISY_DB:
        found.append(
            Finding(
                "near",
                f"Signal to noise is only {format_number(noise, decimals=0)} dB. Look at the "
                "instrument's ground and leads first, then at the shield, and at harnesses beside "
                "this one.",
            )
        )
    if pulses.train.spurious:
        found.append(
            Finding(
                "near",
                f"{pulses.train.spurious} pulses came where no tooth can be: noise or a bouncing "
                "contact. A module counts them as speed.",
            )
        )
    return found


def _of_levels(waveform: Waveform, pulses: Pulses, currents: Currents | None) -> list[Finding]:
    levels = pulses.levels
    if levels is None:
        return []
    found = []
    if currents is not None and waveform.sensor is Sensor.CURRENT:
        found += _of_currents(currents)
    if not _USUAL_DUTY[0] <= levels.duty <= _USUAL_DUTY[1] and levels.two:
        found.append(
            Finding(
                "near",
                f"The line is high for {format_value(levels.duty, '%', digits=2)} of each pulse: "
                "a wide or tilted gap shifts that, and some sensors code it on purpose.",
            )
        )
    return found


def _of_currents(currents: Currents) -> list[Finding]:
    low, high = (format_value(value, "mA", digits=3) for value in (currents.low, currents.high))
    low_fits = LOW_CURRENT[0] <= currents.low <= LOW_CURRENT[1]
    high_fits = HIGH_CURRENT[0] <= currents.high <= HIGH_CURRENT[1]
    if low_fits and high_fits:
        return [Finding("good", f"Both levels, {low} and {high}, are where they belong.")]
    if low_fits or high_fits:
        what = f"the {'high' if low_fits else 'low'} level is outside"
        return [
            Finding(
                "bad",
                f"The levels are {low} and {high}: {what}. One level alone points to the sensor; "
                "check its supply all the same.",
            )
        ]
    ratio = currents.high / currents.low if currents.low > 0 else 0.0
    if 1.5 <= ratio <= 2.8:
        return [
            Finding(
                "bad",
                f"The levels are {low} and {high}, both off by the same share: doubt the sense "
                "resistor's figure or a second path before the sensor.",
            )
        ]
    return [
        Finding(
            "bad",
            f"The levels are {low} and {high}, and neither is where it belongs: a leak beside the "
            "sensor, its supply, or the sensor. Measure the supply next.",
        )
    ]


def _sound(pulses: Pulses, *, moved: bool) -> Finding:
    turns = pulses.ring.turns
    ring = f"ring complete over {turns:.0f} turns" if turns >= 2 else "pulses even"
    wiring = (
        "it held while the harness was moved"
        if moved
        else "the harness was not moved, so a wire that opens on the road is not ruled out"
    )
    return Finding("good", f"Nothing stands out: {ring}, no drop-out, and {wiring}.")
