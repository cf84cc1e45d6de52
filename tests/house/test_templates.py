"""Templates compile and carry nothing inline, so that the strict policy never bites."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.template import engines

from tests.house.source import ROOT, name_of, templates

NAMES = [str(path.relative_to(ROOT / "templates")) for path in templates()]
TAG = re.compile(r"{%.*?%}|{{.*?}}|{#.*?#}", re.DOTALL)


class Inline(HTMLParser):
    """Collects what a strict policy would refuse."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = {name for name, _value in attrs}
        if tag == "style":
            self.found.append("<style>")
        if tag == "script" and "src" not in names:
            self.found.append("<script> without src")
        self.found += [name for name in names if name == "style" or name.startswith("hx-on")]
        self.found += [name for name in names if re.fullmatch(r"on[a-z]+", name)]
        self.found += [
            f"{name}={value}"
            for name, value in attrs
            if value and value.strip().lower().startswith(("javascript:", "js:"))
        ]


def test_there_are_templates() -> None:
    assert len(NAMES) > 20


@pytest.mark.parametrize("name", NAMES)
def test_it_compiles(name: str) -> None:
    engines["django"].get_template(name)


@pytest.mark.parametrize("path", templates(), ids=name_of)
def test_it_carries_nothing_inline(path: Path) -> None:
    parser = Inline()
    parser.feed(TAG.sub("", path.read_text(encoding="utf-8")))
    assert not parser.found


@pytest.mark.parametrize("path", templates(), ids=name_of)
def test_visible_words_are_translatable(path: Path) -> None:
    """A run of three plain words outside tags and template tags is text that gettext missed."""
    text = path.read_text(encoding="utf-8")
    text = re.sub(r"{%\s*blocktranslate.*?endblocktranslate\s*%}", "", text, flags=re.DOTALL)
    text = re.sub(r"{%\s*comment.*?endcomment\s*%}", "", text, flags=re.DOTALL)
    bare = re.sub(r"<[^>]*>", "\n", TAG.sub("", text))
    missed = re.findall(r"[A-Za-z]{2,} [A-Za-z]{2,} [A-Za-z]{2,}.*", bare)
    assert not missed
