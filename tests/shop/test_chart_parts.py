"""The parts that a chart is drawn from: ticks, labels, points, colours and sizes."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from coloraide import Color
from hypothesis import example, given
from hypothesis import strategies as st

from shop.charting import Axis, Bars, Chart, Level, Line
from shop.web.chart_labels import Box, place, spread, width_of, wrapped
from shop.web.chart_marks import COLOURS, LOOKS, PAPER
from shop.web.chart_points import thinned
from shop.web.chart_scale import scale_of, step_of, with_air
from shop.web.chart_size import NARROW, WIDE
from shop.web.chart_spec import spec_of
from shop.web.chart_table import table_of

STATIC = Path(__file__).resolve().parents[2] / "shop" / "static" / "shop"
_ends = st.floats(-1e7, 1e7).map(lambda value: round(value, 4))


# ---- axes ----


@given(_ends, _ends, st.integers(4, 6))
@example(-40_000.0, 47_360.0, 4)  # steps of 20,000 are five ticks, of 50,000 the nought alone
def test_ticks_are_few_round_and_within_the_axis(one: float, other: float, most: int) -> None:
    scale = scale_of(Axis("A"), [one, other], most=most)
    assert 2 <= len(scale.ticks) <= most
    assert scale.low < scale.high
    for tick in scale.ticks:
        assert scale.low <= tick <= scale.high
    steps = {
        Fraction(repr(after)) - Fraction(repr(before)) for before, after in pairwise(scale.ticks)
    }
    assert len(steps) <= 1
    for step in steps:
        power = math.floor(math.log10(step))
        assert step / Fraction(10) ** power in {1, 2, Fraction(5, 2), 5}


@given(_ends, _ends)
def test_a_tick_is_written_as_the_number_it_is(one: float, other: float) -> None:
    scale = scale_of(Axis("A"), [one, other], most=6)
    for tick in scale.ticks:
        written = scale.words(tick).replace("\u2212", "-").replace("\u202f", "")
        assert float(written) == pytest.approx(tick, abs=1e-12)


def test_numbers_are_written_as_everywhere_in_the_product() -> None:
    scale = scale_of(Axis("A"), [-20_000, 40_000], most=6)
    assert scale.words(-20_000.0) == "\u221220\u202f000"
    assert [scale_of(Axis("A"), [0, 1], most=6).words(t) for t in (0.0, 0.2)] == ["0.0", "0.2"]


@pytest.mark.parametrize(
    ("low", "high", "most", "turning", "step"),
    [
        (0, 1, 6, False, Fraction(1, 5)),
        (0, 0.03, 6, False, Fraction(1, 200) * 2),
        (0, 100, 6, False, 20),
        (-540, 540, 7, True, 180),
        (0, 360, 5, True, 90),
        (-10, 10, 6, True, 5),
        (-40_000, 47_360, 4, False, 25_000),
    ],
)
def test_the_step_is_the_smallest_round_one_that_is_allowed(
    low: float, high: float, most: int, turning: bool, step: Fraction
) -> None:
    assert step_of(low, high, most, turning=turning) == step


def test_an_axis_ends_where_it_says_and_begins_at_nought_when_asked() -> None:
    assert scale_of(Axis("A", low=-1, high=7), [2, 30], most=6).low == -1
    assert scale_of(Axis("A", low=-1, high=7), [2, 30], most=6).high == 7
    assert scale_of(Axis("A", zero=True), [2, 30], most=6).low == 0
    assert scale_of(Axis("A", zero=True), [-2, -30], most=6).high == 0
    assert min(with_air(Axis("A", zero=True), [2, 30])) == 2
    assert min(with_air(Axis("A"), [2, 30])) < 2
    for same in (0.0, 7.0, -3.0):
        scale = scale_of(Axis("A"), [same], most=6)
        assert scale.low < same < scale.high or scale.share(same) in {0.0, 1.0}


def test_what_is_not_above_nought_is_not_drawn_by_tenfolds() -> None:
    assert scale_of(Axis("A", log=True), [0.1, 100], most=6).log
    assert not scale_of(Axis("A", log=True), [0, 100], most=6).log
    assert not scale_of(Axis("A", log=True), [], most=6).log
    wide = scale_of(Axis("A", log=True), [1e-9, 1e9], most=5)
    assert len(wide.ticks) <= 5
    with pytest.raises(ValueError, match="nought"):
        wide.share(0)


# ---- words ----

_labels = st.lists(st.tuples(st.floats(-50, 300), st.floats(5, 60)), max_size=9)


@given(_labels)
def test_labels_beside_an_axis_never_overlap(wanted: list[tuple[float, float]]) -> None:
    middles = spread(wanted, 0, 240)
    spans = sorted((m - h / 2, m + h / 2) for m, (_, h) in zip(middles, wanted, strict=True))
    for (_, end), (start, _) in pairwise(spans):
        assert end <= start + 1e-6
    if spans and sum(height for _, height in wanted) <= 240:
        assert spans[0][0] >= -1e-6
        assert spans[-1][1] <= 240 + 1e-6


def test_a_label_that_has_its_place_keeps_it() -> None:
    assert spread([(20, 10), (100, 10)], 0, 200) == [20, 100]


@given(st.lists(st.tuples(st.floats(0, 280), st.floats(0, 180)), max_size=8))
def test_words_on_the_plot_never_lie_on_each_other(points: list[tuple[float, float]]) -> None:
    frame, taken = Box(0, 0, 300, 200), list[Box]()
    for x, y in points:
        place([Box(x, y, 40, 16), Box(x - 40, y, 40, 16)], frame, points, taken)
    assert not [1 for one, other in combinations(taken, 2) if one.overlap(other) > 0]
    assert all(box.inside(frame) for box in taken)


def test_a_number_keeps_its_unit_on_its_line_and_long_names_are_cut() -> None:
    assert wrapped("Least needed +0.5\u00a0V", 110, 13) == ("Least needed", "+0.5\u00a0V")
    assert wrapped("", 90, 13) == ()
    assert wrapped("A " * 40, 90, 13, most=2)[-1].endswith("…")
    assert all(width_of(line, 13) <= 90 for line in wrapped("W" * 400, 90, 13))


# ---- points ----


@given(st.integers(2, 400), st.integers(10, 60))
def test_thinning_keeps_the_ends_the_lowest_and_the_highest(count: int, most: int) -> None:
    points = [(float(n), math.sin(n * n)) for n in range(count)]
    kept = thinned(points, most)
    assert len(kept) <= max(most, min(count, most))
    assert kept[0] == points[0]
    assert kept[-1] == points[-1]
    assert max(kept, key=lambda p: p[1])[1] == max(points, key=lambda p: p[1])[1]
    assert min(kept, key=lambda p: p[1])[1] == min(points, key=lambda p: p[1])[1]
    assert kept == sorted(kept)


def test_a_long_loop_is_thinned_in_its_own_order() -> None:
    loop = [(math.cos(n / 500), math.sin(n / 500)) for n in range(3000)]
    kept = thinned(loop, 100)
    assert len(kept) == 100
    assert [loop.index(point) for point in kept] == sorted(loop.index(point) for point in kept)


def test_the_table_made_from_a_chart_holds_its_numbers() -> None:
    line = Line("Left", tuple((float(n), n / 2) for n in range(100)))
    table = table_of(Chart("T", "S", Axis("Time", "s"), Axis("V", "V"), (line, Level("Most", 9))))
    assert table.heads == ("", "Time, s", "V, V")
    assert table.rows[0] == ("Left", "0", "0")
    assert table.rows[-2] == ("Left", "99", "49.5")
    assert table.rows[-1] == ("Most", "", "9")
    assert len(table.rows) == 13
    bars = table_of(Chart("T", "S", Axis("W"), Axis("N"), (Bars("F", (("LF", 2.0),)),)))
    assert bars.rows == (("F", "LF", "2"),)


def test_a_specification_names_no_address_but_its_schema() -> None:
    chart = Chart("T", "S", Axis("a"), Axis("b"), (Level("http://example.org/x.csv", 1),))
    spec = spec_of(chart, WIDE)
    assert "url" not in repr(spec)
    with pytest.raises(ValueError, match="nothing"):
        spec_of(Chart("T", "S", Axis("a"), Axis("b"), ()), WIDE)


# ---- colours and sizes ----

# [R] WCAG 2.2: 1.4.3 asks 4.5 for words, 1.4.11 asks 3 for lines and marks.
WORDS = {"ink", "words", *LOOKS}


@pytest.mark.parametrize("name", [name for name in COLOURS if name not in {"ground", "rule"}])
def test_every_ink_can_be_seen_on_paper(name: str) -> None:
    needed = 4.5 if name in WORDS else 3
    assert Color(PAPER[name]).contrast("#ffffff", method="wcag21") >= needed


def test_every_colour_of_a_drawing_has_its_value_on_the_page_in_a_forced_palette_and_in_print() -> (
    None
):
    sheet = (STATIC / "charts.css").read_text()
    plain, forced = sheet.split("@media (forced-colors: active)")
    tokens = {name for pair in (STATIC / "contrast-pairs.csv").read_text().splitlines()
              for name in pair.split(",")[:2]}  # fmt: skip
    for name in COLOURS:
        assert f"--chart-{name}:" in forced
        given = re.search(rf"--chart-{name}: var\(--([a-z-]+)\);", plain)
        # Gridlines are mixed; everything else is a colour whose contrast is tested.
        assert (given and given[1] in tokens) or name == "rule"
    in_print = (STATIC / "print.css").read_text()
    printed = dict(re.findall(r"--chart-([a-z]+): (#[0-9a-f]+);", in_print))
    assert {k: v if len(v) > 4 else f"#{v[1:] * 2}" for k, v in printed.items()} == dict(PAPER)


def test_words_never_fall_below_eleven_pixels_where_a_drawing_is_shown() -> None:
    sheet = (STATIC / "charts.css").read_text()
    found = re.search(r"@container \(min-width: ([\d.]+)rem\)", sheet)
    assert found
    assert WIDE.font * float(found[1]) * 16 / WIDE.width >= 11
    narrowest = 320 - 2 * 16  # the smallest phone, with the page's own margins
    assert NARROW.font * narrowest / NARROW.width >= 11


# ---- a disc from its face ----

_RING = Line("Rim", ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)))


def domains(chart: Chart) -> list[list[float]]:
    """How far the plot reaches across and up."""
    frame = spec_of(chart, WIDE)["layer"][0]["encoding"]
    return [frame[side]["scale"]["domain"] for side in ("x", "y")]


def guides(chart: Chart) -> list[str]:
    return [one["name"] for one in spec_of(chart, WIDE)["layer"] if "guide" in one["name"]]


def test_a_disc_brings_its_guides_unless_the_chart_has_its_own() -> None:
    plain = Chart("", "", Axis(""), Axis(""), (_RING,), square=True)
    assert guides(plain) == ["guide-across", "guide-up", "guide-rim"]
    own = Line("True rim", _RING.points, "soft")
    assert not guides(Chart("", "", Axis(""), Axis(""), (_RING, own), square=True))


def test_a_disc_reaches_as_far_as_its_axes_say_or_as_it_is_drawn() -> None:
    across, up = domains(Chart("", "", Axis(""), Axis(""), (_RING,), square=True))
    assert across == up
    assert across[0] == -across[1] < -1
    given = Axis("", low=-3, high=3)
    assert domains(Chart("", "", given, given, (_RING,), square=True)) == [[-3, 3], [-3, 3]]
    far = Line("Far", ((10.0, 20.0), (14.0, 22.0)), "soft")
    across, up = domains(Chart("", "", Axis(""), Axis(""), (far,), square=True))
    assert sum(across) / 2 == pytest.approx(12)
    assert sum(up) / 2 == pytest.approx(21)
    assert across[1] - across[0] == pytest.approx(up[1] - up[0])
