"""Charts in a real browser, under the product's own policy: colours, sizes, words."""

from __future__ import annotations

import pytest
from django.template import engines
from django.urls import reverse
from playwright.sync_api import Page

from shop.charting import Chart, Table
from tests.browser.conftest import Opener
from tests.browser.looks import bring_axe, broken_rules, sideways, small_targets
from tests.browser.tablet import DESK, PHONE, TABLET
from tests.shop.pictures import ALL

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

_TABLE = Table("Pressure by time", ("Time", "Pressure"), (("0 s", "1 bar"), ("10 s", "4 bar")))
_PUT = "html => { document.querySelector('main').innerHTML = html; }"
# Height of the letters as they are shown: a drawing is scaled to its place.
_LETTERS = """() => [...document.querySelectorAll(".chart text")]
  .filter((text) => text.getBoundingClientRect().width)
  .map((text) => parseFloat(getComputedStyle(text).fontSize)
    * text.ownerSVGElement.getBoundingClientRect().width
    / text.ownerSVGElement.viewBox.baseVal.width)
"""
_STROKE = "() => getComputedStyle(document.querySelector('.chart .line-1 path')).stroke"
_SHOWN = """() => [...document.querySelectorAll(".chart:first-child svg")]
  .filter((svg) => svg.checkVisibility()).map((svg) => svg.parentNode.className)"""


def put_charts(page: Page) -> None:
    """Every kind of chart into a page that the server answered, with its policy and its styles."""
    some = [*ALL.values()]
    mixed = ALL["mixed"]
    with_table = Chart(mixed.title, mixed.says, mixed.x, mixed.y, mixed.layers, table=_TABLE)
    text = "{% load charts %}{% for one in all %}{% chart one %}{% endfor %}"
    html = engines["django"].from_string(text).render({"all": [with_table, *some]})
    page.evaluate(_PUT, html)


def test_charts_can_be_used_by_everybody_on_every_size_and_ground(tablet: Opener) -> None:
    one = tablet()
    page = one.go(reverse("sign-in"))
    put_charts(page)
    bring_axe(page)
    troubles: list[str] = []
    strokes: set[str] = set()
    for size, drawing in ((PHONE, "chart__narrow"), (TABLET, "chart__wide"), (DESK, "chart__wide")):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
            assert page.evaluate(_SHOWN) == [drawing]
            letters = page.evaluate(_LETTERS)
            assert len(letters) > 60
            assert min(letters) >= 11
            troubles += broken_rules(page) + sideways(page) + small_targets(page, "main", 24)
            strokes.add(page.evaluate(_STROKE))
    assert not troubles, "\n".join(troubles)
    # The ink of tokens.css and of tokens-dark.css.
    assert strokes == {"rgb(27, 42, 65)", "rgb(232, 228, 218)"}
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate(_STROKE) == "rgb(27, 42, 65)"
    page.emulate_media(media="screen", forced_colors="active")
    assert page.evaluate(_STROKE) in {"rgb(0, 0, 0)", "rgb(255, 255, 255)"}


def test_the_numbers_open_with_the_keyboard(tablet: Opener) -> None:
    page = tablet().go(reverse("sign-in"))
    put_charts(page)
    table = page.get_by_role("region", name="Pressure by time")
    assert not table.is_visible()
    page.get_by_text("The numbers").first.focus()
    page.keyboard.press("Enter")
    assert table.is_visible()
    assert page.get_by_role("img", name="All of them").first.is_visible()
