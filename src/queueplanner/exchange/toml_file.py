"""TOML files with the line of every key, so that an error can say where it stands."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from queueplanner.exchange.near import shown
from queueplanner.exchange.text_file import read_text, split_lines
from queueplanner.shop.errors import BadInput, Problem

KeyPath = tuple[str | int, ...]

#: A value that takes a key out of the file it is laid over.
NONE_WORD = "none"

_BARE = r"[A-Za-z0-9_-]+"
_PART = rf"""(?:{_BARE}|"(?:[^"\\]|\\.)*"|'[^']*')"""
_KEY = rf"{_PART}(?:\s*\.\s*{_PART})*"
_HEADER = re.compile(rf"^\s*(\[\[?)\s*({_KEY})\s*\]\]?\s*(?:#.*)?$")
_ASSIGNMENT = re.compile(rf"^\s*({_KEY})\s*=")
_SPLIT = re.compile(_PART)
_SHORT_TIME = re.compile(r"(?<![\d:])\d\d:\d\d(?![\d:])")
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")


@dataclass(frozen=True)
class TomlFile:
    """What a TOML file says, and the lines its keys stand on."""

    name: str
    data: dict[str, Any]
    lines: Mapping[KeyPath, int] = field(default_factory=dict)

    def line_of(self, path: Sequence[str | int]) -> int | None:
        """The line of a key or of the first entry of its list, else of the nearest key around it."""
        if (first := self.lines.get((*path, 0))) is not None:
            return first
        for length in range(len(path), 0, -1):
            if (line := self.lines.get(tuple(path[:length]))) is not None:
                return line
        return None


def read_toml(path: Path) -> TomlFile:
    """Read a TOML file. Raises BadInput, with the line, when it cannot be read."""
    text = read_text(path, "a TOML file")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput([_syntax_problem(path, text, str(error))]) from None
    except RecursionError:
        raise BadInput([Problem(str(path), None, None, "values nested without end", "nest less deeply")]) from None
    return TomlFile(str(path), data, _key_lines(text))


def laid_over(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """One table over another, key by key; lists are replaced whole, and the word "none" takes a key out."""
    result = dict(under)
    for key, value in over.items():
        old = result.get(key)
        if value == NONE_WORD:
            result.pop(key, None)
        elif isinstance(old, dict) and isinstance(value, dict):
            result[key] = laid_over(old, value)
        else:
            result[key] = value
    return result


def problems_of(error: ValidationError, files: Sequence[TomlFile], prefix: KeyPath = ()) -> list[Problem]:
    """A model's complaints as problems, each placed in the first of the files that knows its key."""
    problems = []
    for detail in error.errors(include_url=False):
        path, found, wanted = _placed(detail, prefix)
        file = next((f for f in files if _holds(f.data, path)), files[0])
        column = ".".join(str(part) for part in path) or None
        problems.append(Problem(file.name, file.line_of(path), column, found, wanted))
    return problems


def _placed(detail: ErrorDetails, prefix: KeyPath) -> tuple[KeyPath, str, str]:
    """Where a complaint stands, what was found there and what would be right.

    What a model says of itself as a whole begins with the key at fault, as in "external: ...".
    """
    path, (found, wanted) = (*prefix, *detail["loc"]), _in_words(detail)
    key, colon, told = wanted.partition(": ")
    inside = tuple(key.split("."))
    if detail["type"] != "value_error" or not colon or not _holds(detail["input"], inside):
        return path, found, wanted
    value = detail["input"]
    for part in inside:
        value = value[part]
    return (*path, *inside), _shown_value(value), told


def _shown_value(value: object) -> str:
    return "a table" if isinstance(value, dict) else shown(value)


def _holds(data: Any, path: KeyPath) -> bool:
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return False
    return True


_TYPES = {
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "string_type": "a text in quotes",
    "bool_type": "true or false",
    "dict_type": "a table: { key = value }",
    "model_type": "a table: { key = value }",
    "tuple_type": "a list in square brackets",
    "frozen_set_type": "a list in square brackets",
    "time_type": "a time such as 06:30:00",
    "date_type": "a date such as 2026-12-25",
    "datetime_type": "a date and time such as 2026-11-26T06:30:00",
    "timezone_aware": "a date and time with an offset",
    "finite_number": "a finite number",
}
_LIMITS = {
    "greater_than": ("gt", "write a number over {}"),
    "greater_than_equal": ("ge", "write a number of at least {}"),
    "less_than": ("lt", "write a number under {}"),
    "less_than_equal": ("le", "write a number of at most {}"),
    "too_short": ("min_length", "give at least {}"),
    "too_long": ("max_length", "give at most {}"),
    "string_too_short": ("min_length", "write at least {} character"),
    "string_pattern_mismatch": ("pattern", "write it as the pattern {} says"),
}


def _in_words(detail: ErrorDetails) -> tuple[str, str]:
    kind, context = detail["type"], detail.get("ctx", {})
    found = _shown_value(detail["input"])
    if kind == "missing":
        return "nothing", "this key is needed"
    if kind == "extra_forbidden":
        return "a key that means nothing here", "take it out, or correct its name"
    if kind == "enum":
        return found, f"write one of: {context['expected'].replace(' or ', ', ')}"
    if kind == "value_error":
        return found, str(context["error"])
    if kind in _TYPES:
        return found, f"write {_TYPES[kind]}"
    if kind in _LIMITS:
        name, words = _LIMITS[kind]
        limit = context[name]
        return found, words.format(f"{limit:g}" if isinstance(limit, float) else limit)
    return found, detail["msg"]


def _syntax_problem(path: Path, text: str, message: str) -> Problem:
    match = _AT_LINE.search(message)
    row = int(match.group(1)) if match else len(split_lines(text))
    reason = _AT_LINE.sub("", message).strip().rstrip(".")
    reason = reason.replace("(at end of document)", "at the end of the file").strip()
    lines = split_lines(text)
    found = shown(lines[row - 1]) if row <= len(lines) else "the end of the file"
    if row <= len(lines) and _SHORT_TIME.search(lines[row - 1]):
        return Problem(str(path), row, None, found, "write times with seconds, such as 06:30:00")
    return Problem(str(path), row, None, found, f"correct the TOML: {reason[:1].lower()}{reason[1:]}")


def _key_lines(text: str) -> dict[KeyPath, int]:
    """The line on which each table and key begins; keys inside inline tables are not looked for."""
    lines: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    for number, line in enumerate(split_lines(text), 1):
        if header := _HEADER.match(line):
            table = _resolved(_parts(header.group(2)), counts)
            if header.group(1) == "[[":
                counts[table] = counts.get(table, -1) + 1
                table = (*table, counts[table])
            lines.setdefault(table, number)
        elif assignment := _ASSIGNMENT.match(line):
            lines.setdefault((*table, *_parts(assignment.group(1))), number)
    return lines


def _resolved(parts: KeyPath, counts: Mapping[KeyPath, int]) -> KeyPath:
    """A header's path with the position of the list entry it falls in."""
    path: KeyPath = ()
    for index, part in enumerate(parts):
        path = (*path, part)
        if index < len(parts) - 1 and path in counts:
            path = (*path, counts[path])
    return path


def _parts(key: str) -> KeyPath:
    return tuple(part[1:-1] if part[0] in "\"'" else part for part in _SPLIT.findall(key))
