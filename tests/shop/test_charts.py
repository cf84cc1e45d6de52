"""Charts as they are drawn: read back from the SVG and reckoned again.

Oracle: the picture itself. Ticks give the scale (number written, pixel at which it stands); every
mark must lie where that scale puts its value.
"""

from __future__ import annotations

import base64
import math
import re
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser
from http.server import BaseHTTPRequestHandler, HTTPServer
from threading import Thread
from typing import Any

import pytest
from django.core.cache import cache
from django.template import engines
from hypothesis import example, given, settings
from hypothesis import strategies as st

from shop.charting import Axis, Band, Bars, Chart, Dots, Level, Line, Table
from shop.web import charts
from shop.web.chart_marks import LOOKS, PAPER, STAND_IN, Ground
from shop.web.chart_size import NARROW, SIZES, WIDE, Size
from shop.web.chart_spec import spec_of
from tests.shop.pictures import (
    ALL,
    BARS,
    DOTS,
    LINE,
    ROLES,
    Mark,
    X,
    Y,
    marks_of,
    svg_of,
    ticks_of,
)

GROUNDS: tuple[Ground, ...] = ("page", "paper")
HOSTILE = '</text><script>alert("x")</script>\'"><img src=x onerror=alert(1)> &amp; {{ 7|add:7 }}'


@pytest.fixture
def nothing_kept() -> None:
    cache.clear()


def shown(one: Chart, ground: Ground = "page") -> str:
    page = engines["django"].from_string("{% load charts %}{% chart one ground=ground %}")
    return page.render({"one": one, "ground": ground})


def of_group(marks: list[Mark], group: str, tag: str = "path") -> list[Mark]:
    return [mark for mark in marks if mark.group == group and mark.tag == tag]


# ---- every kind, on every ground ----


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("name", ALL)
def test_every_kind_is_drawn_with_nothing_that_a_strict_policy_refuses(
    name: str, size: Size, ground: Ground
) -> None:
    svg = svg_of(ALL[name], size, ground)
    marks = marks_of(svg)
    assert "NaN" not in svg
    assert not re.search(r"[\ue000-\uf8ff]", svg)
    assert not [code for code in STAND_IN.values() if code in svg]
    assert {mark.tag for mark in marks} <= {
        *("svg", "g", "path", "line", "text", "rect", "defs", "clipPath")
    }
    used = {key for mark in marks for key in mark.attributes}
    assert not {key for key in used if key == "style" or key.startswith("on") or "href" in key}
    paints = {m.attributes[k] for m in marks for k in ("fill", "stroke") if k in m.attributes}
    allowed = set(PAPER.values()) if ground == "paper" else {f"var(--chart-{n})" for n in PAPER}
    assert paints <= allowed | {"none"}
    assert len(paints) > 2


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("name", ALL)
def test_everything_lies_within_the_drawing(name: str, size: Size) -> None:
    marks = marks_of(svg_of(ALL[name], size))
    width, height = (float(marks[0].attributes[side]) for side in ("width", "height"))
    assert width == size.width
    for mark in marks:
        assert 0 <= mark.x <= width
        assert 0 <= mark.y <= height


@pytest.mark.parametrize("name", ALL)
def test_everything_is_named_on_a_phone_and_at_a_desk(name: str) -> None:
    for size in SIZES:
        said = " ".join(mark.text for mark in marks_of(svg_of(ALL[name], size)))
        names = [layer.name for layer in ALL[name].layers if not isinstance(layer, Bars)]
        assert not [one for one in names if one not in said]


# ---- how many, and where ----


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_every_point_bar_and_level_is_drawn_once(size: Size) -> None:
    marks = marks_of(svg_of(ALL["mixed"], size))
    assert len(of_group(marks, "dots-1")) == len(LINE.points)
    assert len(of_group(marks, "dots-2")) == len(DOTS.points)
    assert len(of_group(marks, "line-1")[0].corners()) == len(LINE.points)
    assert len(of_group(marks, "band-0")) == 1
    assert len(of_group(marks, "level-3", "line") + of_group(marks, "level-4", "line")) == 2
    bars = marks_of(svg_of(ALL["bars"], size))
    assert [len(of_group(bars, f"bars-{role}")) for role in BARS.roles] == [1, 1, 1]


