"""Charts as SVG, drawn on the server: the same picture on the page and on paper.

A chart is drawn once for each size and kept by what it shows; colours and ids are put in where it
is used. When it cannot be drawn its numbers are shown instead: no page fails for it.
"""

from __future__ import annotations

import base64
import json
import logging
import secrets
from dataclasses import asdict, dataclass
from hashlib import sha256
from importlib.metadata import version
from threading import Lock

import vl_convert
from django.core.cache import cache
from django.utils.safestring import SafeString, mark_safe

from shop.charting import Chart
from shop.web.chart_size import NARROW, WIDE, Size
from shop.web.chart_spec import spec_of
from shop.web.chart_svg import drawing_of, dressed, titled

log = logging.getLogger("stubaxle.charts")

VERSION = 4
"""Raised whenever the same chart is drawn otherwise."""
_KEPT_SECONDS = 7 * 24 * 60 * 60
_FAILED_SECONDS = 60
# The renderer runs one script engine; two drawings at once would only wait inside of it.
_engine = Lock()


@dataclass(frozen=True, slots=True)
class Pictures:
    """Both drawings of a chart, ready for a page; a part of it shows the one that fits."""

    narrow: SafeString
    wide: SafeString


def for_page(chart: Chart) -> Pictures | None:
    """The drawings in the colours of the page; None when it cannot be drawn."""
    narrow, wide = _page(chart, NARROW), _page(chart, WIDE)
    return Pictures(narrow, wide) if narrow and wide else None


def for_paper(chart: Chart, size: Size = WIDE) -> str | None:
    """A data: address of the drawing in ink on white; None when it cannot be drawn."""
    drawing = drawn(chart, size)
    if drawing is None:
        return None
    svg = dressed(drawing, "paper", "c").encode("utf-8")
    return f"data:image/svg+xml;base64,{base64.b64encode(svg).decode('ascii')}"


def drawn(chart: Chart, size: Size) -> str | None:
    """The drawing of a chart at a size, without colours; None when it cannot be drawn."""
    key = _key(chart, size)
    found: str | None = cache.get(key)
    if found is None:
        with _engine:
            found = cache.get(key)
            if found is None:
                found = _draw(chart, size)
                cache.set(key, found, _KEPT_SECONDS if found else _FAILED_SECONDS)
    return found or None


def render(spec: dict[str, object]) -> str:
    """The SVG of a Vega-Lite specification; no address in it is ever opened."""
    return vl_convert.vegalite_to_svg(spec, allowed_base_urls=[])


def _draw(chart: Chart, size: Size) -> str:
    try:
        return drawing_of(render(spec_of(chart, size)), size)
    except Exception:
        # The renderer raises what it likes; whatever it is, the numbers can still be read.
        log.exception("The chart “%s” could not be drawn.", chart.title)
        return ""


def _page(chart: Chart, size: Size) -> SafeString | None:
    drawing = drawn(chart, size)
    if drawing is None:
        return None
    own = f"chart-{secrets.token_hex(4)}"
    svg = titled(dressed(drawing, "page", own), chart.title, chart.says, own)
    return mark_safe(svg)  # noqa: S308  (rebuilt from listed elements, every text escaped)


def _key(chart: Chart, size: Size) -> str:
    shown = asdict(chart) | {"table": None, "says": "", "size": asdict(size)}
    text = json.dumps([VERSION, version("vl-convert-python"), shown], sort_keys=True, default=str)
    return f"chart:{sha256(text.encode('utf-8', 'backslashreplace')).hexdigest()}"
