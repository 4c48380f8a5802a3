"""TOML files checked whole: a described table is walked once, and every fault in it becomes a problem.

A file's shape is data: a mapping from key to ``Key`` (its reader, whether it is needed, its default).
One walker turns a raw table into typed values and notes unknown, missing and unusable keys on the way.
Only the standard library is used, so that reading settings costs a run nothing.
"""

import json
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path
from typing import Any, TypeVar

from reconcile.sheets.files.plain import TooLong, read_plain
from reconcile.values.catalogue import ERROR
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.words import fold, nearest

MOST_BYTES = 1_000_000
"""Of a TOML file, where nothing else is said: a settings file has a few thousand."""
DEEPEST, LONGEST_KEY = 50, 20
"""Brackets within brackets, and parts of a dotted key. What we read has three of each."""
MOST_TOLD = 30
"""Faults of one kind in one table or list that are told one by one."""
LONGEST_LIKE = 100
"""Characters of an unknown key for which a known one like it is looked for."""
_TEXTS = re.compile(
    r'"""(?:[^\\]|\\.)*?"""|' r"'''.*?'''|" r'"(?:[^"\\\n]|\\.)*"|' r"'[^'\n]*'|#[^\n]*", re.DOTALL
)
_BRACKETS, _ENDS = re.compile(r"[\[\]{}]"), re.compile(r"[,{]")

LONGEST_SHOWN = 60
"""Characters of an offending value that a message repeats."""

ALIKE = 0.6
"""How like a known key an unknown one must be for that key to be suggested, of 1."""


class NotToml(Exception):
    """The text is not TOML; carries a plain sentence and the line it went wrong in (0: unknown)."""

    def __init__(self, says: str, line: int = 0) -> None:
        super().__init__(says)
        self.says, self.line = says, line


class Wrong(Exception):
    """A value that its key cannot take: a plain sentence, what to do, and a code if not the usual one."""

    def __init__(self, says: str, do: str = "", code: str = "") -> None:
        super().__init__(says)
        self.says, self.do, self.code = says, do, code


@dataclass(frozen=True, slots=True)
class Codes:
    """Which problem codes a kind of file uses for the three faults that the walker finds."""

    unknown: str
    missing: str
    value: str


@dataclass(frozen=True, slots=True)
class Spot:
    """Where in a file the reader is; all spots of one file share one list of problems."""

    file: str
    codes: Codes
    key: str = ""
    found: list[Problem] = field(default_factory=list)

    def at(self, name: str) -> "Spot":
        """The spot of a key of this table, spelt as TOML needs it; a very long one is cut."""
        name = name if len(name) <= LONGEST_LIKE else f"{name[:LONGEST_LIKE]}…"
        spelt = name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else json.dumps(name, ensure_ascii=False)
        return Spot(self.file, self.codes, f"{self.key}.{spelt}" if self.key else spelt, self.found)

    def item(self, number: int) -> "Spot":
        """The spot of an entry of this list, counted from 1."""
        return Spot(self.file, self.codes, f"{self.key}[{number}]", self.found)

    def report(self, code: str, says: str, do: str = "") -> None:
        self.found.append(problem(code, Place(self.file, "", self.key), says, do=do))

    @property
    def sound(self) -> bool:
        """No error has been found here or below, so a check across keys means something."""
        return not any(each.severity == ERROR and self._holds(each.place.cell) for each in self.found)

    def _holds(self, key: str) -> bool:
        """Whether a key is this one or lies in it."""
        beyond = key.removeprefix(self.key)
        return not self.key or (key.startswith(self.key) and beyond[:1] in ("", ".", "["))


K = TypeVar("K")
T = TypeVar("T")

TomlTable = dict[str, Any]
"""A table as TOML holds it: text, numbers, days, lists of any of these, and tables."""

Reader = Callable[[object, Spot], Any]
"""Turns a raw TOML value into ours, or raises ``Wrong``; reports faults inside lists and tables itself."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table: how it is read, whether it must be there, what stands in for it if not."""

    read: Reader
    needed: bool = False
    default: object = None


@dataclass(frozen=True, slots=True)
class KeyTable:
    """A table as read: our value for every described key; None where there is none or it was faulty."""

    spot: Spot
    values: dict[str, Any]

    def __getitem__(self, key: str) -> Any:
        return self.values[key]

    def at(self, key: str) -> Spot:
        return self.spot.at(key)


def parse(text: bytes) -> TomlTable:
    """The tables of a TOML file. Raises ``NotToml`` for whatever is not one, or is nested beyond all use."""
    try:
        decoded = _decoded(text)
        _refuse_deep(decoded)
        return tomllib.loads(decoded)
    except tomllib.TOMLDecodeError as fault:
        raise _explained(str(fault), text) from None
    except RecursionError:
        raise NotToml("It nests lists or tables too deeply to be read.") from None
    except ValueError as fault:
        raise NotToml(f"A number in it cannot be read: {str(fault).partition(':')[0]}.") from None


