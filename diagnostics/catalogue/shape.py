"""A file's tree against the schema: entries out, or what does not fit, in our own words. Pure."""

from __future__ import annotations

import re
import types
from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from diagnostics.catalogue.problems import Path, Problem, instead
from diagnostics.catalogue.schema import FORMAT, FileEntry
from diagnostics.catalogue.source import SourceFile, Tree, unknown_key


def shape(source: SourceFile) -> FileEntry | None:
    """The file as schema objects, or None with the problems noted in `source`."""
    if source.tree is None or not _format_known(source):
        return None
    try:
        return FileEntry.model_validate(_without_empty(source.tree))
    except ValidationError as error:
        source.problems.extend(_say(source, details) for details in error.errors())
        return None


def _format_known(source: SourceFile) -> bool:
    assert source.tree is not None
    given = source.tree.get("format")
    if given == FORMAT:
        return True
    if given is None:
        wrong, right = "the file does not say its format", f"write `format: {FORMAT}` at the top"
    else:
        wrong = f"format {given} is not known here"
        right = f"this program reads `format: {FORMAT}`"
    source.problems.append(source.problem(("format",), wrong, right))
    return False


def _without_empty(tree: Tree) -> Any:
    """A key with nothing after it counts as left out, so that defaults and `missing` apply."""
    if isinstance(tree, dict):
        return {key: _without_empty(value) for key, value in tree.items() if value is not None}
    if isinstance(tree, list):
        return ["" if item is None else _without_empty(item) for item in tree]
    return tree


def _say(source: SourceFile, details: ErrorDetails) -> Problem:
    context = details.get("ctx", {})
    path: Path = tuple(part for part in details["loc"] if part != "[key]")
    kind = details["type"]
    if kind == "catalogue":
        at = str(context.get("at", ""))
        path += tuple(at.split(".")) if at else ()
        return source.problem(path, str(context["wrong"]), str(context["right"]))
    if kind == "extra_forbidden":
        return unknown_key(source, path, _known_keys(path[:-1]))
    if kind == "missing":
        right = f"write `{path[-1]}:` and its value"
        return source.problem(path[:-1], f"{path[-1]} is missing", right)
    if kind == "string_pattern_mismatch" and details["loc"][-1] == "[key]":
        return source.problem(path, f"{details['input']!r} cannot be a key", _key_advice(path))
    return source.problem(path, *_words(kind, details["input"], context))


def _key_advice(path: Path) -> str:
    if path[0] in ("parts", "labour"):
        return "use capitals, digits, dots and hyphens, beginning with a capital or digit"
    return "use small letters, digits and underscores, beginning with a letter"


_SECTION = ("{typed} is not a section", "write `name: value` lines, indented under it")
_TOO_SMALL = ("{typed} is too small", "the least is {ge}")
_TOO_LARGE = ("{typed} is too large", "the most is {le}")
_NOTHING = ("nothing is written here", "write it, or leave the key out if it may be left out")
_MONEY = ("{typed} is not an amount of money", "write it as 184.50, with at most two decimals")
_YES_NO = ("{typed} is neither yes nor no", "write yes or no")
_WHOLE = ("{typed} is not a whole number", "write digits only")

# What the validator found -> what is wrong, what would be right.
_SAYINGS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "dict_type": _SECTION,
        "model_type": _SECTION,
        "model_attributes_type": _SECTION,
        "list_type": ("{typed} is not a list", "begin each entry with a hyphen, or write [a, b]"),
        "string_type": ("a list or a section stands where text belongs", "write plain text"),
        "bool_type": _YES_NO,
        "bool_parsing": _YES_NO,
        "int_type": _WHOLE,
        "int_parsing": _WHOLE,
        "int_from_float": _WHOLE,
        "int_parsing_size": _WHOLE,
        "decimal_type": _MONEY,
        "decimal_parsing": _MONEY,
        "decimal_max_digits": _MONEY,
        "decimal_max_places": _MONEY,
        "decimal_whole_digits": _MONEY,
        "finite_number": _MONEY,
        "string_too_long": ("the text is too long ({length})", "at most {max_length} letters"),
        "string_too_short": _NOTHING,
        "too_short": _NOTHING,
        "too_long": ("there are too many entries", "at most {max_length}"),
        "greater_than_equal": _TOO_SMALL,
        "less_than_equal": _TOO_LARGE,
        "string_pattern_mismatch": (
            "{typed} is not written as it should be",
            "it must fit {pattern}",
        ),
    }
)
_OTHERWISE = ("{typed} does not fit", "docs/catalogue.md shows how it is written")


def _words(kind: str, given: object, context: dict[str, Any]) -> tuple[str, str]:
    """What the validator found, said to the person who wrote the file."""
    typed = repr(given) if isinstance(given, str) else "what stands here"
    if kind == "enum":
        names = re.findall(r"'([^']+)'", str(context["expected"]))
        return f"{typed} is not one of the choices", instead(str(given), names, "value")
    wrong, right = _SAYINGS.get(kind, _OTHERWISE)
    length = len(given) if isinstance(given, str | list | dict) else 0
    facts = {**context, "typed": typed, "length": length}
    return wrong.format(**facts), right.format(**facts)


def _known_keys(path: Path) -> list[str]:
    """The keys the format has at a place."""
    here: Any = FileEntry
    for part in path:
        here = _inside(here, part)
        if here is None:
            return []
    if isinstance(here, type) and issubclass(here, BaseModel):
        return list(here.model_fields)
    return []


def _inside(here: Any, part: str | int) -> Any:
    if isinstance(here, type) and issubclass(here, BaseModel):
        found = here.model_fields.get(str(part))
        return _bare(found.annotation) if found else None
    arguments = get_args(here)
    return _bare(arguments[-1]) if arguments else None


def _bare(annotation: Any) -> Any:
    """The annotation without Annotated and without `| None`."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _bare(get_args(annotation)[0])
    if origin in (Union, types.UnionType):
        return _bare(next(a for a in get_args(annotation) if a is not types.NoneType))
    return annotation
