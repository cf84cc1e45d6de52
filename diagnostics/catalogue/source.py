"""A catalogue file's text as plain mappings, lists and strings, each with its line. Pure.

Every scalar stays text: a code such as 00 or 1E, a price such as 184.10 and a word such as
`off` mean exactly what was typed, and the schema alone decides what they become.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, TypeAlias

import yaml

from diagnostics.catalogue.problems import Path, Problem, nearest, spell
from shop.units import spaced

Tree: TypeAlias = "dict[str, Tree] | list[Tree] | str | None"

# libyaml reads a file ten times as fast and gives the same tree and lines; where its wheel lacks
# it, the pure reader does. The pure one also words what is wrong, so that it is worded once.
_FAST = getattr(yaml, "CBaseLoader", yaml.BaseLoader)

SIZE_CAP = 2_000_000
DEPTH_CAP = 24
_PLAIN_TAGS = {f"tag:yaml.org,2002:{kind}" for kind in ("str", "map", "seq")}


@dataclass
class SourceFile:
    """One file as read: its tree, the line of every place in it, and what was wrong.

    `tree` is None when the text could not be read at all; then `problems` says why.
    """

    name: str
    tree: dict[str, Tree] | None = None
    lines: dict[Path, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def line(self, path: Path) -> int:
        """The line of the place, or of the nearest thing around it that is in the file."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)

    def problem(self, path: Path, wrong: str, right: str) -> Problem:
        return Problem(self.name, self.line(path), spell(path), wrong, right)


class _Unreadable(Exception):
    """The text as a whole cannot be read: line (0 for the file), what is wrong, what is right."""

    def __init__(self, line: int, wrong: str, right: str) -> None:
        super().__init__(wrong)
        self.line, self.wrong, self.right = line, wrong, right


_START = "begin with `format: 1` and a `platform:` section (docs/catalogue.md has an example)"


def read_source(name: str, data: bytes) -> SourceFile:
    """Turn a file's bytes into a tree with lines; problems are collected, never raised."""
    source = SourceFile(name)
    try:
        root = _compose(_text(data))
    except _Unreadable as why:
        source.problems.append(Problem(name, why.line, "", why.wrong, why.right))
        return source
    tree = _plain(source, root, ())
    if isinstance(tree, dict):
        source.tree = tree
    return source


def _text(data: bytes) -> str:
    if len(data) > SIZE_CAP:
        wrong = f"the file has {spaced(len(data))} bytes"
        raise _Unreadable(0, wrong, f"{spaced(SIZE_CAP)} is the most that is read")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        wrong = f"the file is not UTF-8 text (byte {data[error.start]:#04x} cannot be read)"
        raise _Unreadable(line, wrong, "save it again with the encoding UTF-8") from None
    if not text.strip():
        raise _Unreadable(0, "the file is empty", _START)
    return text


def _compose(text: str) -> yaml.MappingNode:
    try:
        root = _root(text)
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        wrong = f"a control character ({error.character:#04x}) stands in the text"
        raise _Unreadable(line, wrong, "delete it") from None
    except yaml.MarkedYAMLError as error:
        raise _Unreadable(*_broken(text, error)) from None
    if root is None:
        raise _Unreadable(0, "the file holds only comments", _START)
    if not isinstance(root, yaml.MappingNode):
        line = root.start_mark.line + 1
        raise _Unreadable(line, "the file is not a set of `name: value` lines", _START)
    return root


def _root(text: str) -> yaml.Node | None:
    """The text's outermost node; raises the pure reader's errors, whichever reader met them."""
    try:
        return _composed(text, _FAST)
    except yaml.YAMLError:
        return _composed(text, yaml.BaseLoader)


def _composed(text: str, loader: Any) -> yaml.Node | None:
    _look_over(text, loader)
    root: yaml.Node | None = yaml.compose(text, Loader=loader)
    return root


def _look_over(text: str, loader: Any) -> None:
    """Refuse what could make a small file large or deep, before anything is built from it."""
    depth = 0
    for event in yaml.parse(text, Loader=loader):
        line = event.start_mark.line + 1 if event.start_mark else 1
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            right = "write the entry out, or share it with `include:`"
            raise _Unreadable(line, "anchors (&) and aliases (*) are not read here", right)
        depth += isinstance(event, yaml.CollectionStartEvent)
        depth -= isinstance(event, yaml.CollectionEndEvent)
        if depth > DEPTH_CAP:
            right = f"{DEPTH_CAP} levels are enough"
            raise _Unreadable(line, "the file is nested too deeply", right)


def _broken(text: str, error: yaml.MarkedYAMLError) -> tuple[int, str, str]:
    """A YAML error in words that help: line, what is wrong, what would be right."""
    mark = error.problem_mark or error.context_mark
    number = mark.line + 1 if mark else 1
    lines = text.splitlines()
    line = lines[number - 1] if number <= len(lines) else ""
    before = line[: len(line) - len(line.lstrip())]
    if "\t" in before or "'\\t'" in str(error.problem):
        return number, "a tab stands where only spaces may", "indent with spaces (two per level)"
    if "expected a single document" in str(error.context or "") or line.startswith("---"):
        return number, "a second document begins here", "keep one document to a file"
    if "mapping values are not allowed" in str(error.problem):
        right = "put text that holds a colon between quotes, and each key on its own line"
        return number, "a colon where none is expected", right
    if error.problem and "expected <block end>" in error.problem:
        right = "give entries of one level the same number of spaces"
        return number, "the indentation does not fit the lines above", right
    wrong = f"the text cannot be read as YAML: {error.problem or error.context}"
    return number, wrong, "look at this line and the one above: indentation, colon, quotes"


def _note(source: SourceFile, node: yaml.Node, path: Path, wrong: str, right: str) -> None:
    line = node.start_mark.line + 1
    source.problems.append(Problem(source.name, line, spell(path), wrong, right))


def _plain(source: SourceFile, node: yaml.Node, path: Path) -> Tree:
    source.lines.setdefault(path, node.start_mark.line + 1)
    if node.tag not in _PLAIN_TAGS:
        _note(source, node, path, f"the tag {node.tag} is not read here", "leave the tag out")
        return None
    if isinstance(node, yaml.MappingNode):
        return _mapping(source, node, path)
    if isinstance(node, yaml.SequenceNode):
        return [_plain(source, item, (*path, index)) for index, item in enumerate(node.value)]
    text = str(node.value)
    plain = not getattr(node, "style", None)
    if plain and text in ("", "~", "null"):
        return None
    return text


def _mapping(source: SourceFile, node: yaml.MappingNode, path: Path) -> dict[str, Tree]:
    found: dict[str, Tree] = {}
    for key_node, value_node in node.value:
        if not isinstance(key_node, yaml.ScalarNode):
            _note(source, key_node, path, "a key must be one word", "write it as `name: value`")
            continue
        key = str(key_node.value)
        line = key_node.start_mark.line + 1
        here = (*path, key)
        if key in found:
            first = source.lines[here]
            wrong = f"{key} is given twice (first in line {first})"
            _note(
                source, key_node, path, wrong, "keep one of them, or give the second its own name"
            )
            continue
        source.lines[here] = line
        found[key] = _plain(source, value_node, here)
    return found


def unknown_key(source: SourceFile, path: Path, known: list[str]) -> Problem:
    """The problem for a key the format does not have, with the nearest one it has."""
    key = str(path[-1])
    near = nearest(key, known)
    right = f"did you mean {near}?" if near else f"the keys here are: {', '.join(sorted(known))}"
    return source.problem(path, f"{key} is not a key of the format", right)