def follows(ticks: list[tuple[float, float]], found: list[tuple[float, float]]) -> None:
    """Pixels follow values along the straight line through the outermost ticks."""
    (low, start), (high, end) = ticks[0], ticks[-1]
    for value, pixel in [*ticks, *found]:
        expected = start + (value - low) * (end - start) / (high - low)
        assert pixel == pytest.approx(expected, abs=0.06), (value, pixel)


def placed(chart: Chart, size: Size, group: str, points: list[tuple[float, float]]) -> None:
    marks = marks_of(svg_of(chart, size))
    across, up = ticks_of(marks)
    # The words of a tick stand beside it: by how far, the frame's own corner says.
    drawn = [(m.x, m.y) for m in of_group(marks, group)]
    grid = [m.y for m in marks if m.group == "axis-grid" and m.tag == "line"]
    up = [(value, y) for (value, _), y in zip(up, grid, strict=True)]
    assert len(drawn) == len(points)
    follows(across, [(x, at) for (x, _), (at, _) in zip(points, drawn, strict=True)])
    follows(up, [(y, at) for (_, y), (_, at) in zip(points, drawn, strict=True)])


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_points_lie_where_their_axes_say(size: Size) -> None:
    placed(ALL["mixed"], size, "dots-1", list(LINE.points))
    placed(ALL["dots"], size, "dots-0", list(DOTS.points))


_numbers = st.floats(-1e5, 1e5).map(lambda value: round(value, 3))


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(_numbers, _numbers), min_size=2, max_size=9, unique_by=lambda p: p))
@example([(42680.0, 0.0), (-35320.0, 1.0)])  # had a single tick
def test_any_points_lie_where_their_axes_say(points: list[tuple[float, float]]) -> None:
    for side in (0, 1):
        if len({point[side] for point in points}) == 1:
            return
    placed(Chart("Any", "", X, Y, (Dots("", tuple(points)),)), NARROW, "dots-0", points)


def test_bars_stand_on_nought_and_are_as_long_as_their_values() -> None:
    marks = marks_of(svg_of(ALL["bars"], WIDE))
    up = ticks_of(marks)[1]
    grid = [m.y for m in marks if m.group == "axis-grid" and m.tag == "line"]
    nought, per_unit = grid[0], (grid[-1] - grid[0]) / (up[-1][0] - up[0][0])
    assert up[0][0] == 0
    for role, (_, value) in zip(BARS.roles, BARS.bars, strict=True):
        bar = of_group(marks, f"bars-{role}")[0]
        height = float(re.findall(r"v(-?[\d.]+)", bar.attributes["d"])[0])
        top = bar.y + float(re.findall(r"M[-\d.]+,(-?[\d.]+)", bar.attributes["d"])[0])
        assert top + height == pytest.approx(nought, abs=0.1)
        assert -height == pytest.approx(value * per_unit, abs=0.1)


def test_tenfolds_are_equally_wide_on_a_logarithmic_axis() -> None:
    marks = marks_of(svg_of(ALL["log"], WIDE))
    across = [(math.log10(value), pixel) for value, pixel in ticks_of(marks)[0]]
    dots = of_group(marks, "dots-0")
    points = ALL["log"].layers[0]
    assert isinstance(points, Line)
    read = zip(points.points, dots, strict=True)
    follows(across, [(math.log10(x), mark.x) for (x, _), mark in read])


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_a_disc_is_as_wide_as_high(size: Size) -> None:
    ring = tuple((3 * math.cos(a / 9), 3 * math.sin(a / 9)) for a in range(57))
    chart = Chart("", "", Axis("Across"), Axis("Along"), (Line("Rim", ring),), square=True)
    marks = marks_of(svg_of(chart, size))
    corners = of_group(marks, "line-0")[0].corners()
    width, height = (max(c[i] for c in corners) - min(c[i] for c in corners) for i in (0, 1))
    assert width == pytest.approx(height, rel=0.005)
    middle = sum(c[0] for c in corners[:56]) / 56, sum(c[1] for c in corners[:56]) / 56
    far = [math.dist(corner, middle) for corner in corners]
    assert max(far) == pytest.approx(min(far), rel=0.02)
    assert not [mark for mark in marks if mark.group == "axis-label"]


