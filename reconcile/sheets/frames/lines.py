"""In which line of a frame file a key stands, so that a person need not count tables.

The parser of TOML keeps no lines. What is read here is only the plain form in which frame files are
written: headers and keys each at the beginning of a line. A file with text over several lines is left
alone: better no line than a wrong one.
"""

import re
from collections.abc import Iterable, Mapping

from reconcile.sheets.figures.toml import TomlTable
from reconcile.values.frames.checked import KeyLine

_HEADER = re.compile(r"\s*(\[\[?)\s*([\w.-]+)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*([\w-]+)\s*=")
_PART = re.compile(r"([^.\[\]]+)(?:\[(\d+)\])?")
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"' + r"|'[^']*'")
_ITEM = re.compile(r"\[\d+\]$")
OVER_LINES = ('"""', "'''")


def key_lines(text: str, raw: TomlTable, keys: Iterable[str]) -> dict[str, KeyLine]:
    """For each key that a problem names, the line of it or of the table that lacks it."""
    lines = text.splitlines()
    if any(mark in text for mark in OVER_LINES):
        return {}
    known = _known_lines(lines)
    found = {}
    for key in keys:
        if (number := _nearest(key, known, lines)) is not None:
            found[key] = KeyLine(number, lines[number - 1].strip(), names_on(key, raw))
    return found


def _known_lines(lines: list[str]) -> dict[str, int]:
    """Every header's and every key's path with its line, from 1."""
    known: dict[str, int] = {}
    counts: dict[str, int] = {}
    table = ""
    for number, line in enumerate(lines, 1):
        if header := _HEADER.match(line):
            table = _path(header[2].split("."), header[1] == "[[", counts)
            known.setdefault(table, number)
        elif key := _KEY.match(line):
            known.setdefault(f"{table}.{key[1]}" if table else key[1], number)
    return known


def _path(names: list[str], counted: bool, counts: dict[str, int]) -> str:
    """``adjustment[1].joint[2]``: a header's path, each list at its latest entry."""
    path = ""
    for place, name in enumerate(names):
        bare = f"{path}.{name}" if path else name
        if counted and place == len(names) - 1:
            counts[bare] = counts.get(bare, 0) + 1
        path = f"{bare}[{counts[bare]}]" if bare in counts else bare
    return path


def _nearest(key: str, known: Mapping[str, int], lines: list[str]) -> int | None:
    """The line of the longest part of a key's path that stands somewhere; within a list, of its entry."""
    path = key
    while path:
        if path in known:
            return known[path]
        if (item := _ITEM.search(path)) and (start := known.get(path[: item.start()])):
            return _entry_line(lines, start, int(item[0][1:-1]))
        path = path[: item.start()] if item else path.rpartition(".")[0]
    return 1 if lines else None


def _entry_line(lines: list[str], start: int, entry: int) -> int:
    """The line in which the list that begins in line ``start`` has its so many-th inline table."""
    seen, depth = 0, 0
    for number, line in enumerate(lines[start - 1 :], start):
        bare = _QUOTED.sub("", line).partition("#")[0]
        seen += bare.count("{")
        depth += bare.count("[") - bare.count("]")
        if seen >= entry:
            return number
        if depth <= 0:
            break
    return start


def names_on(key: str, raw: object) -> tuple[str, ...]:
    """The names of the tables that a key's path leads through."""
    names = []
    for name, number in _PART.findall(key):
        raw = raw.get(name) if isinstance(raw, dict) else None
        if number:
            raw = raw[int(number) - 1] if isinstance(raw, list) and int(number) <= len(raw) else None
        if isinstance(raw, dict) and isinstance(raw.get("name"), str):
            names.append(raw["name"])
    return tuple(names)