def _refuse_deep(text: str) -> None:
    """Raises NotToml for lists, tables or keys nested so deep that reading them would take for ever.

    The reader of the standard library takes the square of a key's parts. Texts and remarks are left out.
    """
    bare = _TEXTS.sub('""', text)
    depth = 0
    for line, written in enumerate(bare.split("\n"), 1):
        for mark in _BRACKETS.findall(written):
            depth = max(depth + (1 if mark in "[{" else -1), 0)
            if depth > DEEPEST:
                raise NotToml("It nests lists or tables too deeply to be read.")
        for piece in written.split("="):
            key = _ENDS.split(piece)[-1]
            if key.count(".") > LONGEST_KEY:
                raise NotToml(f"Line {line} has a key of more than {LONGEST_KEY} parts.", line)


def _decoded(text: bytes) -> str:
    """The text without the mark that some editors put first."""
    try:
        return text.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = text.count(b"\n", 0, fault.start) + 1
        raise NotToml(f"Line {line} is not in UTF-8; save the file as UTF-8.", line) from None


def _explained(fault: str, text: bytes) -> NotToml:
    """The parser's words with the line itself, since few people count lines."""
    where = re.search(r"\(at line (\d+), column (\d+)\)", fault)
    lines = (_decoded(text) if where else _decoded(text).rstrip()).split("\n")
    line = int(where[1]) if where else len(lines)
    column = f" at column {where[2]}" if where else " at its end"
    reason = fault.partition(" (at ")[0]
    return NotToml(f"Line {line}, {shown(lines[line - 1].strip())}, is not TOML{column}: {reason}.", line)


def read_bytes(path: Path, missing: str, most: int = MOST_BYTES) -> bytes | Problem:
    """A plain file's bytes, or the problem that keeps it from being read; ``missing`` says what it is."""
    try:
        return read_plain(path, most)
    except TooLong:
        says = f"{path.name} holds more than {most // 1000} kB, which no {missing} does."
        return problem("file-too-large", Place(path.name), says, do="Take out what does not belong in it.")
    except FileNotFoundError:
        if path.is_symlink():
            says = f"{path.name} is a link that leads to nothing."
            return problem("file-unreadable", Place(path.name), says)
        return problem("file-missing", Place(path.name), f"There is no {missing} {path.name}.")
    except OSError as fault:
        reason = (fault.strerror or "unknown reason").lower()
        return problem("file-unreadable", Place(path.name), f"{path.name} cannot be read: {reason}.")


def shown(value: object) -> str:
    """A raw TOML value as a message repeats it: text in quotes, control characters made visible."""
    match value:
        case bool():
            text = str(value).lower()
        case str():
            text = json.dumps(value, ensure_ascii=False)
        case date() | time():
            text = value.isoformat()
        case dict():
            text = "a table (" + ", ".join(map(shown, value)) + ")"
        case list():
            text = "[" + ", ".join(map(shown, value)) + "]"
        case int() if abs(value) >= 10**LONGEST_SHOWN:
            text = "a number of more than 60 digits"
        case _:
            text = str(value)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


def walk(raw: object, keys: Mapping[str, Key], spot: Spot) -> KeyTable:
    """Read one table by its description; each unknown, missing or unusable key is reported at its spot.

    Raises ``Wrong`` where ``raw`` is no table at all.
    """
    if not isinstance(raw, dict):
        raise Wrong(f"{shown(raw)} is not a table of keys.", f"Write a table with {_listed(keys)}.")
    unknown = [name for name in raw if name not in keys]
    for name in unknown[:MOST_TOLD]:
        _report_unknown(name, keys, spot.at(name))
    if len(unknown) > MOST_TOLD:
        spot.report(spot.codes.unknown, f"{len(unknown) - MOST_TOLD} further keys mean nothing here.")
    return KeyTable(spot, {name: _value(raw, name, key, spot) for name, key in keys.items()})


def _value(raw: TomlTable, name: str, key: Key, spot: Spot) -> object:
    """The value of one described key; None where it is missing although needed, or faulty."""
    if name not in raw:
        if key.needed:
            spot.at(name).report(spot.codes.missing, f'The key "{name}" is missing.')
        return key.default
    return read_with(key.read, raw[name], spot.at(name))


def read_with(read: Reader, raw: object, spot: Spot) -> Any:
    """A value by its reader; None where the reader refuses it, which is then reported."""
    try:
        return read(raw, spot)
    except Wrong as fault:
        spot.report(fault.code or spot.codes.value, fault.says, fault.do)
        return None