def test_a_loop_is_drawn_in_its_own_order() -> None:
    loop = ((0.0, 0.0), (2.0, 1.0), (1.0, 2.0), (0.0, 1.0), (2.0, 0.0))
    corners = of_group(marks_of(svg_of(Chart("", "", X, Y, (Line("", loop),)), WIDE)), "line-0")
    across = [x for x, _ in corners[0].corners()]
    assert across == [*sorted(across[:2]), across[2], across[0], across[1]]
    assert across[0] < across[2] < across[1]


def test_roles_differ_by_more_than_colour() -> None:
    lines = [(look.dash, look.width, look.shape, look.hollow) for look in LOOKS.values()]
    assert len(set(lines)) == len(lines)
    shapes = {LOOKS[role].shape for role in ("good", "near", "bad")}
    assert shapes == {"circle", "triangle-up", "square"}
    marks = marks_of(svg_of(ALL["roles"], WIDE))
    drawn = {
        (
            of_group(marks, f"line-{n}")[0].attributes.get("stroke-dasharray"),
            re.sub(r"[\d.-]+", "", of_group(marks, f"dots-{n}")[0].attributes["d"]),
            of_group(marks, f"dots-{n}")[0].attributes["fill"] == "var(--chart-ground)",
        )
        for n, _ in enumerate(ROLES)
    }
    assert len(drawn) >= len(ROLES) - 1  # "value" and "good" differ by weight
    judged = marks_of(svg_of(ALL["bars"], WIDE))
    assert [len(of_group(judged, f"shape-{n}")) for n in range(3)] == [1, 1, 1]


# ---- what cannot be drawn, and what must not come through ----


def test_numbers_that_are_none_are_left_out() -> None:
    holes = ((0.0, 1.0), (1.0, math.nan), (2.0, math.inf), (3.0, 2.0))
    band = Band("B", ((0.0, 0.0, 1.0), (1.0, -math.inf, math.nan), (3.0, 0.0, 2.0)))
    chart = Chart("", "", X, Y, (Line("L", holes, dots=True), band, Level("", math.nan)))
    marks = marks_of(svg_of(chart, WIDE))
    assert len(of_group(marks, "dots-0")) == 2
    assert len(of_group(marks, "band-1")) == 1


@pytest.mark.parametrize(
    "layers",
    [(), (Dots("", ()),), (Line("", ((math.nan, 1.0),)),), (Bars("", ()),)],
)
def test_a_chart_with_nothing_in_it_shows_its_sentence_and_never_fails(layers: Any) -> None:
    html = shown(Chart("Empty", "Nothing was read.", X, Y, layers))
    assert "Nothing was read." in html
    assert "<svg" not in html
    assert shown(Chart("Empty", "Nothing was read.", X, Y, layers), "paper")


class Elements(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.said = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.said += data


@pytest.mark.parametrize("ground", GROUNDS)
def test_names_that_somebody_typed_stay_words(ground: Ground) -> None:
    axis = Axis(HOSTILE, HOSTILE)
    table = Table(HOSTILE, (HOSTILE, HOSTILE), ((HOSTILE, HOSTILE),))
    for layers in (
        (
            Line(HOSTILE, LINE.points),
            Dots(HOSTILE, DOTS.points),
            Band(HOSTILE, ((0, 1, 2), (3, 1, 2))),
            Level(HOSTILE, 1.0),
        ),
        (Bars(HOSTILE, ((HOSTILE, 1.0), ("b\x00\x08\ud800", 2.0))), Level(HOSTILE, 1.0)),
    ):
        html = shown(Chart(HOSTILE, HOSTILE, axis, axis, layers, table=table), ground)
        page = Elements()
        page.feed(html)
        assert not {"script", "style"} & set(page.tags)
        assert page.tags.count("img") == (1 if ground == "paper" else 0)
        assert not [name for name, _ in page.attributes if name.startswith("on")]
        assert "alert(1)" in page.said
        assert "{{ 7|add:7 }}" in page.said
        if ground == "paper":
            svg = dict(page.attributes)["src"]
            assert svg is not None
            drawing = base64.b64decode(svg.partition(",")[2]).decode()
            assert "<script" not in drawing
            assert "<img" not in drawing
            marks_of(drawing)


def test_a_word_that_looks_like_one_of_our_stand_ins_stays_as_it_is() -> None:
    code = STAND_IN["value"]
    said = f"Is {code} \ue000 a colour?"
    html = shown(Chart("T", "S", X, Y, (Level(said, 1.0), LINE)))
    page = Elements()
    page.feed(html)
    assert f"Is {code}" in page.said
    assert "\ue000" not in html


@pytest.mark.usefixtures("nothing_kept")
def test_a_renderer_that_fails_leaves_the_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_spec: object) -> str:
        raise RuntimeError("the engine stalled")

    monkeypatch.setattr(charts, "render", broken)
    for ground in GROUNDS:
        html = shown(ALL["mixed"], ground)
        assert "could not be drawn" in html
        assert "<table" in html
        assert "3.8" in html
        assert "<svg" not in html
        assert "<img" not in html
    monkeypatch.undo()
    cache.clear()
    assert "<svg" in shown(ALL["mixed"])


