"""Bars: upright where their names are short, else lying, each beside its name where the drawing
is wide enough, under it where not. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from shop import units
from shop.charting import Bars, Chart, Layer, Level, Role
from shop.web.chart_frame import Drawn, Frame, axis_words, finished
from shop.web.chart_labels import LINE_HEIGHT, Align, width_of, wrapped
from shop.web.chart_marks import LOOKS, STAND_IN
from shop.web.chart_names import OnThePlot, beside, room_beside
from shop.web.chart_scale import Scale, scale_of, with_air
from shop.web.chart_size import Size
from shop.web.chart_vega import (
    Spec,
    Word,
    axis_of,
    bar_layer,
    frame_layer,
    leader_layer,
    level_layer,
    stroke,
    swatch_layer,
    symbol,
)

FEW = 14
"""So many bars have their values written at their ends."""
MOST_LYING = 16
NAMES = 0.4
"""The share of a wide drawing that the names of lying bars may take."""
_THICK, _WIDEST = 15.0, 56.0
_SHAPE, _CAP = 16.0, 4.0
_EDGE: Spec = {"stroke": STAND_IN["edge"], "strokeWidth": 1}
_JUDGED: frozenset[Role] = frozenset({"good", "near", "bad"})
_FULL: frozenset[Role] = _JUDGED | {"value"}


def bars_spec(chart: Chart, layers: Sequence[Layer], size: Size) -> Spec:
    """The specification of bars and the levels among them."""
    bars = _joined(layers)
    levels = [layer for layer in layers if isinstance(layer, Level) and layer.axis == "y"]
    count = len(bars.bars)
    room = (size.width - 60 - (size.beside if levels else 0)) / count
    widest = max(width_of(name, size.font) for name, _ in bars.bars)
    numbered = all(name.strip().isdigit() for name, _ in bars.bars)
    if widest > room - 4 and count <= MOST_LYING and not numbered:
        return _lying(chart, bars, levels, size)
    return _upright(chart, bars, levels, size)


def _joined(layers: Sequence[Layer]) -> Bars:
    """All bars as one row, every bar with its role."""
    rows = [layer for layer in layers if isinstance(layer, Bars)]
    roles: list[Role] = []
    for row in rows:
        missing: list[Role] = ["value"] * (len(row.bars) - len(row.roles))
        roles += [*row.roles[: len(row.bars)], *missing]
    bars = tuple(bar for row in rows for bar in row.bars)
    limits = tuple(pair for row in rows for pair in row.limits)
    return Bars(rows[0].name, bars, tuple(roles), limits if len(limits) == len(bars) else ())


def _ends(bars: Bars) -> list[float]:
    """How far each bar reaches away from its foot, its limits with it."""
    if not bars.limits:
        return [value for _, value in bars.bars]
    return [
        high if value >= 0 else low
        for (_, value), (low, high) in zip(bars.bars, bars.limits, strict=True)
    ]


def _scale(
    chart: Chart, bars: Bars, levels: Sequence[Level], most: int, head: float = 0.0
) -> Scale:
    axis = chart.y
    values = [value for _, value in bars.bars] + [level.at for level in levels] + _ends(bars)
    if not axis.log and axis.low is None:
        values.append(0.0)  # a bar is as long as its value only when it begins at nought
    lowest = min(values)
    air = with_air(axis, values)
    if head and axis.high is None:
        # What stands on the bars: their values, and the shapes of their verdicts.
        air.append(max(_ends(bars)) * (1 + head))
    return scale_of(axis, [value for value in air if value >= lowest or lowest < 0], most=most)


def _foot(scale: Scale) -> float:
    """Where bars stand: nought, or the end of the axis next to it."""
    return scale.low if scale.log else min(max(0.0, scale.low), scale.high)


def _upright(chart: Chart, bars: Bars, levels: Sequence[Level], size: Size) -> Spec:
    count = len(bars.bars)
    judged = any(role in _JUDGED for role in bars.roles)
    head = 0.08 * (1 + judged) if count <= FEW else 0.0
    scale = _scale(chart, bars, levels, size.up, head)
    right = [level for level in levels if level.name and size.beside]
    left = max((width_of(scale.words(tick), size.font) for tick in scale.ticks), default=20) + 8
    side = max(10.0, room_beside(right, size.beside, size.font))
    places = Scale(-0.5, count - 0.5, (), 0)
    frame = Frame(size, places, scale, size.width - left - side, size.plot, left, side)
    room = frame.width / count
    foot = frame.up(_foot(scale))
    marks = [
        frame_layer(places, scale, (None, axis_of(scale, grid=True, font=size.font, line=False))),
        *_bars(frame, bars, min(_WIDEST, max(1.0, room * 0.68)), upright=True),
        *_whiskers(frame, bars, upright=True),
        leader_layer("foot", (0, foot), (frame.width, foot), _EDGE),
        *_levels(levels, scale, "y", frame.width),
    ]
    words = _under(frame, bars, room)
    ends = [(frame.across(at), frame.up(_kept(scale, v))) for at, v in enumerate(_ends(bars))]
    texts = [units.format_number(value) for _, value in bars.bars]
    written = count <= FEW and max(width_of(text, size.font) for text in texts) < room - 2
    for at, ((x, y), text, role) in enumerate(zip(ends, texts, bars.roles, strict=True)):
        up = -1 if bars.bars[at][1] >= _foot(scale) else 1
        if written:
            middle = y + up * (frame.step / 2 + 3)
            words.append(Word(text, x, middle, size.font, "center", "ink", halo=True))
        if role in _JUDGED:
            off = frame.step + 10 if written else 8
            marks.append(_shape(at, role, x, y + up * off, share=min(1.0, room / 12)))
    names = beside(frame, right)
    on_plot = OnThePlot(frame, levels)
    on_plot.covered += ends * 4
    for level in levels:
        if level not in right and level.name and scale.shows(level.at):
            on_plot.level(level)
    drawn = Drawn((*marks, *names.leaders), (*words, *names.words, *on_plot.words))
    return finished(frame, drawn, over=axis_words(chart.y, scale), under=chart.x.title)


def _under(frame: Frame, bars: Bars, room: float) -> list[Word]:
    """Names under their bars; where they are too many, every second, fifth, tenth..."""
    widest = max(width_of(name, frame.font) for name, _ in bars.bars)
    count = len(bars.bars)
    apart = 4 if room > widest + 4 else 14
    every = next((n for n in (1, 2, 5, 10, 20, 50, 100, 200) if room * n > widest + apart), count)
    middle = frame.height + 6 + frame.step / 2
    return [
        Word(name, frame.across(at), middle, frame.font, "center")
        for at, (name, _) in enumerate(bars.bars)
        if every == 1 or (at + 1) % every == 0
    ]


def _lying(chart: Chart, bars: Bars, levels: Sequence[Level], size: Size) -> Spec:
    count = len(bars.bars)
    scale = _scale(chart, bars, levels, size.across)
    names = _names_beside(bars, size)
    line = 0.0 if names else size.font * LINE_HEIGHT
    room = line + _THICK + (11 if names else 15)
    texts = [units.format_number(value) for _, value in bars.bars]
    judged = any(role in _JUDGED for role in bars.roles)
    side = max(width_of(text, size.font) for text in texts) + 8 + (_SHAPE if judged else 0)
    away = 0.0 if min(value for _, value in bars.bars) >= _foot(scale) else side
    left = names + away or 6.0
    named = [level for level in levels if level.name and scale.shows(level.at)]
    over = (size.font * LINE_HEIGHT + 3) * len(named)
    places = Scale(0.5 - count, 0.5 + over / room, (), 0)
    high = room * count + over
    frame = Frame(size, scale, places, size.width - left - side, high, left, side)
    foot = frame.across(_foot(scale))
    marks = [
        frame_layer(scale, places, (axis_of(scale, grid=True, font=size.font, line=False), None)),
        *_bars(frame, bars, _THICK, upright=False, lower=line / 2),
        *_whiskers(frame, bars, upright=False, lower=line / 2),
        leader_layer("foot", (foot, 0), (foot, frame.height), _EDGE),
        *_levels(levels, scale, "x", frame.height),
    ]
    words: list[Word] = []
    for at, ((name, value), text, role) in enumerate(
        zip(bars.bars, texts, bars.roles, strict=True)
    ):
        middle = frame.up(-at) + line / 2
        out = 1 if value >= _foot(scale) else -1
        x = frame.across(_kept(scale, _ends(bars)[at])) + out * 5
        words.append(_name(name, frame, middle, -away if names else None))
        if role in _JUDGED:
            marks.append(_shape(at, role, x + out * 5, middle))
            x += out * _SHAPE
        align: Align = "left" if out > 0 else "right"
        words.append(Word(text, x, middle, size.font, align, "ink", halo=True))
    words += _at_their_tops(frame, named)
    return finished(
        frame, Drawn(tuple(marks), tuple(words)), over="", under=axis_words(chart.y, scale)
    )


def _names_beside(bars: Bars, size: Size) -> float:
    """The room that the names take to the left of lying bars; 0 where they stand above them."""
    widest = max(width_of(name, size.font) for name, _ in bars.bars)
    return widest + 10 if size.beside and widest <= size.width * NAMES else 0.0


def _name(name: str, frame: Frame, middle: float, beside_at: float | None) -> Word:
    """The name of a lying bar: to the left of `beside_at`, or on a line above its middle."""
    if beside_at is not None:
        return Word(name, beside_at - 8, middle, frame.font, "right", "ink")
    said = wrapped(name, frame.width - 4, frame.font, most=1)[0]
    start = 5.0 if frame.left < 7 else 2 - frame.left
    above = middle - _THICK / 2 - frame.step / 2 - 2
    return Word(said, start, above, frame.font, colour="ink", halo=True)


def _at_their_tops(frame: Frame, levels: Sequence[Level]) -> list[Word]:
    """The names of levels that stand upright, each on a row of its own above the bars."""
    words = []
    for at, level in enumerate(levels):
        x, y = frame.across(level.at), (frame.step + 3) * (at + 0.5)
        fits = x + 6 + width_of(level.name, frame.font) <= frame.width + frame.right
        align: Align = "left" if fits else "right"
        away = 6 if fits else -6
        words.append(Word(level.name, x + away, y, frame.font, align, level.role, True, True))
    return words


# ---- marks ----


def _bars(
    frame: Frame, bars: Bars, thick: float, *, upright: bool, lower: float = 0.0
) -> list[Spec]:
    """One layer for each role among the bars; roles without a verdict are outlined.

    lower: how far below the middle of its place a bar lies.
    """
    foot = _foot(frame.y if upright else frame.x)
    drawn = []
    for role in dict.fromkeys(bars.roles):
        ink, look = STAND_IN[role], LOOKS[role]
        spec: Spec = {"size": thick, "fill": ink, "fillOpacity": 1.0 if role in _FULL else 0.2}
        if role not in _FULL:
            spec |= {"stroke": ink, "strokeWidth": 1.5}
            spec |= {"strokeDash": list(look.dash)} if look.dash else {}
        if lower:
            spec["yOffset"] = lower
        some = [
            (float(at if upright else -at), foot, value)
            for at, ((_, value), own) in enumerate(zip(bars.bars, bars.roles, strict=True))
            if own == role
        ]
        drawn.append(bar_layer(f"bars-{role}", some, frame.scales, spec, upright=upright))
    return drawn


def _whiskers(frame: Frame, bars: Bars, *, upright: bool, lower: float = 0.0) -> list[Spec]:
    """From limit to limit of each bar, on a halo that keeps it seen on its bar."""
    scale = frame.y if upright else frame.x
    drawn = []
    for at, (low, high) in enumerate(bars.limits):
        a, b = _kept(scale, low), _kept(scale, high)
        if upright:
            ends = [(frame.across(at), frame.up(one)) for one in (a, b)]
            off = (_CAP, 0.0)
        else:
            ends = [(frame.across(one), frame.up(-at) + lower) for one in (a, b)]
            off = (0.0, _CAP)
        (x, y), (x2, y2), (cx, cy) = ends[0], ends[1], off
        for name, width in (("ground", 4.0), ("ink", 1.5)):
            look: Spec = {"stroke": STAND_IN[name], "strokeWidth": width}
            drawn += [
                leader_layer(f"limits-{at}-{name}", (x, y), (x2, y2), look),
                leader_layer(f"limits-{at}-{name}-low", (x - cx, y - cy), (x + cx, y + cy), look),
                leader_layer(
                    f"limits-{at}-{name}-high", (x2 - cx, y2 - cy), (x2 + cx, y2 + cy), look
                ),
            ]
    return drawn


def _levels(levels: Sequence[Level], scale: Scale, axis: str, length: float) -> list[Spec]:
    return [
        level_layer(
            f"level-{at}", level.at, scale, axis, length, stroke(level.role, LOOKS[level.role])
        )
        for at, level in enumerate(levels)
        if scale.shows(level.at)
    ]


def _shape(at: int, role: Role, x: float, y: float, *, share: float = 1.0) -> Spec:
    """The verdict's shape at the end of a bar, so that its colour says nothing alone."""
    return swatch_layer(f"shape-{at}", x, y, symbol(role, LOOKS[role], share=share))


def _kept(scale: Scale, value: float) -> float:
    return min(max(value, scale.low), scale.high)