def _report_unknown(name: str, keys: Mapping[str, Key], spot: Spot) -> None:
    near = nearest(name, keys, 1, ALIKE) if len(name) <= LONGEST_LIKE else []
    if near:
        says = f'The key {shown(name)} means nothing here; the nearest known key is "{near[0]}".'
        spot.report(spot.codes.unknown, says, f'Write "{near[0]}", or remove the key.')
    else:
        spot.report(
            spot.codes.unknown, f"The key {shown(name)} means nothing here; known are {_listed(keys)}."
        )


def _listed(names: Mapping[str, Key]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


# Readers that any file may use.


def text(raw: object, _: Spot) -> str:
    """One line of text that is not blank, without the blanks around it."""
    if not isinstance(raw, str):
        raise Wrong(f"{shown(raw)} is not text.", "Write the text in quotes.")
    if not raw.strip():
        raise Wrong(f"The text {shown(raw)} is blank.", "Fill it in, or remove the key.")
    # Such text would reach a screen, where an escape sequence can rewrite what was printed before.
    if re.search(r"[\x00-\x1f\x7f-\x9f]", raw.strip()):
        raise Wrong(
            f"The text {shown(raw)} holds a control character.", "Write it on one line of plain text."
        )
    return raw.strip()


def folded_text(raw: object, spot: Spot) -> str:
    """Text as names are compared, without regard to case and blanks."""
    return fold(text(raw, spot))


def flag(raw: object, _: Spot) -> bool:
    if not isinstance(raw, bool):
        raise Wrong(f"{shown(raw)} is neither true nor false.", "Write true or false, without quotes.")
    return raw


def whole(at_least: int, at_most: int = 10**9) -> Reader:
    """Whole numbers from ``at_least`` to ``at_most``."""

    def read(raw: object, _: Spot) -> int:
        # TOML's true and false arrive as a kind of int.
        if isinstance(raw, bool) or not isinstance(raw, int) or raw < at_least:
            raise Wrong(
                f"{shown(raw)} is not a whole number of at least {at_least}.",
                f"Write a whole number, {at_least} or more, without quotes.",
            )
        if raw > at_most:
            raise Wrong(f"{shown(raw)} is more than {at_most}.", f"Write {at_most} at most.")
        return raw

    return read


def one_of(meanings: Mapping[K, T], also: Mapping[K, T] | None = None) -> Reader:
    """One of some fixed values; text is compared folded. Gives what the value means.

    The values of ``also`` are taken too, but not offered to whoever wrote none of them.
    """
    *most, last = map(shown, meanings)
    listed = f"{', '.join(most)} or {last}"
    every = {**meanings, **(also or {})}

    def read(raw: object, _: Spot) -> T:
        folded = fold(raw) if isinstance(raw, str) else raw
        for value, meaning in every.items():
            # The kinds are compared too: true is not 1 here.
            if type(value) is type(folded) and value == folded:
                return meaning
        raise Wrong(f"{shown(raw)} is not {listed}.", f"Write {listed}.")

    return read


def day(raw: object, _: Spot) -> date:
    """A TOML date, or a date as ISO text."""
    if isinstance(raw, date) and not isinstance(raw, datetime):
        return raw
    if isinstance(raw, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", raw.strip()):
        try:
            return date.fromisoformat(raw.strip())
        except ValueError:
            raise Wrong(f"{shown(raw)} is no day of the calendar.", "Correct the date.") from None
    raise Wrong(f"{shown(raw)} is not a date.", "Write it like 2026-12-25.")


def list_of(read: Reader, at_least: int = 0) -> Reader:
    """Lists whose entries all have one reader; faulty entries are reported one by one and left out."""

    def read_list(raw: object, spot: Spot) -> tuple[object, ...]:
        if not isinstance(raw, list):
            brackets = (
                "Begin each with its name in two square brackets, [[…]]." if isinstance(raw, dict) else ""
            )
            raise Wrong(f"{shown(raw)} is not a list.", brackets or "Write it in square brackets.")
        if len(raw) < at_least:
            raise Wrong("The list [] is empty.", "Fill it in, or remove the key.")
        values, before = [], len(spot.found)
        for number, each in enumerate(raw, 1):
            values.append(read_with(read, each, spot.item(number)))
            if len(spot.found) - before >= MOST_TOLD and number < len(raw):
                spot.report(spot.codes.value, f"{len(raw) - number} further entries were not looked at.")
                break
        return tuple(value for value in values if value is not None)

    return read_list


def table_of(keys: Mapping[str, Key]) -> Reader:
    """Tables of one description."""
    return lambda raw, spot: walk(raw, keys, spot)