@pytest.mark.usefixtures("nothing_kept")
@pytest.mark.parametrize("answer", ["", "no svg", "<svg/>", '<svg><path d="M0,NaN"/></svg>'])
def test_an_answer_that_is_no_drawing_is_not_shown(
    answer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(charts, "render", lambda _spec: answer)
    assert charts.drawn(ALL["line"], WIDE) is None


def test_the_renderer_opens_no_address() -> None:
    asked: list[str] = []

    class Listens(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(200)
            self.send_header("Access-Control-Allow-Origin", "*")
            self.end_headers()
            self.wfile.write(b"x,y\n1,2\n")

    with HTTPServer(("127.0.0.1", 0), Listens) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        spec = spec_of(ALL["dots"], WIDE)
        address = f"http://127.0.0.1:{server.server_port}/points.csv"
        with pytest.raises(Exception, match=r"(?i)access|allow|denied|external"):
            charts.render(
                spec
                | {
                    "data": {"url": address},
                    "layer": [
                        {"mark": "point", "encoding": {"x": {"field": "x", "type": "quantitative"}}}
                    ],
                }
            )
        server.shutdown()
    assert not asked


# ---- kept, shared, told apart ----


def counted(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, object]]:
    """What the renderer is asked to draw from now on."""
    asked: list[dict[str, object]] = []
    real = charts.render

    def render(spec: dict[str, object]) -> str:
        asked.append(spec)
        return real(spec)

    monkeypatch.setattr(charts, "render", render)
    return asked


@pytest.mark.usefixtures("nothing_kept")
def test_a_chart_is_drawn_once_for_each_size(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = counted(monkeypatch)
    first, second = shown(ALL["line"]), shown(ALL["line"])
    assert len(drawn) == len(SIZES)
    assert shown(ALL["line"], "paper")
    assert len(drawn) == len(SIZES)
    ids = [set(re.findall(r'id="([^"]+)"', html)) for html in (first, second)]
    assert ids[0]
    assert not ids[0] & ids[1]
    for html in (first, second):
        every = re.findall(r' id="([^"]+)"', html)
        assert len(every) == len(set(every))
        for used in re.findall(r"url\(#([^)]+)\)", html):
            assert used in every
        for used in re.findall(r'aria-(?:labelledby|describedby)="([^"]+)"', html):
            assert used in every


@pytest.mark.usefixtures("nothing_kept")
def test_many_at_once_get_the_same_as_one_after_another(monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = [ALL[name] for name in ("line", "bars", "square")]
    alone = [charts.drawn(one, NARROW) for one in wanted]
    cache.clear()
    drawn = counted(monkeypatch)
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(lambda one: charts.drawn(one, NARROW), wanted * 8))
    assert together == alone * 8
    assert len(drawn) == len(wanted)


def test_the_picture_has_a_name_and_says_what_is_to_be_seen() -> None:
    html = shown(ALL["line"])
    assert html.count('role="img"') == len(SIZES)
    named = r"<title id=[^>]+>A line</title><desc id=[^>]+>It rises and falls\.</desc>"
    assert len(re.findall(named, html)) == len(SIZES)
